"""The whole assessment of a slab under effects made up: the choice of mats, the verdicts, the first day of a lift."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from numpy.typing import NDArray

from postprocess.strength.assess import assess
from postprocess.strength.bending import section_resistance
from postprocess.strength.demand import Envelope
from postprocess.strength.design import Design
from postprocess.strength.effects import Effects, LiftDay, ShearPeak, SpotForces
from postprocess.strength.layers import FACES
from postprocess.strength.lift import cracking_check, strength_checks
from postprocess.strength.local_checks import Perimeters
from postprocess.strength.result import Strength
from postprocess.strength.slab_checks import crack_widths
from tests.unit.strength_cases import A142, A193, A252, A393, ANGLE, a_design, a_stage, no_effects, young

Floats = NDArray[np.float64]

PAIRS = sorted(
    product((A142, A193, A252, A393), repeat=2), key=lambda pair: (pair[0].mass + pair[1].mass, pair[1].mass)
)
"""All pairs of square fabrics (bottom, top), lightest first."""
CANDIDATES = [a_design(*pair) for pair in PAIRS]
YOUNG_AND_OLD = {"concrete strength", "bending", "punching"}


def loaded(demand: tuple[float, ...], service: float = 1e3, jack: float = 20e3, foot: float = 5e3) -> Effects:
    """The angle with the same design moments (bottom x, y, top x, y) at all places but the corner's, N·m/m."""
    effects = no_effects(ANGLE)
    m = len(effects.places.xy)
    return replace(
        effects,
        design=Envelope(np.tile(demand, (m, 1)), np.zeros((m, 4), dtype=np.int64)),
        service=np.full((m, 4), service),
        spots=SpotForces(np.array([jack] * 3 + [foot] * 2), np.zeros(5, dtype=np.int64)),
        shear=ShearPeak(10e3, (3.0, 0.5), 0),
        across_design=np.array([[3e3, -2e3]]),
    )


def passes(strength: Strength) -> bool:
    return all(check.ok for check in strength.checks)


def names(strength: Strength) -> tuple[str, str]:
    layers = strength.layers
    assert layers.bottom
    assert layers.top
    return layers.bottom.name, layers.top.name


@pytest.mark.parametrize(
    "demand",
    [(1e3, 1e3, 1e3, 1e3), (11e3, 10e3, 1e3, 1e3), (1e3, 1e3, 9.5e3, 11e3), (15e3, 3e3, 9e3, 9e3)],
)
def test_the_lightest_pair_that_passes(demand: tuple[float, ...]) -> None:
    """Of all pairs, each assessed by itself, those that pass; among them the one with the least steel."""
    effects = loaded(demand)
    single = [assess(effects, [design], None) for design in CANDIDATES]
    first = min(
        (i for i, strength in enumerate(single) if passes(strength)), key=lambda i: sum(mat.mass for mat in PAIRS[i])
    )
    chosen = assess(effects, CANDIDATES, None)
    assert names(chosen) == names(single[first])
    assert chosen.checks == single[first].checks
    assert chosen.chosen
    assert not single[first].chosen
    assert sum(passes(strength) for strength in single) < len(single), "or anything would do"


def test_the_choice_depends_on_the_demand() -> None:
    """By hand, from MRd of about 9, 12 and 18 kN·m/m with A193, A252 and A393: A142 has too little steel at all."""
    for demand, expected in (((1e3,) * 4, (A193, A193)), ((15e3, 3e3, 9e3, 9e3), (A393, A193))):
        assert names(assess(loaded(demand), CANDIDATES, None)) == tuple(mat.name for mat in expected)


def test_the_choice_counts_the_day_of_lifting() -> None:
    """A pair that passes later but not with its young concrete is not chosen."""
    effects = loaded((1e3,) * 4)
    day = LiftDay(young(4), (a_stage(effects.places, 0.5e3, (8e3, 0, 0, 0)),))
    with_lift = assess(replace(effects, lift=day), CANDIDATES, lambda age: LiftDay(young(age), day.stages))
    assert names(assess(effects, CANDIDATES, None)) != names(with_lift)
    assert passes(with_lift)


def test_the_heaviest_pair_where_none_passes() -> None:
    strength = assess(loaded((50e3,) * 4), CANDIDATES, None)
    assert names(strength) == (A393.name, A393.name)
    assert not passes(strength)


def test_what_fails_without_each_mat() -> None:
    """With both all is met; with the bottom left out: its bending, steel and cracks, shear, punching under feet and
    the corner's sagging; likewise the top. Nothing of what the mat that stays does.
    """
    strength = assess(loaded((6e3, 6e3, 6e3, 6e3)), [a_design(A252, A252)], None)
    assert passes(strength)
    bottom, top = strength.layer_verdicts
    both = {"shear without links"}
    for verdict, face, kind in ((bottom, "bottom", "feet"), (top, "top", "jacks")):
        own = {f"bending, {face} x", f"bending, {face} y", f"least steel, {face}", f"crack width, {face}, service"}
        found = set(verdict.fails_without)
        assert found >= own | both | {f"punching at {kind}, perimeter"}
        assert len(verdict.fails_without) == len(found)
        other = "top" if face == "bottom" else "bottom"
        assert not {name for name in found if other in name}
        assert verdict.face == face


def test_a_check_that_fails_anyway_fails_without_a_mat_too() -> None:
    """Bending of the bottom along x fails with both mats, and all the more without the bottom one."""
    strength = assess(loaded((30e3, 6e3, 6e3, 6e3)), [a_design(A252, A252)], None)
    assert "bending, bottom x" in strength.layer_verdicts[0].fails_without
    assert "bending, bottom x" in strength.layer_verdicts[1].fails_without
    assert "bending, bottom y" in strength.layer_verdicts[0].fails_without


def test_a_mat_that_nothing_needs() -> None:
    """Without moments on the top and without jack loads only the least steel and shear ask for it."""
    effects = replace(loaded((1e3, 1e3, 0, 0), jack=0.0), across_design=np.array([[3e3, 0.0]]))
    service = effects.service.copy()
    service[:, 2:] = 0
    strength = assess(replace(effects, service=service), [a_design()], None)
    assert set(strength.layer_verdicts[1].fails_without) == {"least steel, top", "shear without links"}


def test_use_of_the_wires_and_where() -> None:
    """Greatest design moment over MRd along x and along y, each at its own place, the corner left to its own check."""
    effects = loaded((0, 0, 0, 0))
    size = np.zeros_like(effects.design.size)
    v = len(effects.places.mesh.vertices)
    size[v, 0], size[v + 3, 1], size[2, 2], size[v + 1, 3] = 6e3, 5e3, 4e3, 3e3
    size[-2:] = 1e6
    design = a_design()
    strength = assess(replace(effects, design=Envelope(size, effects.design.column)), [design], None)
    MRd = [section_resistance(design.layers.section(*side), design.materials) for side in FACES]
    bottom, top = strength.layer_verdicts
    np.testing.assert_allclose(bottom.use, [6e3 / MRd[0], 5e3 / MRd[1]], rtol=1e-12)
    np.testing.assert_allclose(top.use, [4e3 / MRd[2], 3e3 / MRd[3]], rtol=1e-12)
    assert bottom.where == ("jack J1", "Rack, foot 1")
    assert top.where == (effects.places.name(2), "jack J2")
    np.testing.assert_allclose(strength.resistance, MRd, rtol=1e-12)
    assert (bottom.fabric, top.fabric) == (A252.name, A193.name)


def test_part_of_the_area_where_wires_are_used_above_half() -> None:
    """Just above half on all vertices west of x = 3 m, just below elsewhere: each has a third of the triangles around
    it. Summed here triangle by triangle; rounding. Of 16 m² about 10 lie there, so the share is near 10/16, within a
    row of triangles.
    """
    effects = loaded((0, 0, 0, 0))
    mesh = effects.places.mesh
    home = effects.places.home
    west = mesh.vertices[:, 0] < 3.0
    size = np.zeros_like(effects.design.size)
    design = a_design()
    size[home[west], 3] = 0.51 * design.resistances[3]
    size[home[~west], 3] = 0.49 * design.resistances[3]
    size[:, 0] = 0.9 * design.resistances[0]
    carries = size[home, 3] > design.resistances[3] / 2
    expected = (
        sum(area * carries[corners].sum() / 3 for area, corners in zip(mesh.areas, mesh.triangles, strict=True))
        / ANGLE.area
    )
    strength = assess(replace(effects, design=Envelope(size, effects.design.column)), [design], None)
    bottom, top = strength.layer_verdicts
    np.testing.assert_allclose(bottom.share_used, [1, 0], rtol=1e-12)
    np.testing.assert_allclose(top.share_used, [0, expected], rtol=1e-12)
    assert expected == pytest.approx(10 / 16, abs=0.5 * 2 / 16 / 2 + 0.02)


def test_fields_at_vertices_are_those_of_their_homes() -> None:
    """Beside a jack its strip mean stands; in the corner's zone the zone's for bending, the strip's for cracks."""
    effects = loaded((0, 0, 0, 0))
    rng = np.random.default_rng(5)
    m = len(effects.places.xy)
    size, column = rng.uniform(0, 5e3, (m, 4)), rng.integers(0, 3, (m, 4))
    service = rng.uniform(0, 5e3, (m, 4))
    design = a_design()
    strength = assess(replace(effects, design=Envelope(size, column), service=service), [design], None)
    vertices = effects.places.mesh.vertices
    at_corner = int(np.argmin(np.hypot(*(vertices - [2, 2]).T)))
    np.testing.assert_array_equal(strength.demand[at_corner], size[-3])
    np.testing.assert_array_equal(strength.combination[at_corner], column[-3])
    np.testing.assert_allclose(strength.crack_width[at_corner], crack_widths(service[[-4]], design)[0])
    far = int(np.argmin(np.hypot(*(vertices - [6, 0]).T)))
    np.testing.assert_array_equal(strength.demand[far], size[far])
    np.testing.assert_allclose(strength.use, strength.demand / design.resistances)
    assert [place.kind for place in strength.punching] == ["jack"] * 3 + ["foot"] * 2
    assert strength.strip == pytest.approx(0.275)


def lifted(effects: Effects, design: Design, age: float, growth: float, moment: float) -> Strength:
    """The bare slab feels `moment` at 28 days and, by its modulus, βcc^growth of it before."""

    def lift_at(days: float) -> LiftDay:
        share = (young(days).fcm / 40e6) ** growth
        return LiftDay(young(days), (a_stage(effects.places, share * moment, (share * moment,) * 4, (2e3,) * 3),))

    return assess(replace(effects, lift=lift_at(age)), [design], lift_at)


@pytest.mark.parametrize("moment", [1e3, 3e3, 4.5e3, 9e3])
def test_first_day_that_passes(moment: float) -> None:
    """Against each of the first four weeks tried by itself, from lifts at several ages. 9 kN·m/m passes never:
    fctk,0.05 h²/6 has grown to 6.6 kN·m/m after a year.
    """
    effects, design = loaded((1e3,) * 4), a_design()
    perimeters = Perimeters(effects)

    def all_met(days: int) -> bool:
        share = (young(days).fcm / 40e6) ** 0.3
        stage = a_stage(effects.places, share * moment, (share * moment,) * 4, (2e3,) * 3)
        then = LiftDay(young(days), (stage,))
        checks = [cracking_check(effects, then, 0.125), *strength_checks(effects, design, perimeters, then)]
        return all(check.ok for check in checks)

    expected = next((day for day in [*range(1, 29), 365] if all_met(day)), None)
    assert expected != 365
    assert (expected is None) is (moment == 9e3)
    for age in (1, 4, 90):
        strength = lifted(effects, design, age, 0.3, moment)
        assert strength.lift
        assert strength.lift.earliest_age == expected
        check = next(check for check in strength.checks if check.name == "age for the lift")
        assert check.ok is (expected is not None and age >= expected)
        share = (young(age).fcm / 40e6) ** 0.3
        assert strength.lift.moment == pytest.approx(share * moment)
        assert strength.lift.limit == pytest.approx(0.7 * young(age).fctm * 0.125**2 / 6)


def test_checks_of_the_day_stand_among_all() -> None:
    """Once each, with the others; without a lift none of them."""
    effects, design = loaded((1e3,) * 4), a_design()
    found = [check.name for check in lifted(effects, design, 4, 0.3, 2e3).checks]
    assert len(set(found)) == len(found)
    day = {"cracking, day of lifting", "age for the lift"} | {f"{word}, day of lifting" for word in YOUNG_AND_OLD}
    assert day <= set(found)
    without = assess(effects, [design], None)
    assert without.lift is None
    assert set(found) - {check.name for check in without.checks} == day


def test_corner_of_the_bare_slab_cracks_by_its_age() -> None:
    """Bare: the stages of the lift at its age, if there is one; others: at 28 days. fctk,0.05 h²/6 by hand."""
    effects, design = loaded((1e3,) * 4), a_design()
    effects = replace(effects, across=dict.fromkeys(effects.across, np.array([2e3])))
    at_28 = 2e3 / (0.7 * 0.30 * 32 ** (2 / 3) * 1e6 * 0.125**2 / 6)
    (corner,) = assess(effects, [design], None).corners
    assert corner.cracking_use == pytest.approx(dict.fromkeys(("bare", "service", "full"), at_28))
    strength = lifted(effects, design, 4, 0.3, 1e3)  # the same moment at all places
    (corner,) = strength.corners
    assert strength.lift
    bare = strength.lift.moment / (0.7 * young(4).fctm * 0.125**2 / 6)
    assert corner.cracking_use == pytest.approx({"bare": bare, "service": at_28, "full": at_28})
