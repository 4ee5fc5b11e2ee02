"""The report as a page: well-formed, complete, its text only ever text, and nothing fetched from anywhere."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest

from postprocess.colours import DEFLECTION, SIGNED
from postprocess.report.html import css_string, write_html
from postprocess.report.jack_values import colour_scale, limit_words, shown
from postprocess.report.model import Report
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

    @property
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
def hostile(tmp_path_factory: pytest.TempPathFactory) -> str:
    return written(hostile_report(), tmp_path_factory.mktemp("hostile"))


def test_page_is_well_formed_with_unique_ids_and_links_that_lead_somewhere(sample: str) -> None:
    page = Page(sample)
    assert not page.errors
    assert not page.open
    ids = [attributes["id"] for _, attributes in page.elements if "id" in attributes]
    assert len(ids) == len(set(ids))
    links = [attributes["href"] for tag, attributes in page.elements if tag == "a"]
    assert len(links) > 5
    assert {str(link).removeprefix("#") for link in links} <= set(ids)
    assert ("html", {"lang": "en-GB"}) in page.elements


def test_page_says_everything_with_numbers_of_sections_tables_and_figures(sample: str) -> None:
    text = Page(sample).text
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
    assert text.index("Governing check") < text.index("Contents") < text.index("1 The job", text.index("Contents") + 40)
    assert "MRd = As fyd (d − 0.4 x) = 393 · 435 · 97" in text
    assert "J119A71.197a sentence on this row" in text
    assert text.count("not met: ") == 1


def test_nothing_is_fetched_and_only_the_page_s_own_script_may_run(sample: str) -> None:
    page = Page(sample)
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


def test_hostile_text_stays_text(sample: str, hostile: str) -> None:
    page, plain = Page(hostile), Page(sample)
    assert not page.errors
    assert page.count("script") == plain.count("script") == 2
    assert not any(name.startswith("on") for _, attributes in page.elements for name in attributes)
    squeezed = page.text.replace("\N{REPLACEMENT CHARACTER}", "\x07")
    for words in HOSTILE:
        assert squeezed.count(words) >= 9, words
    assert json.loads(page.scripts[0])["ids"][:11] == list(HOSTILE[:11])


def test_words_of_a_style_sheet_cannot_end_it() -> None:
    assert css_string('a"b</style>\\') == '"a\\000022 b\\00003c \\00002f style\\00003e \\00005c "'
    assert css_string("one, two") == '"one\\00002c  two"'  # the blank after a code belongs to it (CSS Syntax 3, 4.3.7)


def test_data_of_the_plan_equal_the_report(sample: str) -> None:
    data, plan = json.loads(Page(sample).scripts[0]), jack_plan()
    assert data["ids"] == list(plan.ids)
    assert data["states"] == [[key, words] for key, words in plan.states.items()]
    for given, quantity in zip(data["quantities"], plan.quantities, strict=True):
        for state, values in quantity.values.items():
            found = np.array([np.nan if value is None else value for value in given["values"][state]])
            np.testing.assert_allclose(found, values, rtol=0, atol=10.0 ** -(quantity.digits + 5))
    sheet = np.array(data["sheet"])
    stretch = np.linalg.norm(sheet[1:] - sheet[0], axis=1) / np.linalg.norm(plan.xy[1:] - plan.xy[0], axis=1)
    np.testing.assert_allclose(stretch, stretch[0], rtol=1e-3)  # to scale; places are kept to 0.001 mm of some 30 mm


def test_static_plan_and_table_show_service_for_those_without_scripts(sample: str) -> None:
    page, plan = Page(sample), jack_plan()
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
