"""Hold the single jobs on demo cases to numbers worked out from the cases' own figures by plain arithmetic.

python .ci/check_jobs.py springs|setout|compare CASE ... RECORD
"""

from __future__ import annotations

import json
import math
import sys
import tomllib
from pathlib import Path

from check_demo import GRAVITY, told, weights


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


def main(job: str, *arguments: str) -> int:
    """Print what was compared; return the number of faults."""
    *folders, path = arguments
    record = json.loads(Path(path).read_text(encoding="utf-8"))
    checks = {"springs": springs_checks, "setout": setout_checks, "compare": compare_checks}[job](*folders, record)
    return told([(f"{job}: {name}", *numbers) for name, *numbers in checks])


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
