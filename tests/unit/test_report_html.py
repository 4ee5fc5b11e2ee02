"""The report as a page: well-formed, complete, its text only ever text, and nothing fetched from anywhere."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace
from functools import cached_property
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
from shapely import Polygon

from postprocess.colours import DEFLECTION, SIGNED
from postprocess.report.html import css_string, write_html
from postprocess.report.jack_plan import Quantity
from postprocess.report.jack_values import colour_scale, limit_words, shown
from postprocess.report.model import Report
from postprocess.report.plan_drawing import legend_svg, plan_svg
from postprocess.report.plan_sheet import plan_sheet
from tests.unit.report_cases import HOSTILE, hostile_report, jack_plan, sample_report

VOID = {"meta", "link", "input", "br", "hr", "img"}
"""Elements without an end tag (HTML Living Standard, 13.1.2)."""


class Page(HTMLParser):
    """Elements, attributes and text of a page; elements that do not close in order are errors."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.errors: list[str] = []
        self.words: list[str] = []
        self.scripts: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if len(attrs) != len(dict(attrs)):
            self.errors.append(f"attribute twice in {tag}")
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.errors.append(f"</{tag}> out of order")

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] == "script":
            self.scripts.append(data)
        elif not self.open or self.open[-1] != "style":
            self.words.append(data)

    @cached_property
    def text(self) -> str:
        return " ".join("".join(self.words).split())

    def count(self, tag: str) -> int:
        return sum(name == tag for name, _ in self.elements)


def written(report: Report, folder: Path) -> str:
    write_html(report, folder / "report.html")
    return (folder / "report.html").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> str:
    return written(sample_report(), tmp_path_factory.mktemp("sample"))


@pytest.fixture(scope="module")
def page(sample: str) -> Page:
    return Page(sample)


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Page:
    return Page(written(hostile_report(), tmp_path_factory.mktemp("hostile")))


def test_page_is_well_formed_with_unique_ids_and_links_that_lead_somewhere(page: Page) -> None:
    assert not page.errors
    assert not page.open
    ids = [attributes["id"] for _, attributes in page.elements if "id" in attributes]
    assert len(ids) == len(set(ids))
    links = [attributes["href"] for tag, attributes in page.elements if tag == "a"]
    assert len(links) > 5
    assert {str(link).removeprefix("#") for link in links} <= set(ids)
    assert ("html", {"lang": "en-GB"}) in page.elements


def test_page_says_everything_with_numbers_of_sections_tables_and_figures(page: Page) -> None:
    text = page.text
    report = sample_report()
    for line in report.cover.headlines:
        assert line.words in text
    for words in (
        *report.cover.cautions,
        report.footer,
        "1.1 Assumptions",
        "Table 1 A long list",
        "Figure 2 A picture",
    ):
        assert words in text
    contents = text.rindex("Contents")
    assert text.index("Governing check") < contents < text.index("1 The job", contents + 40)
    assert "MRd = As fyd (d − 0.4 x) = 393 · 435 · 97" in text
    assert "J119A71.197a sentence on this row" in text
    assert text.count("not met: ") == 1


def test_nothing_is_fetched_and_only_the_page_s_own_script_may_run(sample: str, page: Page) -> None:
    for _, attributes in page.elements:
        for name in ("src", "href", "xlink:href", "action", "data", "poster", "srcset"):
            assert str(attributes.get(name) or "#").startswith(("#", "data:"))
    found = re.findall(r"url\(\s*['\"]?([^)'\"]{0,12})", sample)
    assert found
    assert all(target.startswith(("data:", "#")) for target in found)
    assert "@import" not in sample
    policy = next(a["content"] for _, a in page.elements if a.get("http-equiv") == "Content-Security-Policy")
    assert policy is not None
    assert policy.startswith("default-src 'none';")
    digest = base64.b64encode(hashlib.sha256(page.scripts[-1].encode()).digest()).decode()
    assert f"script-src 'sha256-{digest}';" in policy


def test_hostile_text_stays_text(page: Page, hostile: Page) -> None:
    assert not hostile.errors
    assert hostile.count("script") == page.count("script") == 2
    assert not any(name.startswith("on") for _, attributes in hostile.elements for name in attributes)
    squeezed = hostile.text.replace("\N{REPLACEMENT CHARACTER}", "\x07")
    for words in HOSTILE:
        assert squeezed.count(words) >= 9, words
    assert json.loads(hostile.scripts[0])["ids"][:11] == list(HOSTILE[:11])


def test_words_of_a_style_sheet_cannot_end_it() -> None:
    assert css_string('a"b</style>\\') == '"a\\000022 b\\00003c \\00002f style\\00003e \\00005c "'
    assert css_string("one, two") == '"one\\00002c  two"'  # the blank after a code belongs to it (CSS Syntax 3, 4.3.7)


def test_data_of_the_plan_equal_the_report(page: Page) -> None:
    data, plan = json.loads(page.scripts[0]), jack_plan()
    assert data["ids"] == list(plan.ids)
    assert data["states"] == [[key, words.short, words.full] for key, words in plan.states.items()]
    for given, quantity in zip(data["quantities"], plan.quantities, strict=True):
        for state, values in quantity.values.items():
            found = np.array([np.nan if value is None else value for value in given["values"][state]])
            np.testing.assert_allclose(found, values, rtol=0, atol=10.0 ** -(quantity.digits + 5))
    sheet = np.array(data["sheet"])
    stretch = np.linalg.norm(sheet[1:] - sheet[0], axis=1) / np.linalg.norm(plan.xy[1:] - plan.xy[0], axis=1)
    np.testing.assert_allclose(stretch, stretch[0], rtol=1e-3)  # to scale; places are kept to 0.001 mm of some 30 mm


def test_static_plan_and_table_show_service_for_those_without_scripts(page: Page) -> None:
    plan = jack_plan()
    fills = [a["fill"] for tag, a in page.elements if tag == "path" and a.get("class") == "symbol"]
    scale = colour_scale(plan.quantities[0])
    low, high = scale.low, scale.high
    for fill, value in zip(fills, plan.quantities[0].values["service"], strict=True):
        wanted = np.array(DEFLECTION((value - low) / (high - low)))[:3]
        found = np.array([int(str(fill)[i : i + 2], 16) for i in (1, 3, 5)]) / 255
        np.testing.assert_allclose(found, wanted, atol=0.008)  # a step of the map, 1/256, and of a display, 1/255
    for value in plan.quantities[1].values["service"]:
        assert f"{value:.2f}" in page.text


def test_numbers_that_are_missing_negative_or_nil() -> None:
    assert [shown(value, 1) for value in (float("nan"), -0.04, -1.26, 2.0)] == ["–", "0.0", "−1.3", "2.0"]


def test_scales_cover_values_and_limits_and_centre_both_signs_at_nil() -> None:
    ratio, load, _, height = jack_plan().quantities
    scale = colour_scale(ratio)
    assert scale.low <= 0.4
    assert scale.high >= 0.95 + 0.02 * 19
    assert colour_scale(load).fills(np.array([np.nan])) == ["#ffffff"]
    both = colour_scale(height)
    assert both.low == -both.high
    middle = np.array([int(both.fills(np.zeros(1))[0][i : i + 2], 16) for i in (1, 3, 5)]) / 255
    np.testing.assert_allclose(middle, np.array(SIGNED(0.5))[:3], atol=0.008)
    assert limit_words(ratio) == "allowed 0.75 to 1.05"
    assert limit_words(load) == ""


def test_figures_of_the_scale_are_where_they_stand() -> None:
    """Loads of 1 to 17 kN have a scale in steps of 2.5; half of its last figure must not be rounded away."""
    quantity = Quantity("load", "Load", "kN", 2, {"service": np.linspace(2.6, 17.0, 9)}, (np.nan, np.nan))
    words = [float(text) for text in re.findall(r">([\d.]+)</text>", legend_svg(quantity))]
    np.testing.assert_allclose(words, colour_scale(quantity).ticks, rtol=0, atol=1e-9)
    assert any(word % 1 for word in words)


def test_first_page_leads_to_the_plan_and_states_have_short_names(page: Page) -> None:
    texts = page.text
    links = [attributes["href"] for tag, attributes in page.elements if tag == "a"]
    assert "#plan-1" in links[:2]
    assert "#contents" in links
    assert texts.index("Plan of the jacks") < texts.index("The whole")
    labels = [a["title"] for tag, a in page.elements if tag == "label" and "title" in a]
    assert labels == [words.full for words in jack_plan().states.values()]


def test_values_at_the_edge_stand_above_their_jacks() -> None:
    """Jacks 0.1 m from the lower edge and in the middle of a floor of 4 × 4 m, whose sheet has some 40 mm a metre."""
    plan = replace(
        jack_plan(),
        plan=Polygon([(0, 0), (4, 0), (4, 4), (0, 4)]),
        items=(),
        xy=np.array([[2.0, 0.1], [2.0, 2.0], [2.0, 3.9]]),
        ids=("A", "B", "C"),
        springs=("S",) * 3,
        status=("ok",) * 3,
        quantities=(Quantity("load", "Load", "kN", 1, {"service": np.array([1.0, 2.0, 3.0])}, (np.nan, np.nan)),),
        governing=0,
    )
    drawn = plan_svg(plan_sheet(plan), plan.quantities[0], "service", "edge")
    places = [float(y) for y in re.findall(r'class="value" y="(-?[\d.]+)"', drawn)]
    assert places[0] < 0 < places[1]
    assert places[2] > 0
