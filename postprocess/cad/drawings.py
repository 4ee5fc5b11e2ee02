"""All drawings of a floor that there is something to show on."""

from __future__ import annotations

from collections.abc import Sequence

from postprocess.cad.compose import Content
from postprocess.cad.equipment import equipment
from postprocess.cad.fabric import fabric
from postprocess.cad.lift_passes import lift_passes
from postprocess.cad.setting_out import setting_out
from postprocess.cad.springs import springs
from postprocess.fabric.views import FabricLayer
from postprocess.lift.views import LiftView


def contents(layers: Sequence[FabricLayer], lift: LiftView | None) -> dict[str, Content]:
    """Name of the file without its ending -> drawing; a lift without passes has none."""
    found = {"setting-out": setting_out(), "springs": springs()}
    found |= {f"fabric-{layer.face}": fabric(layer) for layer in layers if layer.pieces}
    if lift is not None and lift.passes:
        found["lift-passes"] = lift_passes(lift)
    return found | {"equipment": equipment()}
