"""The layers of our drawings with their lines."""

from __future__ import annotations

from dataclasses import dataclass

from ezdxf.document import Drawing

BLACK, GREY, LIGHT = None, 0x6D757C, 0xA9AFB4
SOLID, DASHED, DOTTED, CHAIN = "CONTINUOUS", "DASHED_LINE", "DOTTED_LINE", "CHAIN_LINE"


@dataclass(frozen=True)
class LayerStyle:
    """weight: width of lines, hundredths of a mm. colour: true colour, None for black on white and white on black.

    line: SOLID, DASHED, DOTTED or CHAIN.
    """

    weight: int
    colour: int | None = BLACK
    line: str = SOLID


LAYERS = {
    "OUTLINE": LayerStyle(50),
    "OPENINGS": LayerStyle(35),
    "OPENING-MARKS": LayerStyle(13, GREY),
    "JACKS": LayerStyle(25),
    "JACK-LABELS": LayerStyle(18),
    "EQUIPMENT": LayerStyle(30),
    "FEET": LayerStyle(25),
    "EQUIPMENT-EXTENT": LayerStyle(13, GREY, DASHED),
    "GRID": LayerStyle(13, GREY, CHAIN),
    "BUBBLES": LayerStyle(18),
    "DATUM": LayerStyle(25),
    "DIMENSIONS": LayerStyle(13),
    "EXTENSIONS": LayerStyle(13, LIGHT),
    "LABELS": LayerStyle(18),
    "SPRINGS": LayerStyle(25),
    "HOUSINGS": LayerStyle(13, LIGHT),
    "FABRIC-LAPS": LayerStyle(13, 0xE2E5E7),
    "FABRIC-PIECES": LayerStyle(35),
    "FABRIC-DIAGONALS": LayerStyle(13, GREY),
    "TRIMMERS": LayerStyle(40),
    "PASSES": LayerStyle(18),
    "LINE-LOADS": LayerStyle(50, GREY, DASHED),
    "FINISHES": LayerStyle(30, GREY, DOTTED),
    "FRAME": LayerStyle(50),
    "TITLE": LayerStyle(18),
    "LEGEND": LayerStyle(18),
    "VIEWPORTS": LayerStyle(13),
}


def add_layers(document: Drawing) -> None:
    """Line types in mm of paper, and all layers."""
    document.linetypes.add(DASHED, [3.5, 2.5, -1.0], description="dashed")
    document.linetypes.add(DOTTED, [1.6, 0.3, -1.3], description="dotted")
    document.linetypes.add(CHAIN, [9.0, 6.0, -1.2, 0.6, -1.2], description="chain")
    for name, style in LAYERS.items():
        layer = document.layers.add(
            name, color=7, true_color=style.colour, linetype=style.line, lineweight=style.weight
        )
        layer.dxf.plot = 0 if name == "VIEWPORTS" else 1
