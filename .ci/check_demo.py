"""Hold results.json of a demo case to numbers worked out from the case's own figures by plain arithmetic.

python .ci/check_demo.py CASE RESULTS STATUS

STATUS is that of the run with --strict: 1 where a check is not met, and only where this file says so.
"""

from __future__ import annotations

import csv
import json
import math
import sys
import tomllib
from itertools import pairwise
from pathlib import Path

from openpyxl import load_workbook

GRAVITY = 9.80665
"""m/s2, ISO 80000-3."""
NOT_MET = {
    "weights-room-b": {"groups, machines: harmonics on a mode", "groups, machines: slab's acceleration"},
}
"""Checks that a demo case does not meet, and says so in its README; all others meet every one."""


def area(corners: list[list[float]]) -> float:
    """Area in m2 of corners in mm, by Gauss's formula."""
    pairs = zip(corners, [*corners[1:], corners[0]], strict=True)
    return abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)) / 2e6


def weights(case: dict) -> tuple[float, float]:
    """Weight in kN of the bare slab, and of all that counts in service."""
    slab = case["slab"]
    plan = area(slab["outline_mm"]) - sum(area(opening) for opening in slab.get("openings_mm", []))
    bare = plan * slab["thickness_mm"] / 1e3 * slab.get("density_kg_m3", 2500) * GRAVITY / 1e3
    imposed = case.get("imposed", {})
    service = bare + plan * imposed.get("pressure_kpa", 0) * imposed.get("service_fraction", 0)
    for finish in case.get("finishes", []):
        service += finish["pressure_kpa"] * (area(finish["outline_mm"]) if "outline_mm" in finish else plan)
    service += sum(item["mass_kg"] for item in case.get("equipment", [])) * GRAVITY / 1e3
    for line in case.get("line_loads", []):
        path = line["path_mm"]
        service += line["load_kN_m"] * sum(math.dist(a, b) for a, b in pairwise(path)) / 1e3
    return bare, service


def cracking_moment(case: dict) -> float:
    """In kN·m/m, on the day of lifting: 0.7 fctm(t) h²/6 with EN 1992-1-1, 3.1.2 and Table 3.1, to C50/60."""
    slab, age = case["slab"], case["lift"].get("age_days", 4)
    fck = float(slab.get("strength_class", "C32/40")[1:].split("/")[0])
    s = {"R": 0.20, "N": 0.25, "S": 0.38}[slab.get("cement_class", "N")]
    beta = math.exp(s * (1 - math.sqrt(28 / age)))
    return 0.7 * beta * 0.30 * fck ** (2 / 3) * slab["thickness_mm"] ** 2 / 6e3


def bottom_resistance(case: dict, layer: dict) -> float:
    """In kN·m/m, along x, from the bottom steel alone: As fyd (d − a/2), γc 1.5, γs 1.15, αcc 1 (EN 1992-1-1, 6.1)."""
    steel, wires = case["reinforcement"], layer["directions"][0]
    area = math.pi / 4 * wires["diameter_mm"] ** 2 / wires["pitch_mm"] * 1e3
    outer = steel.get("bottom_outer", "x") == "x"
    below = 0 if outer else layer["directions"][1]["diameter_mm"]
    depth = case["slab"]["thickness_mm"] - steel["bottom_cover_mm"] - below - wires["diameter_mm"] / 2
    force = area * steel.get("yield_strength_mpa", 500) / 1.15
    block = force / (1e3 * float(case["slab"].get("strength_class", "C32/40")[1:].split("/")[0]) / 1.5)
    return force * (depth - block / 2) / 1e6


def verdict_faults(name: str, checks: list[dict], status: int) -> int:
    """Print whether exactly the checks of `NOT_MET` are not met, and whether the run ended so; return the faults."""
    found = {check["name"] for check in checks if not check["ok"]}
    expected = NOT_MET.get(name, set())
    words = ["; ".join(sorted(names)) or "none" for names in (found, expected)]
    print(f"{'ok' if found == expected else 'FAULT'}: checks not met: {words[0]}; to be: {words[1]}")
    good = status == bool(expected)
    print(f"{'ok' if good else 'FAULT'}: status of the run with --strict: {status}, to be {int(bool(expected))}")
    return (found != expected) + (not good)


def main(folder: str, results_file: str, status: str) -> int:
    """Print what was compared; return the number of faults."""
    case = tomllib.loads(Path(folder, "case.toml").read_text(encoding="utf-8"))
    results = json.loads(Path(results_file).read_text(encoding="utf-8"))
    bare, service = weights(case)
    moving = service - case["imposed"]["pressure_kpa"] * case["imposed"].get("service_fraction", 0) * (
        results["slab"]["area_m2"]
    )
    rates = sum(jack["rate_N_mm"] for jack in results["jacks"]) * 1e3
    rigid = math.sqrt(rates / (moving * 1e3 / GRAVITY)) / (2 * math.pi)
    heave = max(results["modes"], key=lambda mode: mode["heave_share"])["frequency_hz"]
    with Path(folder, "jacks.csv").open(encoding="utf-8", newline="") as file:
        jacks = len(list(csv.DictReader(file)))
    carried = [sum(jack["load_kN"][state] for jack in results["jacks"]) for state in ("bare", "service")]
    compared = [  # name, found, by hand, relative tolerance
        ("jacks", len(results["jacks"]), jacks, 0),
        ("load on the jacks, bare, kN", carried[0], bare, 1e-9),
        ("load on the jacks, service, kN", carried[1], service, 1e-9),
        # the slab bends a little in its heave mode, which lowers it from that of a rigid slab
        ("heave frequency against a rigid slab's, Hz", heave, rigid, 0.05),
    ]
    strength = results["strength"]
    compared += [
        ("cracking moment on the day of lifting, kN·m/m", strength["lift"]["cracking_moment_kNm_m"],
         cracking_moment(case), 1e-9),
        # in a thin slab with light steel the other layer lies below the neutral axis and pulls too: a fifth more
        ("bottom bending resistance along x, kN·m/m", strength["layers"][0]["directions"][0]["resistance_kNm_m"],
         bottom_resistance(case, strength["layers"][0]), 0.25),
    ]  # fmt: skip
    below = {state["state"]: state for state in results["existing_floor"]["states"]}
    amounts = {item["name"]: item["amount"] for item in results["quantities"]}
    slab = case["slab"]
    volume = bare * 1e3 / (slab.get("density_kg_m3", 2500) * GRAVITY)
    corners = [slab["outline_mm"], *slab.get("openings_mm", [])]
    rim = sum(math.dist(a, b) for ring in corners for a, b in pairwise([*ring, ring[0]])) / 1e3
    bays = sum(below["service"]["bay_total_kN"].values())
    whole = {name: state["whole_floor_kN"] for name, state in below.items()}
    compared += [
        ("loads on the existing floor, service, all bays, kN", bays, service, 1e-9),
        # the slab floats at the end of the lift, and the springs carry no more than it weighs at any turn before
        ("loads on the existing floor, peak of the lift, kN", whole["lift_peak"], bare, 1e-6),
        ("loads on the existing floor, a spring removed, kN", whole["spring_removed_service"], service, 1e-6),
        ("concrete, net, m3", amounts["concrete, net"], volume, 1e-9),
        ("perimeter strip, m", amounts["perimeter strip, all"], rim, 1e-9),
    ]  # fmt: skip
    faults = told(compared) + workbook_faults(Path(results_file).parent, results)
    return faults + verdict_faults(Path(folder).name, results["checks"], int(status))


def workbook_faults(papers: Path, results: dict) -> int:
    """Print whether the workbook's totals of the existing floor are those of results.json, to the 15 digits that a
    spreadsheet keeps; return the faults."""
    sheet = load_workbook(papers / "lists.xlsx", read_only=True, data_only=True)["Existing floor bays"]
    numbers = {cell for row in sheet.iter_rows(values_only=True) for cell in row if isinstance(cell, float)}
    totals = [state["whole_floor_kN"] for state in results["existing_floor"]["states"]]
    missing = [total for total in totals if not any(math.isclose(total, number, rel_tol=1e-14) for number in numbers)]
    print(f"{'FAULT' if missing else 'ok'}: totals in the workbook: {len(totals) - len(missing)} of {len(totals)}")
    return len(missing)


def told(compared: list[tuple[str, float, float, float]]) -> int:
    """Print name, what was found and what is so by hand, with a relative tolerance; return the number of faults."""
    faults = 0
    for name, found, expected, tolerance in compared:
        good = math.isclose(found, expected, rel_tol=tolerance)
        faults += not good
        print(f"{'ok' if good else 'FAULT'}: {name}: {found:.6g}, by hand {expected:.6g}")
    return faults


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
