"""Blocks of a drawing: what they reach, which contain themselves, and entities in model space through all of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from ezdxf.document import Drawing
from ezdxf.dynblkhelper import get_dynamic_block_definition
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.insert import Insert
from ezdxf.transform import copies

from preprocess.cad.drawn import Source
from preprocess.cad.notes import Notes
from preprocess.wording import quoted

MOST_ENTITIES: Final = 20_000
"""Put in place out of blocks, once for every insertion: each takes a good part of a millisecond."""

DRAWN_KINDS: Final = frozenset(
    ("LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE", "POINT", "INSERT")
)

DEFAULT_LAYER: Final = "0"
"""What lies on it inside a block belongs to the layer on which the block is inserted."""


@dataclass(frozen=True)
class Piece:
    """An entity in coordinates of the drawing. source: its layer, the handle of what stands in model space."""

    entity: DXFGraphic
    source: Source

    @property
    def kind(self) -> str:
        """Its type in DXF, such as "LINE"."""
        return self.entity.dxftype()

    def is_on(self, layer: str) -> bool:
        """Whether it lies on the layer; upper and lower case are the same."""
        return self.source.layer.lower() == layer.lower()


def alive(entities: Iterable[DXFGraphic]) -> Iterator[DXFGraphic]:
    """The entities without those that the library has given up in a damaged file."""
    return (entity for entity in entities if entity.is_alive)


def layer_of(entity: DXFEntity) -> str:
    """The name of its own layer."""
    return str(entity.dxf.get("layer", DEFAULT_LAYER))


class Blocks:
    """The blocks of a document by name in lower case."""

    def __init__(self, document: Drawing) -> None:
        self._blocks = {block.name.lower(): block for block in document.blocks}
        heads = {name: block.block for name, block in self._blocks.items() if block.block is not None}
        self.external = tuple(name for name, head in heads.items() if head.is_xref or head.is_xref_overlay)
        self._inserted = {
            name: {str(entity.dxf.get("name", "")).lower() for entity in alive(block) if isinstance(entity, Insert)}
            for name, block in self._blocks.items()
            if name not in self.external
        }
        self._reached: dict[str, frozenset[str]] = {}
        self._endless: dict[str, bool] = {}

    def content(self, name: str) -> Iterator[DXFGraphic]:
        """The entities of a block, none where there is no such block in the file."""
        block = self._blocks.get(name.lower())
        return iter(()) if block is None or name.lower() in self.external else alive(block)

    def reached(self, name: str) -> frozenset[str]:
        """The block and all that it contains, directly or not."""
        start = name.lower()
        if start not in self._reached:
            found, open_ones = {start}, [start]
            while open_ones:
                fresh = self._inserted.get(open_ones.pop(), set()) - found
                found |= fresh
                open_ones += fresh
            self._reached[start] = frozenset(found)
        return self._reached[start]

    def contains_itself(self, name: str) -> bool:
        """Whether a block that is reached from this one contains itself."""
        start = name.lower()
        if start not in self._endless:
            pairs = ((block, inner) for block in self.reached(name) for inner in self._inserted.get(block, ()))
            self._endless[start] = any(block in self.reached(inner) for block, inner in pairs)
        return self._endless[start]

    def holds(self, name: str, layers: frozenset[str]) -> bool:
        """Whether anything that is reached from the block lies on one of the layers, in lower case."""
        entities = (entity for block in self.reached(name) for entity in self.content(block))
        return any(layer_of(entity).lower() in layers for entity in entities)


class Walker:
    """Goes through model space and the blocks inserted there, putting at most `MOST_ENTITIES` of blocks in place."""

    def __init__(self, document: Drawing, blocks: Blocks, notes: Notes) -> None:
        self._document, self._blocks, self._notes = document, blocks, notes
        self._left = MOST_ENTITIES
        self._holds: dict[str, bool] = {}

    def on_layers(self, layers: frozenset[str], whole: frozenset[str]) -> list[Piece]:
        """Everything on the layers, in the order of the drawing; block insertions on `whole` ones are not taken apart.

        layers, whole: names in lower case.
        """
        found: list[Piece] = []
        for entity in alive(self._document.modelspace()):
            if self._matters(entity, "", layers):
                source = Source(layer_of(entity), (str(entity.dxf.get("handle", "none")),))
                found += self._pieces(Piece(entity, source), layers, whole)
        return found

    def inside(self, insert: Piece) -> list[Piece]:
        """What the block of `insert` consists of, in place; blocks in it are taken apart as well."""
        children = self._children(insert, None)
        return [piece for child in children for piece in self._pieces(child, None, frozenset())]

    def _matters(self, entity: DXFGraphic, around: str, layers: frozenset[str] | None) -> bool:
        """Whether the entity or anything in its block lies on one of the layers (None: on any).

        around: layer of the insertion in whose block the entity lies, empty in model space.
        """
        if entity.dxftype() == "ATTDEF":
            return False
        own = layer_of(entity)
        if layers is None or _layer(own, around).lower() in layers:
            return True
        return isinstance(entity, Insert) and self._block_holds(entity, layers)

    def _pieces(self, piece: Piece, layers: frozenset[str] | None, whole: frozenset[str]) -> Iterator[Piece]:
        """The piece, or what its block has on the layers (None: on any)."""
        if not isinstance(piece.entity, Insert):
            yield piece
            return
        for single in self._each(piece):
            if piece.source.layer.lower() in whole:
                yield single
                continue
            for child in self._children(single, layers):
                yield from self._pieces(child, layers, whole)

    def _block_holds(self, insert: Insert, layers: frozenset[str]) -> bool:
        name = str(insert.dxf.get("name", ""))
        if name not in self._holds:
            self._holds[name] = self._blocks.holds(name, layers)
        return self._holds[name]

    def _may_put(self, number: int, piece: Piece) -> bool:
        """Whether so many more entities may be put in place; said once if not."""
        if number > self._left >= 0:
            allowed = f"at most {MOST_ENTITIES:,} entities of blocks put in place; delete what is not needed"
            self._notes.problem(piece.source, "blocks of more entities than can be read", allowed)
            self._left = -1
        if self._left >= number:
            self._left -= number
            return True
        return False

    def _each(self, piece: Piece) -> Iterator[Piece]:
        """The insertion, or each place of one in rows and columns."""
        insert = piece.entity
        assert isinstance(insert, Insert)
        if insert.mcount <= 1:
            yield piece
        elif self._may_put(insert.mcount, piece):
            yield from (Piece(single, piece.source) for single in insert.multi_insert())

    def _children(self, piece: Piece, layers: frozenset[str] | None) -> Iterator[Piece]:
        """What matters of the block of an insertion, put in place."""
        insert = piece.entity
        assert isinstance(insert, Insert)
        name, around = str(insert.dxf.get("name", "")), piece.source.layer
        if self._blocks.contains_itself(name):
            allowed = "blocks that do not contain themselves; explode it, or redraw it"
            self._notes.problem(piece.source, f"block {quoted(name)}, in which a block contains itself", allowed)
            return
        content = [entity for entity in self._blocks.content(name) if self._matters(entity, around, layers)]
        if not self._may_put(len(content), piece):
            return
        failures, placed = copies(content, insert.matrix44())
        for failure in failures:
            self._say_lost(failure.entity, piece)
        block = piece.source.block or block_name(insert)
        for entity in placed:
            assert isinstance(entity, DXFGraphic)
            yield Piece(entity, Source(_layer(layer_of(entity), around), piece.source.handles, block))

    def _say_lost(self, entity: DXFEntity, piece: Piece) -> None:
        """Says what of a block cannot be put in place."""
        kind = entity.dxftype()
        if kind in DRAWN_KINDS:
            value = f"{kind} in its block that cannot be put in place, since the block is scaled unequally"
            self._notes.problem(piece.source, value, "a block of equal scales; explode it")
        else:
            self._notes.remark(piece.source, f"{kind} in its block left out")


def _layer(own: str, around: str) -> str:
    """The layer that counts for an entity in the block of an insertion on the layer `around`, empty in model space."""
    return around if around and own == DEFAULT_LAYER else own


def block_name(insert: Insert) -> str:
    """The name of the block as its author knows it, also where the insertion has a variant of its own."""
    definition = get_dynamic_block_definition(insert)
    return str(insert.dxf.get("name", "")) if definition is None else definition.name
