"""The layers that a drawing has, and those that are missing from it."""

from __future__ import annotations

from collections import Counter
from typing import Final

from ezdxf.document import Drawing

from preprocess.cad.blocks import DEFAULT_LAYER, Blocks, alive, layer_of
from preprocess.cad.notes import Notes
from preprocess.cad.rules import DrawingRules
from preprocess.wording import listed, nearest, quoted

MAY_BE_EMPTY: Final = frozenset(("openings", "equipment"))
"""Parts of which a floor may have none; a layer for them without anything on it says so."""

_LAYERS_LISTED = 20


def check_layers(document: Drawing, blocks: Blocks, rules: DrawingRules, notes: Notes) -> None:
    """Names layers of the rules on which nothing is drawn, and those that are switched off or frozen."""
    numbers = _entities_by_layer(document, blocks)
    names = {name.lower(): name for name in numbers}
    for part, layer in rules.layers.items():
        if layer.lower() in names:
            _say_if_hidden(document, layer, notes)
        elif part in rules.may_lack or (part in MAY_BE_EMPTY and layer in document.layers):
            notes.remark(f"layer {layer}", f"nothing on it, so no {part} read{_elsewhere(document, layer)}")
        else:
            known = (
                "nothing on it in model space" if layer in document.layers else nearest(layer, names.values(), "layer")
            )
            known += _elsewhere(document, layer)
            have = [f"{quoted(name)} ({number})" for name, number in numbers.most_common(_LAYERS_LISTED)]
            more = " …" if len(numbers) > _LAYERS_LISTED else ""
            allowed = f"{known}; layers and the entities on them: {', '.join(have) or 'none'}{more}"
            notes.problem(f"layer of the {part}", quoted(layer), allowed)
    _say_external(document, blocks, notes)


def _entities_by_layer(document: Drawing, blocks: Blocks) -> Counter[str]:
    """Numbers of entities in model space on each layer, those in blocks that are inserted there too."""
    numbers = Counter(layer_of(entity) for entity in alive(document.modelspace()))
    inserted = {name for _, name in _inserts(document)}
    for name in sorted({reached for block in inserted for reached in blocks.reached(block)}):
        layers = (layer_of(entity) for entity in blocks.content(name))
        numbers.update(layer for layer in layers if layer != DEFAULT_LAYER)
    return numbers


def _inserts(document: Drawing) -> list[tuple[str, str]]:
    """Handle and name of block of the insertions in model space."""
    inserts = (entity for entity in alive(document.modelspace()) if entity.dxftype() == "INSERT")
    return [(str(entity.dxf.get("handle", "none")), str(entity.dxf.get("name", ""))) for entity in inserts]


def _elsewhere(document: Drawing, layer: str) -> str:
    """Where else than in model space there is something on the layer."""
    for name in document.layout_names_in_taborder():
        if name.lower() == "model":
            continue
        number = sum(1 for entity in alive(document.layout(name)) if layer_of(entity).lower() == layer.lower())
        if number:
            return f"; {number} on it in paper space (layout {quoted(name)}): draw in model space"
    return ""


def _say_if_hidden(document: Drawing, layer: str, notes: Notes) -> None:
    if layer not in document.layers:
        return
    state = document.layers.get(layer)
    hidden = [word for word, is_so in (("off", state.is_off()), ("frozen", state.is_frozen())) if is_so]
    if hidden:
        notes.remark(f"layer {layer}", f"is {' and '.join(hidden)}, but was read")


def _say_external(document: Drawing, blocks: Blocks, notes: Notes) -> None:
    """External references, whose content is not in the file."""
    inserts = _inserts(document)
    for name in blocks.external:
        handles = [handle for handle, block in inserts if block.lower() == name]
        where = f"external reference {quoted(name)}" + (f", handle {listed(handles)}" if handles else "")
        notes.remark(where, "not read, its content is in another file; bind it into this one if it is needed")
