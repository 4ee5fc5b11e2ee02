"""Hold the single jobs on demo cases to numbers worked out from the cases' own figures by plain arithmetic.

python .ci/check_jobs.py springs|setout|compare|lift|impact CASE ... RECORD
python .ci/check_jobs.py level CASE SURVEY RECORD
"""

from __future__ import annotations

import csv
import json
import math
import sys
import tomllib
from itertools import pairwise
from operator import mul
from pathlib import Path

from check_demo import GRAVITY, area, cracking_moment, told, weights


def case_of(folder: str) -> dict:
    """The case file of a folder."""
    return tomllib.loads(Path(folder, "case.toml").read_text(encoding="utf-8"))


def inside(point: tuple[float, float], corners: list[list[float]]) -> bool:
    """Whether a point lies in a ring of corners: an odd number of edges lies to its right."""
    x, y = point
    crossings = 0
    for (x0, y0), (x1, y1) in zip(corners, [*corners[1:], corners[0]], strict=True):
        if (y0 > y) != (y1 > y):
            crossings += x < x0 + (y - y0) * (x1 - x0) / (y1 - y0)
    return crossings % 2 == 1


def springs_checks(folder: str, record: dict) -> list[tuple[str, float, float, float]]:
    """Loads against weights, coils to buy against coils under jacks, and every load ratio inside the band."""
    _, service = weights(case_of(folder))
    jacks = record["jacks"]
    coils = sum(len(jack["coils"]) for jack in jacks)
    low, high = case_of(folder)["target"]["load_ratio"]
    within = sum(low <= jack["load_kN"]["service"] / jack["rated_load_kN"] <= high for jack in jacks)
    return [
        ("load on the jacks, service, kN", sum(jack["load_kN"]["service"] for jack in jacks), service, 1e-9),
        ("coils under jacks", sum(row["under_jacks"] for row in record["buying"]), coils, 0),
        ("jacks inside their band", within, len(jacks), 0),
    ]


def setout_checks(folder: str, record: dict) -> list[tuple[str, float, float, float]]:
    """Loads against weights; nearest pair of jacks and farthest point of the slab, measured on a lattice of 50 mm."""
    _, service = weights(case_of(folder))
    places = [(jack["x_mm"], jack["y_mm"]) for jack in record["jacks"]]
    nearest = min(math.dist(a, b) for i, a in enumerate(places) for b in places[:i])
    slab = case_of(folder)["slab"]
    xs, ys = zip(*slab["outline_mm"], strict=True)
    lattice = [
        (x, y)
        for x in range(int(min(xs)) + 25, int(max(xs)), 50)
        for y in range(int(min(ys)) + 25, int(max(ys)), 50)
        if inside((x, y), slab["outline_mm"]) and not any(inside((x, y), o) for o in slab.get("openings_mm", []))
    ]
    farthest = max(min(math.dist(point, place) for place in places) for point in lattice)
    reach = 1400 / math.sqrt(2)
    return [
        ("load on the jacks, service, kN", sum(jack["load_kN"]["service"] for jack in record["jacks"]), service, 1e-9),
        ("1 if jacks are 900 mm apart or more", float(nearest >= 900 - 1.5), 1.0, 0),
        ("1 if no point is farther from a jack than the rule", float(farthest <= reach + 1.5), 1.0, 0),
    ]


def compare_checks(old: str, new: str, record: dict) -> list[tuple[str, float, float, float]]:
    """The load that came on the jacks against the mass that came on the slab; all jacks inside the band afterwards."""
    masses = [sum(item["mass_kg"] for item in case_of(folder)["equipment"]) for folder in (old, new)]
    gained = sum(jack["load_kN"]["service"] - jack["load_before_kN"] for jack in record["jacks"])
    within = sum(0.75 <= jack["load_ratio"]["service"] <= 1.05 for jack in record["jacks"])
    return [
        ("load gained, kN", gained, (masses[1] - masses[0]) * GRAVITY / 1e3, 1e-6),
        ("jacks inside their band", within, len(record["jacks"]), 0),
    ]


def rates(folder: str) -> dict[str, float]:
    """Rate in kN/mm of the spring under each jack of a case."""
    catalogue = tomllib.loads(Path(folder, "springs.toml").read_text(encoding="utf-8"))
    of_code = {spring["code"]: spring["rate_N_mm"] / 1e3 for spring in catalogue["spring"]}
    of_code |= {pair["code"]: of_code[pair["outer"]] + of_code[pair["inner"]] for pair in catalogue.get("nested", [])}
    return {row["id"]: of_code[row["spring"]] for row in rows_of(Path(folder, "jacks.csv"))}


def rows_of(path: Path) -> list[dict[str, str]]:
    """The rows of a table."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def lift_checks(folder: str, record: dict) -> list[tuple[str, float, float, float]]:
    """Weight, height by screws less springs, every gain in height, and the greatest bending of all single turns."""
    case = case_of(folder)
    lift, (bare, _), rate = case["lift"], weights(case), rates(folder)
    pitch, turns = lift.get("pitch_mm", 3.0), lift.get("turns_per_pass", 2)
    passes, stiffness = record["passes"], sum(rate.values())
    last = passes[-1]
    means = [sum(rate[name] * each["jack_height_mm"][name] for name in rate) / stiffness for each in passes]
    afloat = [number for number, each in enumerate(passes) if each["contact_share"] == 0]
    gains = [means[after] - means[before] for before, after in pairwise(afloat)]
    peak = max(turn["cracking_use"] for each in passes for turn in each["turn_by_turn"])
    shares = [1.0, *(each["contact_share"] for each in passes)]
    return [
        ("load on the springs after the last pass, kN", sum(last["jack_load_kN"].values()), bare, 1e-9),
        ("passes", len(passes), lift.get("passes", len(passes)), 0),
        # Σ rate × (advance − height) = weight, whatever the slab's stiffness
        ("height after the last pass, weighted by rates, mm", means[-1],
         len(passes) * turns * pitch - bare / stiffness, 1e-9),
        ("least height gained by a pass, afloat, mm", min(gains), turns * pitch, 1e-9),
        ("greatest height gained by a pass, afloat, mm", max(gains), turns * pitch, 1e-9),
        ("1 if the floor is left and not touched again", float(shares == sorted(shares, reverse=True)
         and shares[-1] == 0), 1.0, 0),
        ("cracking moment on the day, kN·m/m", record["cracking_moment_kNm_m"], cracking_moment(case), 1e-9),
        ("greatest bending of all turns, kN·m/m", record["worst"]["moment_kNm_m"], peak * cracking_moment(case), 1e-9),
        ("1 if it stays below cracking", float(peak <= 1), 1.0, 0),
    ]  # fmt: skip


def level_checks(folder: str, survey: str, record: dict) -> list[tuple[str, float, float, float]]:
    """Weights, the balance of forces and moments of the turns, their size, and planes through heights."""
    case, jacks = case_of(folder), {jack["id"]: jack for jack in record["jacks"]}
    bare, service = weights(case)
    loads = [sum(jack["load_kN"][state] for jack in jacks.values()) for state in ("before", "after", "service")]
    places = {row["id"]: (float(row["x_mm"]), float(row["y_mm"])) for row in rows_of(Path(folder, "jacks.csv"))}
    pitch = case["lift"].get("pitch_mm", 3.0)
    forces = {  # of a spring: rate × (advance − height), and the slab weighs what it weighed
        name: jack["rate_N_mm"]["estimate"] / 1e3
        * (jack["quarter_turns"] * pitch / 4 - jack["height_mm"]["after"] + jack["height_mm"]["before"])
        for name, jack in jacks.items()
    }  # fmt: skip
    moments = [sum(force * places[name][axis] / 1e3 for name, force in forces.items()) for axis in (0, 1)]
    read = {row["id"]: float(row["height_mm"]) for row in rows_of(Path(survey))}
    fall = [plane_fall(places, heights) for heights in (read, {n: j["height_mm"]["service"] for n, j in jacks.items()})]
    shown = {name: jack["height_mm"]["before"] for name, jack in jacks.items()}
    off = [shown[name] - read[name] for name in jacks]
    apart = math.sqrt(sum((each - sum(off) / len(off)) ** 2 for each in off) / len(off))
    limit = case.get("level", {}).get("overall_mm", 3)
    departures = [jack["height_mm"]["service"] for jack in jacks.values()]
    most = 4 * case.get("level", {}).get("most_turns", 10)
    return [
        ("load on the springs before, kN", loads[0], bare, 1e-8),
        ("load on the springs after, kN", loads[1], bare, 1e-8),
        ("load on the springs in service, kN", loads[2], service, 1e-8),
        ("weight and what the turns add to it, kN", bare + sum(forces.values()), bare, 1e-8),
        ("weight and moment about y that the turns add, kN·m", bare + moments[0], bare, 1e-8),
        ("weight and moment about x that the turns add, kN·m", bare + moments[1], bare, 1e-8),
        ("1 if heights before are those of the survey within 1 mm", float(apart < 1), 1.0, 0),
        ("1 if some jack is turned, and none beyond the limit",
         float(0 < max(abs(jack["quarter_turns"]) for jack in jacks.values()) <= most), 1.0, 0),
        ("1 if jacks are level in service", float(max(departures) - min(departures) <= 2 * limit), 1.0, 0),
        ("1 if the plane through the slab falls less than before", float(fall[1] < fall[0]), 1.0, 0),
    ]  # fmt: skip


def impact_checks(folder: str, record: dict) -> list[tuple[str, float, float, float]]:
    """Heave of the rigid slab, speeds of fall, impulses, the stiffness of a known contact, and sealed air."""
    case = case_of(folder)
    _, service = weights(case)
    mass = service / GRAVITY * 1e3
    imposed = case.get("imposed", {})
    plan = area(case["slab"]["outline_mm"]) - sum(area(each) for each in case["slab"].get("openings_mm", []))
    mass -= plan * imposed.get("pressure_kpa", 0) * imposed.get("service_fraction", 0) / GRAVITY * 1e3
    stiffness = sum(rates(folder).values()) * 1e6
    air = case["air"]
    bulk = air.get("exponent", 1.4) * 101325 / (air["gap_mm"] / 1e3) * plan
    alone, sealed = (math.sqrt(rate / mass) / math.tau for rate in (stiffness, stiffness + bulk))
    found = [  # of a rigid slab: bending, and springs whose middle is not that of the mass, lower it a little
        ("heave on the springs alone, Hz", record["springs_alone"]["heave_hz"], alone, 0.05),
        ("heave over sealed air, Hz", record["air"]["heave_all_sealed_hz"], sealed, 0.05),
        ("1 if springs amplify near heave", float(min(record["drops"][0]["reduction_db"]) < -10), 1.0, 0),
    ]
    for given, drop in zip(case["impacts"], record["drops"], strict=True):
        speed = math.sqrt(2 * GRAVITY * given["height_mm"] / 1e3)
        blow = given["mass_kg"] * speed * (1 + drop["restitution"])
        carried = given["mass_kg"] * GRAVITY * drop["contact_time_ms"] / 1e3
        forces = {support["support"]: support["greatest_force_kN"] for support in drop["supports"]}
        least = forces["springs"] < min(forces["rubber layer"], forces["bare floor"])
        found += [
            (f"{given['name']}: speed, mm/s", drop["speed_mm_s"], speed * 1e3, 1e-9),
            (f"{given['name']}: impulse, N·s", drop["impulse_N_s"], blow + carried, 0.05),  # the slab gives way
            (f"{given['name']}: 1 if springs pass less than rubber and bare floor", float(least), 1.0, 0),
        ]
    return found


def plane_fall(places: dict[str, tuple[float, float]], heights: dict[str, float]) -> float:
    """Fall in mm/m of the plane of least squares through heights in mm at places in mm, by Cramer's rule."""
    count = len(heights)
    x, y = ([places[name][axis] / 1e3 for name in heights] for axis in (0, 1))
    x, y, z = ([value - sum(values) / count for value in values] for values in (x, y, list(heights.values())))
    xx, xy, yy, xz, yz = (sum(map(mul, a, b)) for a, b in ((x, x), (x, y), (y, y), (x, z), (y, z)))
    return math.hypot(xz * yy - yz * xy, yz * xx - xz * xy) / (xx * yy - xy**2)


def main(job: str, *arguments: str) -> int:
    """Print what was compared; return the number of faults."""
    *folders, path = arguments
    record = json.loads(Path(path).read_text(encoding="utf-8"))
    checks = {
        "springs": springs_checks,
        "setout": setout_checks,
        "compare": compare_checks,
        "lift": lift_checks,
        "level": level_checks,
        "impact": impact_checks,
    }[job](*folders, record)
    return told([(f"{job}: {name}", *numbers) for name, *numbers in checks])


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
