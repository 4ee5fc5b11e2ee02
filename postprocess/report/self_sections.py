"""How the program checked itself in this run: mesh, equilibrium, and answers that are known from outside."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, log10

from postprocess.report.figures import powers, signed
from postprocess.report.known_answer import KnownAnswer
from postprocess.report.model import Column, Paragraph, Section, Table, Working
from postprocess.results import MeshSummary, StateSummary

WHAT = {
    "jack_load": "largest jack load",
    "moment": "largest moment",
    "moment_anywhere": "moment at any place, of the largest",
    "frequency": "heave frequency",
}


def self_section(
    mesh: MeshSummary, states: dict[str, StateSummary], limits: dict[str, float], answers: Sequence[KnownAnswer]
) -> Section:
    """limits: what a refinement may change, in per cent, by the keys of `mesh`."""
    missed = sum(not answer.agrees for answer in answers)
    verdict = "All agree." if not missed else f"{missed} DO NOT AGREE: do not rely on this run."
    return Section(
        "How the program checked itself in this run",
        (
            Paragraph(
                f"The slab is divided into {mesh.triangles} triangles with {mesh.unknowns} unknowns (a quintic plate "
                f"element). It was solved a second time on {mesh.compared_with}; the changes:"
            ),
            _changes(mesh, limits),
            *(
                Working(
                    f"Equilibrium, {name}",
                    f"jacks less loads = {state.reaction / 1e3:.6f} − {state.load / 1e3:.6f}",
                    f"{powers(state.equilibrium_error)} of the load, the worst of force and moments",
                    "forces of the loads from plan geometry alone",
                )
                for name, state in states.items()
            ),
            Paragraph(
                "Answers that are known from outside, computed anew in this run by the same plate, solvers and rules. "
                + verdict
            ),
            answer_table(answers),
        ),
    )


def _changes(mesh: MeshSummary, limits: dict[str, float]) -> Table:
    rows = tuple(
        (WHAT.get(key, key), signed(change, 4), f"{limits[key]:g}" if key in limits else "–")
        for key, change in mesh.change_percent.items()
    )
    columns = Column("Quantity"), Column("Change, %", "right"), Column("Allowed, %", "right")
    failed = frozenset(
        i for i, (key, change) in enumerate(mesh.change_percent.items()) if abs(change) > limits.get(key, abs(change))
    )
    return Table("What another mesh would change", columns, rows, failed)


def known_pair(answer: KnownAnswer) -> tuple[str, str]:
    """Published and found, to a hundredth of what they may differ by."""
    digits = min(max(2 - floor(log10(answer.allowed)), 0), 9) if answer.allowed < 1 else 1
    if answer.published == 0:
        return "0", powers(answer.found)
    return f"{answer.published:.7g}", f"{answer.found:.{digits}f}"


def answer_table(answers: Sequence[KnownAnswer]) -> Table:
    """A row an answer; those that differ by more than is allowed are marked."""
    rows = tuple(
        (
            *(answer.name, answer.source, *known_pair(answer), answer.unit),
            *(powers(answer.difference), powers(answer.allowed), answer.reason),
            "agrees" if answer.agrees else "DOES NOT AGREE",
        )
        for answer in answers
    )
    columns = (
        *(Column("Known answer"), Column("Source"), Column("Published", "right"), Column("Found", "right")),
        *(Column("Unit"), Column("Difference", "right"), Column("Allowed", "right"), Column("Why so much")),
        Column("Verdict"),
    )
    return Table("Known answers", columns, rows, frozenset(i for i, each in enumerate(answers) if not each.agrees))
