"""What the trapped air does, in one sentence."""

from __future__ import annotations

from postprocess.dynamics.views import AirView

EDGES = {"sealed": "all edges sealed", "open": "all edges open", "vents": "the vents of the case"}
LITTLE = 0.05
"""A change of heave smaller than this share is called little."""


def air_sentence(air: AirView) -> str:
    """What the air does to heave and rocking, and how much open edge brings heave back."""
    change = air.heave_with / air.heave - 1
    if abs(change) <= LITTLE:
        effect = "changes heave little"
    elif change > 0:
        effect = "stiffens the floor"
    else:
        effect = "loads the floor with its own mass as it streams to the edges"
    first = (
        f"With {EDGES[air.edge]}, the air in the gap of {air.gap * 1e3:.0f} mm {effect}: heave {air.heave:.2f} Hz on "
        f"the springs alone, {air.heave_with:.2f} Hz with it; rocking {air.rock:.2f} Hz without "
        f"and {air.rock_with:.2f} Hz with it."
    )
    if air.also is not None:
        first += f" Another {air.also[1]:.0%} of the mass heaves with the air at {air.also[0]:.2f} Hz."
    if air.open_length == 0:
        return f"{first} Even sealed all round it would stay within 5 % of the springs' own."
    if air.open_length is None:
        return (
            f"{first} Sealed it would be {air.sealed:.2f} Hz, with all edges open {air.opened:.2f} Hz: no length of "
            "open edge, in even parts round the outline, brings heave within 5 % of the springs' own; a gap of about "
            f"{air.gap_needed * 1e3:.0f} mm, open all round, would."
        )
    return (
        f"{first} Sealed it would be {air.sealed:.2f} Hz; {air.open_length:.1f} m of the outline open at full height, "
        "in eight even parts, bring heave within 5 % of the springs' own; with all "
        f"{air.perimeter:.1f} m of edges open it is {air.opened:.2f} Hz."
    )
