"""Answers that are known from outside, computed anew by the program's own plate, solvers and rules in every run."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from shapely import box
from threadpoolctl import threadpool_limits

from fem.helical_spring import correction_factor, rate, shear_stress
from jackfield.known_outage import outage_answers
from jackfield.known_plates import plate_answers
from postprocess.report.known_answer import KnownAnswer
from postprocess.strength.bending import required_steel, section_resistance
from postprocess.strength.crack import SHORT_TERM, bar_crack_spacing, strain_difference
from postprocess.strength.layers import Section, Wires
from postprocess.strength.materials import Materials
from postprocess.strength.perimeter import control_perimeters
from postprocess.strength.punching import punching, steel_ratio
from postprocess.strength.shear import shear_resistance
from postprocess.strength.wood_armer import design_moments

INCH, POUND_FORCE = 0.0254, 4.4482216152605
"""m and N, exact: international yard and pound, 1959, with standard gravity."""
DIGIT = "half a unit of the last printed digit"


def known_answers() -> tuple[KnownAnswer, ...]:
    """All of them: plates and floors, springs, then sections to EN 1992-1-1 with the published examples."""
    with threadpool_limits(1, "blas"):  # the models are small: threads would wait for each other
        return (*plate_answers(), *outage_answers(), *_coil(), *_flexure(), *_sections(), *_punching(), _wood_armer())


def _coil() -> Iterator[KnownAnswer]:
    source = "Shigley's Mechanical Engineering Design, 10th ed., example 10-1 (the formulas of EN 13906-1)"
    psi = POUND_FORCE / INCH**2
    wire, diameter = 0.037 * INCH, 0.400 * INCH
    found = rate(wire, diameter, 10.5, 11.85e6 * psi) / (POUND_FORCE / INCH)
    yield KnownAnswer("coil spring: rate", source, 4.13, found, "lbf/in", 0.005, DIGIT)
    stress = correction_factor(diameter / wire) * shear_stress(6.46 * POUND_FORCE, wire, diameter) / (1000 * psi)
    yield KnownAnswer("coil spring: stress at 6.46 lbf", source, 146.0, stress, "kpsi", 0.5, DIGIT)


def _flexure() -> Iterator[KnownAnswer]:
    """Steel for a moment, and what the layers of a section bear: the function of the bending checks."""
    source = "JRC, Eurocodes handbook 2, annex B: d 170 mm, fck 20 MPa, MEd 62.78 kNm/m"
    materials = Materials(20e6, 500e6)
    steel = float(required_steel(62.78e3, 0.170, materials)) * 1e6
    yield KnownAnswer("flexure: steel in tension", source, 933.0, steel, "mm²/m", 0.5, DIGIT)
    section = Section(0.200, Wires(933e-6, 0.170, 0.0, 0.0, 0.0), None)
    found = section_resistance(section, materials) / 1e3
    source = "the same example from its steel: 933 mm²/m bear MRd = MEd"
    reason = "half a unit of the last digit of the steel"
    yield KnownAnswer("flexure: MRd of one layer", source, 62.78, found, "kN·m/m", 62.78 * 0.5 / 933, reason)
    section = Section(0.125, Wires(252e-6, 0.096, 0.0, 0.0, 0.0), Wires(193e-6, 0.0545, 0.0, 0.0, 0.0))
    forces, depths = np.array([252e-6, 193e-6]) * 500e6 / 1.15, np.array([0.096, 0.0545])
    expected = float(forces @ (depths - forces.sum() / (2 * 20e6 / 1.5))) / 1e3
    found = section_resistance(section, materials) / 1e3
    source = "closed form for layers that all yield in tension: Σ As fyd (d − a/2), a = Σ As fyd/fcd"
    yield KnownAnswer("flexure: MRd of two layers", source, expected, found, "kN·m/m", 1e-9 * expected, "rounding")


def _sections() -> Iterator[KnownAnswer]:
    source = "JRC, bridge design to Eurocodes, example 5.2.2.7: d 360 mm, fck 35 MPa, 1848 mm²/m"
    shear = float(shear_resistance(1848e-6, 0.360, Materials(35e6, 500e6))) / 1e3
    reason = "the print goes on with k rounded from 1.745 to 1.75, which is 0.3 %"
    yield KnownAnswer("shear without links: VRd,c", source, 198.0, shear, "kN/m", 0.6, reason)
    source = "European Concrete Platform, Eurocode 2 worked examples, 7.3: σs 234 MPa, bars of 24 mm, cover 40 mm"
    ratio = 0.0113 / 0.2012
    strain = float(strain_difference(234e6, ratio, 2.9e6, 15, SHORT_TERM))
    width = strain * bar_crack_spacing(0.040, 0.024, ratio, Materials(30e6, 500e6)) * 1e3
    yield KnownAnswer("crack width", source, 0.184, width, "mm", 0.001, "the print is cut off after three digits")


def _punching() -> Iterator[KnownAnswer]:
    source = "The Concrete Centre, Worked examples to Eurocode 2 (CCIP-041), 3.4.10"
    depth = (0.260 + 0.240) / 2
    around = control_perimeters(box(0, 0, 12, 10), np.array([[6.0, 5.0]]), 0.400, "square", depth)
    ratio = steel_ratio(0.0085, 0.0048)
    result = punching(np.array([1204.8e3]), around, depth, ratio, Materials(30e6, 500e6))
    cut = "the print is cut off after the millimetre"
    yield KnownAnswer("punching: perimeter u1", source, 4741.0, around[0].length * 1e3, "mm", 1.0, cut)
    yield KnownAnswer("punching: vEd", source, 1.17, float(result.stress[0]) / 1e6, "MPa", 0.005, DIGIT)
    yield KnownAnswer("punching: vRd,c", source, 0.61, result.strength / 1e6, "MPa", 0.005, DIGIT)


def _wood_armer() -> KnownAnswer:
    source = (
        "published example, recomputed: Mx 103.393, My 20.679, Mxy 2.784; rules: R. H. Wood, Concrete 2(2), 1968, 69-76"
    )
    found = float(design_moments(np.array([103.393, 20.679, 2.784]))[0])
    return KnownAnswer("design moment, bottom along x", source, 106.177, found, "kN·m/m", 0.0005, DIGIT)
