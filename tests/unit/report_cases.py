"""A report by hand, of a floor of 9 × 7 m with 20 jacks and one of every kind of block; its numbers are invented."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from matplotlib.figure import Figure
from shapely import LineString, MultiPolygon, Polygon, box

from postprocess.report.jack_plan import JackPlan, PaperColumn, Quantity, StateWords
from postprocess.report.model import (
    Bullets,
    Column,
    Cover,
    Headline,
    Paragraph,
    Picture,
    Report,
    Section,
    Signatures,
    Table,
    Working,
)
from postprocess.svg import svg_of
from postprocess.view import PlanItem

HOSTILE = (
    "<script>alert(1)</script>",
    "=1+1",
    '#import "x"',
    "$a$ #let b = 1 *c* _d_ @e `f`",
    "\\",
    "{{ 7*7 }}",
    "%%d",
    "</script><!-- <b>bold</b> -->",
    '"onmouseover="alert(2)',
    "wide" * 60,
    "\N{GRINNING FACE} \u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d\u0628\u0627",
    "bell \x07 here",
)
"""Text that a page, a script, a printer or a template might take for more than text."""


def picture(name: str, words: str = "A line") -> Picture:
    figure = Figure(figsize=(180 / 25.4, 70 / 25.4))
    ax = figure.add_axes((0.08, 0.16, 0.9, 0.78))
    ax.plot([0, 1, 2, 3], [1, 3, 2, 4])
    ax.set(xlabel="x, m", ylabel="Deflection, mm")
    ax.text(1, 2, words, parse_math=False)
    return Picture("A picture of a line, rising to the right.", svg_of(figure, name), "A line that rises to the right.")


def jack_plan() -> JackPlan:
    """20 jacks on a plan with a cut corner and an opening; loads with limits, an advance, a signed quantity, a gap."""
    x, y = np.meshgrid([0.7, 2.6, 4.4, 6.4, 8.3], [0.6, 2.5, 4.5, 6.4])
    xy = np.column_stack([x.ravel(), y.ravel()])
    rise = np.arange(20.0)
    ratio = {"bare": 0.4 + 0.011 * rise, "service": 0.8 + 0.0171 * rise, "full": 0.95 + 0.02 * rise}
    ratio["service"][3] = 0.7004
    lifted = np.where(rise == 5, np.nan, 10.0 - rise)
    service = ratio["service"]
    return JackPlan(
        plan=Polygon([(0, 0), (9, 0), (9, 5.4), (7.4, 7), (0, 7)]) - box(5.0, 3.0, 5.8, 4.0),
        items=(
            PlanItem("Rack", "equipment", "840 kg", MultiPolygon([box(1.2, 3.2, 1.3, 3.3), box(2.0, 3.2, 2.1, 3.3)])),
            PlanItem("Partition", "line load", "0.8 kN/m", LineString([(3.5, 0), (3.5, 2), (9, 2)])),
            PlanItem("Tiles", "finish", "0.50 kPa", box(6, 4.2, 8, 6)),
        ),
        ids=tuple(f"J{number + 1}" for number in range(20)),
        xy=xy,
        springs=tuple("A7+B2" if number % 4 == 0 else "A7" for number in range(20)),
        footprint=0.15,
        status=tuple("under" if r < 0.75 else "over" if r > 1.05 else "ok" for r in service),
        states={
            "bare": StateWords("bare", "bare slab"),
            "service": StateWords("service", "in service"),
            "full": StateWords("full", "fully loaded"),
        },
        quantities=(
            Quantity("load-ratio", "Load / rated load", "", 2, ratio, (0.75, 1.05)),
            Quantity("load", "Load", "kN", 2, {key: 7 * value for key, value in ratio.items()}, (np.nan, np.nan)),
            Quantity("advance", "Screw advance", "mm", 1, {"all": 3.0 * (rise % 7)}, (np.nan, 50.0)),
            Quantity("height", "Height off level", "mm", 1, {"service": lifted}, (np.nan, np.nan)),
        ),
        governing=19,
        paper=(
            PaperColumn("Load bare, kN", "load", "bare"),
            PaperColumn("Load full, kN", "load", "full"),
            PaperColumn("Service / rated", "load-ratio", "service"),
            PaperColumn("Height, mm", "height", "service"),
        ),
    )


def sample_report() -> Report:
    """Every kind of block, with tables long and wide."""
    rows = tuple((f"J{i}", "A7", f"{0.8 + i / 300:.3f}", "a sentence on this row") for i in range(120))
    checks = (("Bending, bottom", "6.1", "0.81"), ("Punching at J20", "6.4.4", "1.07"))
    wide = tuple(tuple(f"{1000 * i + j}.25" for j in range(12)) for i in range(3))
    working = Working(
        "Bending resistance", "MRd = As fyd (d − 0.4 x) = 393 · 435 · 97", "16.6 kN·m/m", "EN 1992-1-1, 6.1"
    )
    cover = Cover(
        "Practice room over a workshop",
        "T-1",
        "B",
        {"Case": "case of the sample", "Date of the input": "3 March 2031", "Floor": "9 × 7 m, 125 mm"},
        (
            Headline("The whole", "1 of 2 checks is not met.", "NOT MET"),
            Headline("Governing jack", "J20: 1.12 of its rated load in service; 1.05 is allowed.", "NOT MET"),
            Headline("Governing check", "Punching at J20: 1.07 of the resistance.", "NOT MET"),
            Headline("Natural frequency", "3.5 Hz in heave.", "met"),
            Headline("Jacks", "20 jacks with springs of two kinds.", ""),
        ),
        ("Somebody with a licence checks this.", "Nobody goes under a slab that is not packed."),
        picture("cover"),
    )
    sections = (
        Section(
            "The job", (Paragraph("A floor floats on jacks."), Bullets(("It is concrete.", "It is 125 mm thick.")))
        ),
        Section("Assumptions", (working, working, Paragraph("Between them.")), 2),
        Section("Jacks", (jack_plan(), Table("A long list", _columns(4), rows))),
        Section(
            "Checks",
            (
                Table("Checks with clauses", _columns(3), checks, frozenset({1})),
                Table("Wide", tuple(Column(f"Heading {j}, kN", "right") for j in range(12)), wide),
                picture("line"),
            ),
        ),
        Section("To sign", (Signatures(("Made by", "Checked by")),)),
    )
    return Report(cover, sections, "Assists, does not approve: checked by a licensed engineer; local codes rule.")


def _columns(count: int) -> tuple[Column, ...]:
    return tuple(Column(f"Column {j}, kN", "right" if j == 2 else "left") for j in range(count))


def hostile_report() -> Report:
    """The sample with hostile text wherever a case can put text."""
    plain, plan = sample_report(), jack_plan()
    every = " ".join(HOSTILE)
    plan = replace(
        plan,
        ids=tuple(HOSTILE[i] if i < len(HOSTILE) else f"J{i}" for i in range(20)),
        springs=tuple(HOSTILE[-1 - i % len(HOSTILE)] for i in range(20)),
        items=tuple(replace(item, name=HOSTILE[i], note=HOSTILE[7 + i]) for i, item in enumerate(plan.items)),
    )
    cover = replace(
        plain.cover,
        title=HOSTILE[0] + HOSTILE[7],
        reference=HOSTILE[2],
        revision=HOSTILE[3],
        facts={word: word for word in HOSTILE},
        headlines=tuple(Headline(word, word, "NOT MET") for word in HOSTILE[:4]),
        picture=replace(picture("hostile", every), words=every, caption=every),
    )
    columns = (Column(HOSTILE[0]), Column(HOSTILE[9], "right"))
    blocks = (
        Paragraph(every),
        Bullets(HOSTILE),
        *(Working(word, word, word, word) for word in HOSTILE),
        Table(every, columns, tuple((word, word) for word in HOSTILE), frozenset({0, 3})),
        Signatures(HOSTILE[:3]),
        plan,
    )
    return Report(cover, (Section(every, blocks), Section(HOSTILE[7], (), 2)), every)
