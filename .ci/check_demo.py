"""Hold results.json of a demo case to numbers worked out by hand from the case's own figures.

python .ci/check_demo.py NAME RESULTS
"""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path

BARE_KN = {
    # area m2 × thickness m × density kg/m3 × 9.80665 m/s2
    "weights-room": (4.5 * 10.6 + 3.3 * 4.35 + 3.2 * 9.35) * 0.125 * 2500 * 9.80665e-3,
}


def main(name: str, path: str) -> int:
    """Compare, print a line, and return 0 if every number holds."""
    results = json.loads(Path(path).read_text(encoding="utf-8"))
    faults = []
    if name in BARE_KN and not math.isclose(results["states"]["bare"]["reaction_kN"], BARE_KN[name], rel_tol=1e-9):
        faults.append(f"bare reaction {results['states']['bare']['reaction_kN']} kN, by hand {BARE_KN[name]} kN")
    return len(faults)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
