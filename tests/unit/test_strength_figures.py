"""Drawings of strength: true places, complete words, signs besides colour, nothing off the sheet or over each other."""

from __future__ import annotations

import functools
from dataclasses import replace
from math import inf
from pathlib import Path

import numpy as np
import pytest
import shapely
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon, box, get_coordinates

from fem.mesh import Mesh
from postprocess import figures
from postprocess.checks import Check
from postprocess.drawing import CAUTION, Box, new_sheet, number, paper_scale, plan_axes, text_width, wrapped
from postprocess.figures import drawings, write_figures
from postprocess.strength.age import YoungConcrete
from postprocess.strength.bending import section_resistance
from postprocess.strength.corner import corner_strips
from postprocess.strength.crack import CrackedSection, crack_width
from postprocess.strength.fabric import Fabric
from postprocess.strength.layers import FACES, Layers
from postprocess.strength.materials import STEEL_MODULUS, Materials
from postprocess.strength.perimeter import control_perimeters
from postprocess.strength.punching import punching
from postprocess.strength.result import CornerVerdict, LayerVerdict, LiftVerdict, PunchingPlace, Strength
from postprocess.strength.wood_armer import design_moments
from postprocess.strength_bending_figure import bending_figure, bending_use, use_words
from postprocess.strength_checks_figure import check_sheets, checks_figure, grouped_words
from postprocess.strength_crack_figure import LISTED, bars_words, crack_figure
from postprocess.strength_faces_figure import LETTERS, FaceMap, area_from, in_zones, peak
from postprocess.strength_marks_figure import Marks, shown_pair
from postprocess.strength_punching_figure import place_label, punching_figure, worst
from postprocess.strength_table_figure import check_use
from postprocess.view import FloorView
from tests.unit.laid_out import lay_out

Floats = NDArray[np.float64]

MATERIALS = Materials(32e6, 500e6)
LAYERS = Layers(
    0.125, Fabric("A252", 0.008, 0.2, 0.008, 0.2), Fabric("A193", 0.007, 0.2, 0.007, 0.2), 0.025, 0.025, "x", "x"
)
FCTM, MODULUS = 3.02e6, 33.3e9


def sample_strength(view: FloorView, factor: float = 0.7) -> Strength:
    """A strength with real resistances, crack widths and perimeters under `factor` times the full state.

    Strip means are stood in for by the value at the vertex nearest to each jack, kept all around it.
    """
    mesh, strip = view.fields.mesh, view.footprint + view.thickness
    home = _homes(mesh, view.schedule.xy, strip / 2)
    demand = np.abs(design_moments(view.fields.moments["full"]))[home] * factor
    service = np.abs(design_moments(view.fields.moments["service"]))[home] * factor
    resistance = np.array([section_resistance(LAYERS.section(*side), MATERIALS) for side in FACES])
    cracked = [CrackedSection.of(LAYERS.section(*side), 3 * STEEL_MODULUS / MODULUS) for side in FACES]
    widths = [crack_width(service[:, i], section, FCTM, MATERIALS) for i, section in enumerate(cracked)]
    use = (demand / resistance).max(axis=0)
    strength = Strength(
        layers=LAYERS,
        materials=MATERIALS,
        strip=strip,
        mesh=mesh,
        combinations=("1.35 permanent + 1.5 equipment + 1.5 imposed everywhere", "1 permanent"),
        demand=demand,
        combination=np.zeros(demand.shape, dtype=np.int64),
        resistance=resistance,
        crack_width=np.column_stack(widths),
        punching=_punching(view, factor),
        corners=_corners(view, strip),
        trimmer_diameter=0.012,
        layer_verdicts=(
            LayerVerdict("bottom", "A252", use[:2], ("jack J01", "slab"), np.array([0.9, 0.8]), ("bending, bottom x",)),
            LayerVerdict("top", "A193", use[2:], ("jack J02", "slab"), np.array([0.2, 0.1]), ()),
        ),
        patterns={},
        remarks=("2 of 12 springs would be solid in a strength combination.",),
        cracking=(),
        lift=LiftVerdict(YoungConcrete(4, 27.3e6, 2.06e6, 29.9e9, 32e6), 1.9e3, 3.75e3, 2),
        checks=(),
        chosen=False,
    )
    return replace(strength, checks=_checks(view, strength))


def _homes(mesh: Mesh, spots: Floats, near: float) -> NDArray[np.int64]:
    home = np.arange(len(mesh.vertices))
    for spot in spots:
        distance = np.hypot(*(mesh.vertices - spot).T)
        home[distance <= near] = distance.argmin()
    return home


def _punching(view: FloorView, factor: float) -> tuple[PunchingPlace, ...]:
    names = [f"jack {name}" for name in view.schedule.ids]
    spots = [("jack", names, view.schedule.xy, factor * view.schedule.loads["full"], view.footprint)]
    for item in view.items:
        if isinstance(item.shape, MultiPolygon):
            pads = list(item.shape.geoms)
            names = [f"{item.name}, foot {i + 1}" for i in range(len(pads))]
            xy = get_coordinates(shapely.centroid(pads))
            spots.append(("foot", names, xy, np.linspace(2e3, 4e3, len(pads)), pads[0].area ** 0.5))
    found = []
    for kind, names, xy, force, size in spots:
        face = "top" if kind == "jack" else "bottom"
        depth = float(np.mean([LAYERS.effective_depth(face, direction) for direction in ("x", "y")]))
        perimeters = control_perimeters(view.plan, xy, size, "disc" if kind == "jack" else "square", depth)
        result = punching(force, perimeters, depth, 0.002, MATERIALS)
        for i, perimeter in enumerate(perimeters):
            stresses = float(result.stress[i]), result.strength, float(result.face_stress[i]), result.face_limit
            place = float(xy[i, 0]), float(xy[i, 1])
            found.append(PunchingPlace(names[i], kind, place, float(force[i]), perimeter, *stresses))
    return tuple(found)


def _corners(view: FloorView, strip: float) -> tuple[CornerVerdict, ...]:
    strips = corner_strips(view.plan, view.re_entrant_corners, strip)
    return tuple(
        CornerVerdict(
            xy=(float(x), float(y)),
            across=float(across),
            strip=strip,
            zone=2 * strip,
            moments={"bare": 800.0, "service": 1100.0, "full": 2400.0},
            cracking_use={"bare": 0.2 + 0.01 * i, "service": 0.31, "full": 0.9 + 0.1 * i},
            design_sagging=3.4e3,
            design_hogging=-500.0,
            trimmers={"bottom": 3, "top": 2} if i % 2 else {"bottom": 2},
        )
        for i, ((x, y), across) in enumerate(zip(strips.xy, strips.across, strict=True))
    )


def _checks(view: FloorView, strength: Strength) -> tuple[Check, ...]:
    """As many checks as a real floor has, of all forms."""
    cause = strength.combinations[0]
    found = []
    for side, (face, direction) in enumerate(FACES):
        vertex = int(strength.demand[:, side].argmax())
        x, y = strength.mesh.vertices[vertex]
        demand, resistance = strength.demand[vertex, side] / 1e3, strength.resistance[side] / 1e3
        where, basis = f"slab at ({x:.3f}, {y:.3f}) m", "EN 1992-1-1, 6.1; Wood-Armer"
        name = f"bending, {face} {direction}"
        found.append(Check(name, demand, resistance, "kN·m/m", "at most", basis, where, (x, y), cause))
    for face in ("bottom", "top"):
        basis = "EN 1992-1-1, 9.3.1.1(1) with Eq. 9.1N"
        found.append(Check(f"least steel, {face}", 251.3, 149.7, "mm2/m", "at least", basis, "wires along y"))
        basis = "EN 1992-1-1, 9.3.1.1(3), at concentrated loads"
        found.append(Check(f"greatest pitch, {face}", 200.0, 250.0, "mm", "at most", basis))
    jack, foot = worst(strength.punching, "jack"), worst(strength.punching, "foot")
    for place, words in ((jack, "jacks"), (foot, "feet")):
        if place:
            stress = place.stress / 1e6, place.strength / 1e6
            where = f"{place.name}, {place.perimeter.position}"
            names = (f"punching at {words}, perimeter", f"punching at {words}, at the load", f"bearing at {words}")
            for name in names:
                found.append(Check(name, *stress, "MPa", "at most", "EN 1992-1-1, 6.4.4", where, place.xy, cause))
    for state in ("bare", "service", "full"):
        for corner in strength.corners[:1]:
            basis = f"EN 1992-1-1, 6.1, mean over {corner.strip * 1e3:.0f} mm; without trimmers"
            where = f"corner at ({corner.xy[0]:.3f}, {corner.xy[1]:.3f}) m, bottom"
            found.append(Check(f"re-entrant corner, {state}", 2.4, 8.1, "kN·m/m", "at most", basis, where, corner.xy))
    basis = "EN 1992-1-1, fctk,0.05 at 4 days = 1.44 MPa (3.1.2(9), Table 3.1)"
    where = f"{view.schedule.ids[0]}, bare slab on all jacks"
    first = (float(view.schedule.xy[0, 0]), float(view.schedule.xy[0, 1]))
    return (
        *found,
        Check("crack width, bottom, service", 0.3004, 0.3, "mm", "at most", "EN 1992-1-1, 7.3.4", "slab", (2.0, 1.0)),
        Check("punching, day of lifting", inf, 0.4, "MPa", "at most", "EN 1992-1-1, 6.4.4", "", first),
        Check("cracking, day of lifting", 1.9, 3.75, "kN·m/m", "at most", basis, where, first),
        Check(
            "age for the lift", 4.0, 2.0, "days", "at least", "EN 1992-1-1, 3.1.2: first whole day on which it passes"
        ),
        Check("sag between jacks, service", 0.4, 5.2, "mm", "at most", "EN 1992-1-1, 7.4.1(4)", "jacks J01 and J02"),
    )


@pytest.fixture(scope="module")
def view(floor_view: FloorView) -> FloorView:
    """The small floor at loads that pass bending nowhere near jacks but crack nothing."""
    return replace(floor_view, strength=sample_strength(floor_view))


@pytest.fixture(scope="module")
def strength(view: FloorView) -> Strength:
    assert view.strength
    return view.strength


@pytest.fixture(scope="module")
def over(floor_view: FloorView) -> FloorView:
    """The same floor at eight times the load: bending, punching and crack widths are not met."""
    return replace(floor_view, strength=sample_strength(floor_view, 8.0))


@pytest.fixture(scope="module")
def drawn(view: FloorView) -> dict[str, Figure]:
    return {name: draw(view) for name, draw in drawings(view).items() if name.startswith("strength")}


@pytest.fixture(scope="module")
def drawn_over(over: FloorView) -> dict[str, Figure]:
    return {name: draw(over) for name, draw in drawings(over).items() if name.startswith("strength")}


def words(thing: Figure | Axes) -> str:
    """All words, without breaks of lines and spaces that do not break."""
    said = " ".join(text.get_text() for text in thing.findobj(Text))
    return said.replace("\n", " ").replace("\N{NO-BREAK SPACE}", " ")


def plans(figure: Figure) -> list[Axes]:
    """The axes in metres."""
    return [ax for ax in figure.axes if ax.get_xlabel() == "x, m"]


def rings(ax: Axes) -> Floats:
    """(n, 2) places of the rings on a plan."""
    return np.array([np.ravel(line.get_xydata()) for line in ax.lines if line.get_gid() == "ring"]).reshape(-1, 2)


def marks(ax: Axes) -> list[Text]:
    """The framed words of marks."""
    return [text for text in ax.texts if text.get_gid() == "mark"]


def test_files_with_and_without_strength(
    floor_view: FloorView, view: FloorView, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The sheets of strength come after those of every floor, and only where there is a strength."""
    monkeypatch.setattr(figures, "DRAWINGS", {"modes": figures.DRAWINGS["modes"]})
    assert list(drawings(floor_view)) == ["modes"]
    new = ["strength-bending", "strength-punching", "strength-cracks", "strength-checks"]
    assert list(drawings(view)) == ["modes", *new]
    files = write_figures(view, tmp_path)
    assert [file.name for file in files] == [f"{name}.{kind}" for name in drawings(view) for kind in ("png", "pdf")]
    assert set(files) == set(tmp_path.iterdir())
    assert all(file.stat().st_size > 10_000 for file in files)


@pytest.mark.parametrize("name", ["strength-bending", "strength-punching", "strength-cracks", "strength-checks"])
@pytest.mark.parametrize("which", ["drawn", "drawn_over"])
def test_words_keep_to_the_sheet_and_clear_of_each_other(name: str, which: str, request: pytest.FixtureRequest) -> None:
    """No word leaves the frame, and no words outside plans lie on others; marks on plans lie on no other mark."""
    figure: Figure = request.getfixturevalue(which)[name]
    lay_out(figure)
    paper = box(*figure.bbox.extents)
    inside = paper.buffer(-0.02 * figure.bbox.width)
    seen = [text for text in figure.findobj(Text) if text.get_text().strip() and text.get_visible()]
    frames = [box(*text.get_window_extent().extents) for text in seen]
    assert len(frames) > 40
    assert all(inside.contains(frame) for frame in frames)
    on_plans = {text for ax in plans(figure) for text in ax.texts}
    beside = [frame for text, frame in zip(seen, frames, strict=True) if text not in on_plans]
    tree = shapely.STRtree(beside)
    first, second = tree.query(beside, predicate="intersects")
    apart = first < second
    shared = shapely.area(shapely.intersection(np.array(beside)[first[apart]], np.array(beside)[second[apart]]))
    least = np.minimum(shapely.area(beside)[first[apart]], shapely.area(beside)[second[apart]])
    assert np.all(shared < 0.15 * least)  # boxes of lines have room for accents above and below, which may touch
    for ax in plans(figure):
        framed = [box(*text.get_window_extent().extents) for text in marks(ax)]
        assert not any(one.intersects(other) for i, one in enumerate(framed) for other in framed[:i])
        assert all(box(*ax.bbox.extents).contains(frame) for frame in framed)


@pytest.mark.parametrize("name", ["strength-bending", "strength-punching", "strength-cracks", "strength-checks"])
def test_words_are_large_enough(drawn: dict[str, Figure], name: str) -> None:
    """6 points at least, but for the captions of the title block (5.5, as on all sheets)."""
    captions = {"Title", "Drawing", "Units", "Reference", "Revision"}
    sizes = [text.get_fontsize() for text in drawn[name].findobj(Text) if text.get_text() not in {"", *captions}]
    assert min(sizes) >= 6.0


@pytest.mark.parametrize("name", ["strength-bending", "strength-punching", "strength-cracks", "strength-checks"])
def test_title_block_and_units(drawn: dict[str, Figure], name: str) -> None:
    said = words(drawn[name])
    for part in (CAUTION, "Practice room over a workshop", "T-1", "Revision", "x, m", "y, m", "plan m"):
        assert part in said


def test_bending_sheet_says_face_steel_resistance_and_use(
    view: FloorView, strength: Strength, drawn: dict[str, Figure]
) -> None:
    figure = drawn["strength-bending"]
    use = bending_use(strength)
    np.testing.assert_allclose(use, strength.demand / strength.resistance)
    for ax, side, letter in zip(plans(figure), range(4), LETTERS, strict=True):
        face, direction = FACES[side]
        fabric = {"bottom": "A252", "top": "A193"}[face]
        resistance = number(strength.resistance[side] / 1e3, 2)
        title = ax.get_title()
        assert f"{face.capitalize()} face, {fabric} along {direction}: MRd {resistance} kN·m/m" in title
        assert f"greatest use {use_words(use[:, side].max())} at {letter}" in title
    said = words(figure)
    for part in ("Wood and Armer", "275 mm wide", strength.combinations[0], "2 strength combinations"):
        assert part in said
    assert "is not reached anywhere" in said


def test_greatest_use_is_marked_where_the_check_says(strength: Strength, drawn: dict[str, Figure]) -> None:
    for ax, side, letter in zip(plans(drawn["strength-bending"]), range(4), LETTERS, strict=True):
        np.testing.assert_allclose(rings(ax), [strength.checks[side].xy])
        assert [text.get_text() for text in marks(ax)] == [letter]


def test_peak_beside_a_jack_is_the_jack(view: FloorView, strength: Strength) -> None:
    """The value of a strip mean stands at all vertices around: the ring goes to the jack, not to the first vertex."""
    spot = view.schedule.xy[5]
    values = np.where(np.hypot(*(strength.mesh.vertices - spot - [0.06, 0.03]).T) < 0.16, 3.0, 1.0)
    assert np.count_nonzero(values == 3.0) > 1
    found = peak(view, strength, values)
    assert (found.name, found.value) == ("jack J06", 3.0)
    np.testing.assert_allclose(found.xy, spot)
    alone = np.zeros(len(values))
    far = int(np.argmax(np.hypot(*(strength.mesh.vertices[:, None] - view.schedule.xy).T).min(axis=0)))
    alone[far] = 1.0
    assert peak(view, strength, alone).name == "slab"
    np.testing.assert_allclose(peak(view, strength, alone).xy, strength.mesh.vertices[far])


@pytest.mark.parametrize("name", ["strength-bending", "strength-cracks"])
def test_what_is_beyond_the_limit_is_hatched_and_said(
    drawn: dict[str, Figure], drawn_over: dict[str, Figure], name: str
) -> None:
    def hatched(figure: Figure) -> list[bool]:
        return [any(patch.get_gid() == "beyond" and patch.get_hatch() for patch in ax.patches) for ax in plans(figure)]

    assert not any(hatched(drawn[name]))
    titles = [ax.get_title() for ax in plans(drawn_over[name])]
    assert hatched(drawn_over[name]) == ["NOT MET" in title for title in titles]
    assert any(hatched(drawn_over[name]))
    assert "beyond the limit" in words(drawn_over[name])
    assert "beyond the limit" not in words(drawn[name])


def test_use_above_one_in_the_zones_of_corners_alone(view: FloorView, strength: Strength) -> None:
    """There trimmers help, so it is no failure of the mat: hatched, and told apart in words."""
    zones = in_zones(strength)
    use = np.where(zones, 1.5, 0.4)[:, None] * np.ones(4)
    moments = replace(strength, demand=use * strength.resistance, checks=())
    figure = bending_figure(view, moments)
    for ax in plans(figure):
        assert "greatest use 0.40" in ax.get_title()
        assert "above 1 at re-entrant corners only" in ax.get_title()
        assert any(patch.get_gid() == "beyond" for patch in ax.patches)
    assert "the mats alone are used up to 1.50" in words(figure)
    assert 0 < np.count_nonzero(zones) < len(zones)


def test_hatch_covers_what_is_above_one(over: FloorView, drawn_over: dict[str, Figure]) -> None:
    """Vertices clearly above 1 lie in the hatched region, those clearly below do not."""
    assert over.strength
    use, vertices = bending_use(over.strength), over.strength.mesh.vertices
    for ax, side in zip(plans(drawn_over["strength-bending"]), range(4), strict=True):
        for patch in ax.patches:
            if patch.get_gid() == "beyond":
                rings = [Polygon(ring) for ring in patch.get_path().to_polygons()]
                region = functools.reduce(Polygon.symmetric_difference, rings)
                inside = shapely.contains_xy(region, vertices)
                edge = shapely.distance(shapely.points(vertices), over.plan.boundary) < 1e-6
                assert np.all(inside[(use[:, side] > 1.001) & ~edge])
                assert not np.any(inside[use[:, side] < 0.999])


def test_scale_ends_at_the_limit_or_at_half_of_it() -> None:
    for top, expected in ((0.05, 0.5), (0.49, 0.5), (0.51, 1.0), (3.0, 1.0), (inf, 1.0)):
        levels = FaceMap(np.array([[0.0, top, 0.0, 0.0]]), 1.0).levels
        assert levels[0] == 0.0
        assert levels[-1] == pytest.approx(expected)
        assert np.all(np.diff(levels) > 0)
        assert len(levels) >= 6


def test_area_beyond_the_limit(strength: Strength, view: FloorView) -> None:
    assert area_from(strength.mesh, np.ones(len(strength.mesh.vertices)), 1.0) == pytest.approx(view.plan.area)
    assert area_from(strength.mesh, np.zeros(len(strength.mesh.vertices)), 1.0) == 0.0


def test_a_face_without_resistance(view: FloorView, strength: Strength) -> None:
    """No steel near the top: infinite use is drawn without a warning (an error here) and called ∞."""
    bare = replace(
        strength,
        layers=replace(LAYERS, top=None),
        resistance=strength.resistance * [1, 1, 0, 0],
        crack_width=np.where([False, False, True, True] & (strength.demand > 0), inf, strength.crack_width),
        checks=(),
    )
    for draw in (bending_figure, crack_figure):
        figure = draw(view, bare)
        lay_out(figure)
        assert "∞" in words(figure)
        assert "no mat" in words(figure)
        assert "NOT MET" in plans(figure)[2].get_title()
        assert "NOT MET" not in plans(figure)[0].get_title()


def test_punching_sheet_draws_every_perimeter(strength: Strength, drawn: dict[str, Figure]) -> None:
    """Effective lengths on the plan add up to those of the perimeters; lines are thinned by half a millimetre."""
    ax = plans(drawn["strength-punching"])[0]
    found = {str(each.get_gid()): each for each in ax.collections}

    def length(gid: str) -> float:
        return float(sum(np.hypot(*np.diff(path.vertices, axis=0).T).sum() for path in found[gid].get_paths()))

    for kind in ("jack", "foot"):
        places = [place for place in strength.punching if place.kind == kind]
        assert length(f"effective {kind}") == pytest.approx(sum(p.perimeter.length for p in places), rel=5e-3)
        np.testing.assert_allclose(found[kind].get_offsets(), [place.xy for place in places])
    taken = sum(place.perimeter.ineffective.length for place in strength.punching)
    assert taken > 0.1
    assert length("ineffective") == pytest.approx(taken, rel=5e-3)
    assert found["ineffective"].get_linestyle() != found["effective jack"].get_linestyle()
    size = found["jack"].get_sizes()[0] ** 0.5 * 25.4 / 72 / paper_scale(ax)
    assert size == pytest.approx(0.15, rel=1e-3)  # 64 chords a quarter stand for the circle


def test_punching_sheet_labels_places_and_tells_the_worst(
    view: FloorView, strength: Strength, drawn: dict[str, Figure]
) -> None:
    figure = drawn["strength-punching"]
    ax = plans(figure)[0]
    labels = {text.get_text() for text in ax.texts}
    assert {place_label(place) for place in strength.punching} <= labels
    jack, foot = worst(strength.punching, "jack"), worst(strength.punching, "foot")
    assert jack
    assert foot
    np.testing.assert_allclose(rings(ax), [jack.xy, foot.xy])
    assert [text.get_text() for text in marks(ax)] == ["A", "B"]
    said = words(figure)
    for place, face in ((jack, "top"), (foot, "bottom")):
        depth = np.mean([LAYERS.effective_depth(face, direction) for direction in ("x", "y")]) * 1e3
        assert f"{place.name} " in said
        assert f"{place.perimeter.position}: use {use_words(place.use)}, met" in said
        assert f"VEd {number(place.force / 1e3, 2)} kN, d {number(float(depth), 1)} mm" in said
        assert f"vRd,c {number(place.strength / 1e6, 3)} MPa" in said
        assert f"vRd,max {number(place.face_limit / 1e6, 2)} MPa" in said
    assert "No use is above 1" in said


def test_punching_above_one_is_told_by_a_sign_and_a_word(over: FloorView, drawn_over: dict[str, Figure]) -> None:
    assert over.strength
    ax = plans(drawn_over["strength-punching"])[0]
    places = [place for place in over.strength.punching if place.use > 1]
    assert places
    crossed = next(line for line in ax.lines if line.get_gid() == "over")
    np.testing.assert_allclose(crossed.get_xydata(), [place.xy for place in places])
    assert crossed.get_marker() == "X"
    assert sum(" over" in text.get_text() for text in ax.texts) == len(places)
    assert f"NOT MET: {len(places)} places" in words(drawn_over["strength-punching"])


def test_a_place_without_perimeter(view: FloorView, strength: Strength) -> None:
    first, *others = strength.punching
    gone = replace(first, stress=inf, perimeter=replace(first.perimeter, effective=shapely.LineString(), length=0.0))
    figure = punching_figure(view, replace(strength, punching=(gone, *others)))
    lay_out(figure)
    said = words(figure)
    assert "no perimeter is left" in said
    assert "J01 ∞ over" in said


def test_crack_sheet_names_corners_and_their_trimmers(
    view: FloorView, strength: Strength, drawn: dict[str, Figure]
) -> None:
    """The worst corner, the last of the sample, comes first; bars lie across the corner's bisector, in the slab."""
    figure = drawn["strength-cracks"]
    said = words(figure)
    corner = strength.corners[3]
    assert f"1  ({number(corner.xy[0], 3)}, {number(corner.xy[1], 3)}) m: 3 Ø12 bottom, 2 Ø12 top" in said
    assert "cracking use bare 0.23, service 0.31, full 1.20: CRACKS" in said
    assert "full 0.90: below cracking" in said
    assert bars_words(strength.corners[0], 0.012) == "2 Ø12 bottom"
    assert bars_words(replace(corner, trimmers={}), 0.012) == "no trimmers"
    for ax, (face, _) in zip(plans(figure), FACES, strict=True):
        bars = next(each for each in ax.collections if each.get_gid() == "trimmers").get_segments()
        assert len(bars) == sum(each.trimmers.get(face, 0) for each in strength.corners)
        for bar in bars:
            middle, along = np.mean(bar, axis=0), np.arctan2(*(bar[1] - bar[0])[::-1])
            nearest = min(strength.corners, key=lambda each: float(np.hypot(*(middle - each.xy))))
            assert np.sin(along - nearest.across) == pytest.approx(0.0, abs=1e-9)
            assert view.plan.contains(shapely.Point(middle))
            assert np.hypot(*(middle - nearest.xy)) * paper_scale(ax) < 5.0


def test_of_many_corners_the_worst_are_listed(view: FloorView, strength: Strength) -> None:
    uses = [0.01 * number for number in range(14)]
    corners = tuple(replace(strength.corners[i % 4], cracking_use={"full": use}) for i, use in enumerate(uses))
    said = words(crack_figure(view, replace(strength, corners=corners)))
    assert f"and {14 - LISTED} more" in said
    for use in uses:
        assert (f"full {use:.2f}" in said) == (use > 0.035)


def test_every_check_is_in_the_table(strength: Strength, drawn: dict[str, Figure]) -> None:
    figure = drawn["strength-checks"]
    table = next(ax for ax in figure.axes if "Place, combination" in words(ax))
    said = words(table)
    assert check_sheets(strength) == 1
    for check in strength.checks:
        assert check.name in said
        assert check.basis in said
        assert check.where in said
        assert check.combination in said
        value, limit = shown_pair(check.value, check.limit)
        assert f"{value} {'≤' if check.sense == 'at most' else '≥'} {limit}" in said
    missed = [text for text in table.texts if text.get_text() == "NOT MET"]
    assert len(missed) == sum(not check.ok for check in strength.checks) == 2
    assert all(text.get_weight() == "bold" for text in missed)
    assert sum(text.get_text() == "met" for text in table.texts) == len(strength.checks) - 2


def test_places_of_checks_carry_all_their_numbers(strength: Strength, drawn: dict[str, Figure]) -> None:
    """Each number stands once, in the mark whose ring is at its place, give or take the 3 mm that places share."""
    ax = plans(drawn["strength-checks"])[0]
    circles, said = rings(ax), [text.get_text() for text in marks(ax)]
    assert len(circles) == len(said)
    numbers = [[int(part) for part in text.replace("\n", " ").split(", ")] for text in said]
    at = {number: place for place, group in zip(circles, numbers, strict=True) for number in group}
    assert sorted(number for group in numbers for number in group) == sorted(at)
    assert sorted(at) == [number for number, check in enumerate(strength.checks, 1) if check.xy]
    for i, place in at.items():
        assert np.hypot(*(place - strength.checks[i - 1].xy)) * paper_scale(ax) <= 3.0
    assert max(len(group) for group in numbers) >= 3


def test_marks_at_the_edge_stay_inside_the_axes(view: FloorView) -> None:
    """Long words at the corners of the outline, where most paper around is outside."""
    figure = new_sheet(view, "marks", "m")
    ax = plan_axes(figure, Box(20.0, 40.0, 110.0, 80.0), view, to_scale=False)
    places = np.array([[0.0, 0.0], [6.0, 0.0], [6.0, 4.0], [0.0, 4.0]])
    written = Marks(ax, view, places)
    for place in places:
        written.ring(place, "11, 12, 13, 14,\n15, 16, 17, 18")
    lay_out(figure)
    frames = [box(*text.get_window_extent().extents) for text in marks(ax)]
    assert len(frames) == 4
    assert all(box(*ax.bbox.extents).contains(frame) for frame in frames)


def test_checks_sheet_gives_the_verdicts(strength: Strength, drawn: dict[str, Figure]) -> None:
    said = words(drawn["strength-checks"])
    missed = [str(i) for i, check in enumerate(strength.checks, 1) if not check.ok]
    for part in (
        f"NOT MET: {', '.join(missed)}",
        "20 of 22 checks are met",
        "Bottom mat: A252",
        "Without it fails: bending, bottom x.",
        "Without it no check fails.",
        "Day of lifting: concrete 4 days old",
        "fcm 27.30 MPa, fctm 2.06 MPa, fctk,0.05 1.44 MPa, Ecm 29.9 GPa",
        "moment of the bare slab 1.90 kN·m/m, cracking moment 3.75 kN·m/m: met",
        "Earliest age at which the lift passes: 2 days",
        "fck 32 MPa, γC 1.5",
        "γG 1.35 or 1, γQ 1.5",
    ):
        assert part in said


def test_a_lift_that_never_passes_and_no_lift(view: FloorView, strength: Strength) -> None:
    assert strength.lift
    assert "NO AGE" in words(checks_figure(view, replace(strength, lift=replace(strength.lift, earliest_age=None))))
    assert "Day of lifting" not in words(checks_figure(view, replace(strength, lift=None)))


def test_too_many_checks_go_on_a_second_sheet(view: FloorView, strength: Strength) -> None:
    """Three times the checks: none is lost, and each stands on one sheet only."""
    checks = tuple(replace(check, name=f"{check.name} {i}") for i in range(3) for check in strength.checks)
    long = replace(strength, checks=checks)
    names = [name for name in drawings(replace(view, strength=long)) if name.startswith("strength-checks")]
    assert names == ["strength-checks", "strength-checks-2"]
    said = [words(checks_figure(view, long, sheet)) for sheet in range(2)]
    assert all(sum(f" {check.name} " in page for page in said) == 1 for check in checks)
    assert "sheet 2 of 2" in said[1]
    assert ("Materials" in said[0], "Materials" in said[1]) == (True, False)


def test_a_slab_without_corners_feet_and_lift(view: FloorView, strength: Strength) -> None:
    jacks = tuple(place for place in strength.punching if place.kind == "jack")
    plain = replace(strength, punching=jacks, corners=(), lift=None)
    there = replace(view, re_entrant_corners=np.zeros((0, 2)), items=(), strength=plain)
    for name, draw in drawings(there).items():
        if name.startswith("strength"):
            figure = draw(there)
            lay_out(figure)
            assert "foot of equipment" not in words(figure)
            assert "Re-entrant corners: where cracks start" not in words(figure)


@pytest.mark.parametrize(
    ("value", "limit", "said"),
    [
        (28.7046, 12.002, ("28.7", "12.0")),
        (0.2354, 43.56, ("0.235", "43.6")),
        (0.30004, 0.3, ("0.30004", "0.30000")),
        (200.0, 250.0, ("200", "250")),
        (inf, 0.41, ("∞", "0.410")),
        (-0.5, 0.0, ("−0.500", "0.000")),
        (1.0, 1.0, ("1", "1")),
    ],
)
def test_values_and_limits_show_their_sides(value: float, limit: float, said: tuple[str, str]) -> None:
    assert shown_pair(value, limit) == said


@pytest.mark.parametrize(
    ("value", "limit", "sense", "use"),
    [
        *((2.0, 4.0, "at most", "0.50"), (2.0, 4.0, "at least", "2.00"), (1.001, 1.0, "at most", "1.001")),
        *((0.0, 0.0, "at most", "0"), (3.0, 0.0, "at most", "∞"), (inf, 1.0, "at most", "∞")),
        *((-1.0, 0.0, "at least", "–"), (-1.0, 2.0, "at most", "–")),
    ],
)
def test_use_of_a_check(value: float, limit: float, sense: str, use: str) -> None:
    assert check_use(Check("name", value, limit, "", "at least" if sense == "at least" else "at most", "")) == use


@pytest.mark.parametrize(
    ("numbers", "said"), [([3], "3"), ([3, 5], "3, 5"), ([1, 2, 3, 4, 5], "1, 2, 3, 4,\n5"), ([], "")]
)
def test_grouped_numbers(numbers: list[int], said: str) -> None:
    assert grouped_words(numbers) == said


@pytest.mark.parametrize("text", ["", "one", "a mean over 275 mm; without trimmers", "unbreakable" * 6])
def test_wrapped_lines_fit_and_keep_every_character(text: str) -> None:
    lines = wrapped(text, 7.0, 30.0)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(text_width(line, 7.0) <= 30.01 for line in lines)  # widths of single words add up to rounding
    assert wrapped("sample words", 7.0, 300.0) == ["sample words"]
