"""The page in a browser: quiet, self-contained, and its plan of jacks answers pointer, touch, keyboard and controls."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from postprocess.colours import DEFLECTION
from postprocess.report.html import write_html
from postprocess.report.jack_values import colour_scale, shown
from postprocess.report.model import Report
from tests.unit.report_cases import HOSTILE, hostile_report, jack_plan, sample_report

NAMES = ("chromium", "chromium-browser", "google-chrome")
ARGUMENTS = [
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"),
    *("--disable-component-update", "--disable-sync"),
]
PLAN = jack_plan()
RATIO, LOAD, ADVANCE, HEIGHT = PLAN.quantities


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    found = os.environ.get("JACKFIELD_TEST_BROWSER") or next(filter(None, map(shutil.which, NAMES)), None)
    if found is None:
        if os.environ.get("JACKFIELD_NEED_BROWSER") == "1":
            pytest.fail("a browser is asked for and none is found")
        pytest.skip("no Chromium on this machine; JACKFIELD_TEST_BROWSER may name one")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("pages")
    reports: dict[str, Report] = {"sample": sample_report(), "hostile": hostile_report()}
    for name, report in reports.items():
        write_html(report, folder / f"{name}.html")
    return {name: folder / f"{name}.html" for name in reports}


class Opened:
    """A page of which every message, error and request is kept."""

    def __init__(self, browser: Browser, width: int, height: int, *, touch: bool = False) -> None:
        self.context = browser.new_context(viewport={"width": width, "height": height}, has_touch=touch)
        self.page: Page = self.context.new_page()
        self.said: list[str] = []
        self.asked: list[str] = []
        self.page.on("console", lambda message: self.said.append(f"{message.type}: {message.text}"))
        self.page.on("pageerror", lambda error: self.said.append(f"error: {error}"))
        self.page.on("dialog", lambda dialog: (self.said.append("dialog"), dialog.dismiss()))
        self.page.on("request", lambda request: self.asked.append(request.url))

    def at(self, path: Path) -> Iterator[Page]:
        """The page, freshly loaded; in the end nothing was said, and nothing asked for but the file and data in it."""
        self.said.clear()
        self.asked.clear()
        self.page.goto(path.as_uri())
        yield self.page
        assert self.said == []
        assert {url for url in self.asked if not url.startswith("data:")} == {path.as_uri()}


@pytest.fixture(scope="module")
def desk(browser: Browser) -> Iterator[Opened]:
    opened = Opened(browser, 1200, 900)
    yield opened
    opened.context.close()


@pytest.fixture(scope="module")
def phone(browser: Browser) -> Iterator[Opened]:
    """360 × 640 px, a small phone."""
    opened = Opened(browser, 360, 640, touch=True)
    yield opened
    opened.context.close()


@pytest.fixture
def page(desk: Opened, files: dict[str, Path]) -> Iterator[Page]:
    yield from desk.at(files["sample"])


@pytest.fixture
def hostile(phone: Opened, files: dict[str, Path]) -> Iterator[Page]:
    yield from phone.at(files["hostile"])


@pytest.fixture
def small(phone: Opened, files: dict[str, Path]) -> Iterator[Page]:
    yield from phone.at(files["sample"])


def point_at(page: Page, jack: int) -> None:
    box = page.locator("g.jack .symbol").nth(jack).bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2 + 3, box["y"] + box["height"] / 2 - 2)


def shown_rows(page: Page) -> list[str]:
    return page.locator(".jack-table tbody tr:visible th").all_inner_texts()


def test_pointing_at_a_jack_shows_all_its_values(page: Page) -> None:
    page.locator("svg.plan").scroll_into_view_if_needed()
    for jack in (5, 12):
        point_at(page, jack)
        expect(page.locator(".panel-id")).to_have_text(f"Jack {PLAN.ids[jack]}")
        expect(page.locator(".panel-place")).to_contain_text(PLAN.springs[jack])
        expect(page.locator(".panel-place")).to_contain_text(f"x {PLAN.xy[jack, 0]:.3f} m, y {PLAN.xy[jack, 1]:.3f} m")
        rows = page.locator(".panel-table tbody tr")
        for number, quantity in enumerate(PLAN.quantities):
            found = rows.nth(number).locator("td").all_inner_texts()
            for text, state in zip(found, PLAN.states, strict=True):
                values = quantity.values.get(state, quantity.values.get("all"))
                assert text == ("–" if values is None else shown(values[jack], quantity.digits))
        here = page.locator(".jack-table tr.here")
        expect(here).to_have_count(1)
        expect(here.locator("th")).to_have_text(PLAN.ids[jack])
        expect(page.locator(".readout")).to_contain_text(f"{PLAN.ids[jack]}: Load / rated load, service")
        expect(page.locator(".readout")).to_contain_text(f"{RATIO.values['service'][jack]:.2f}")
    page.mouse.move(2, 2)
    expect(page.locator(".jack-table tr.here")).to_have_count(0)


def test_state_and_quantity_redraw_plan_table_and_legend(page: Page) -> None:
    def drawn() -> tuple[list[str], list[str]]:
        fills = page.locator("g.jack .symbol").evaluate_all("(all) => all.map((one) => one.getAttribute('fill'))")
        return fills, page.locator("g.jack text.value").all_text_contents()

    def wanted(values: np.ndarray, scale_of: int) -> list[tuple[float, ...]]:
        scale = colour_scale(PLAN.quantities[scale_of])
        return [DEFLECTION((value - scale.low) / (scale.high - scale.low))[:3] for value in values]

    page.get_by_label("full", exact=True).check()
    fills, texts = drawn()
    assert texts == [f"{value:.2f}" for value in RATIO.values["full"]]
    found = [[int(fill[i : i + 2], 16) / 255 for i in (1, 3, 5)] for fill in fills]
    np.testing.assert_allclose(found, wanted(RATIO.values["full"], 0), atol=0.008)  # a step of the map and of a display
    page.get_by_label("Quantity").select_option("load")
    fills, texts = drawn()
    assert texts == [f"{value:.2f}" for value in LOAD.values["full"]]
    assert len(set(fills)) > 10
    expect(page.locator(".legend:visible")).to_have_count(1)
    expect(page.locator(".legend:visible")).to_contain_text("Load, kN")
    column = page.locator(".jack-table tbody tr td:nth-child(7)").all_inner_texts()
    assert column == texts
    page.get_by_label("Quantity").select_option("height")  # known in service alone
    expect(page.get_by_label("service", exact=True)).to_be_checked()
    expect(page.get_by_label("full", exact=True)).to_be_disabled()
    fills, texts = drawn()
    assert texts[5] == "–"
    assert fills[5] == "#ffffff"
    assert texts[11] == "−1.0"


def test_sorting_and_filtering_act_on_table_and_plan(page: Page) -> None:
    page.get_by_role("button", name="Load / rated load").click()
    expect(page.get_by_role("columnheader", name="Load / rated load")).to_have_attribute("aria-sort", "ascending")
    rising = [PLAN.ids[i] for i in np.argsort(RATIO.values["service"])]
    assert shown_rows(page) == rising
    page.get_by_role("button", name="Load / rated load").click()
    assert shown_rows(page) == rising[::-1]
    page.get_by_role("button", name="Jack", exact=True).click()
    assert shown_rows(page) == list(PLAN.ids)  # J2 before J10
    page.get_by_label("Jack or spring").fill("b2")
    nested = [PLAN.ids[i] for i in range(20) if "B2" in PLAN.springs[i]]
    assert shown_rows(page) == nested
    assert page.locator("g.jack.faded").count() == 20 - len(nested)
    expect(page.locator(".count")).to_contain_text(f"{len(nested)} of 20")
    page.get_by_label("Jack or spring").fill("")
    page.get_by_label("Status in service").select_option("over")
    assert shown_rows(page) == [PLAN.ids[i] for i in range(20) if PLAN.status[i] == "over"]
    page.get_by_label("Jack or spring").fill("no such jack")
    assert shown_rows(page) == []
    assert page.locator("g.jack.faded").count() == 20


def test_rows_and_jacks_point_at_each_other(page: Page) -> None:
    page.locator(".jack-table tbody tr").nth(7).hover()
    ring = page.locator(".ring.dark")
    expect(ring).to_have_attribute("display", "inline")
    spot = page.locator("g.jack").nth(7).get_attribute("transform")
    place = f"translate({float(ring.get_attribute('cx') or 0):.2f} {float(ring.get_attribute('cy') or 0):.2f})"
    assert place == spot
    page.locator(".jack-table tbody tr").nth(7).click()
    expect(page.locator("g.jack[aria-selected=true]")).to_have_attribute("data-jack", "7")
    expect(page.locator(".panel-note")).to_have_text("pinned")


def test_plan_is_one_stop_of_the_tab_key_and_walked_by_arrows(page: Page) -> None:
    def here() -> int:
        return int(page.evaluate("Number(document.activeElement.closest('[data-jack]').dataset.jack)"))

    assert page.locator("g.jack[tabindex='0']").count() == 1
    page.locator("g.jack[tabindex='0']").focus()
    assert here() == PLAN.governing == 19
    for key, jack in (
        ("ArrowLeft", 18),
        ("ArrowDown", 13),
        ("ArrowRight", 14),
        ("ArrowUp", 19),
        ("Home", 0),
        ("End", 19),
    ):
        page.keyboard.press(key)
        assert here() == jack
        expect(page.locator(".readout")).to_contain_text(f"{PLAN.ids[jack]}:")
        expect(page.locator(".readout")).to_contain_text(f"{RATIO.values['service'][jack]:.2f}")
    assert page.locator(".readout").get_attribute("aria-live") == "polite"
    page.keyboard.press("Home")
    page.keyboard.press("Enter")
    expect(page.locator(".jack-table tr.pinned th")).to_have_text("J1")
    page.keyboard.press("ArrowRight")
    expect(page.locator(".panel-id")).to_have_text("Jack J1")
    page.keyboard.press("Escape")
    expect(page.locator(".jack-table tr.pinned")).to_have_count(0)
    expect(page.locator(".panel-id")).to_have_text("Jack J2")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('g.jack') === null")


def fits(page: Page) -> bool:
    """Whether nothing of the page lies beyond its sides."""
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


def panel_fits(page: Page) -> bool:
    """Whether all columns of the values of one jack are in sight, and no word of their headings is cut."""
    script = """() => { const box = document.querySelector(".panel .scroll");
      return box.scrollWidth <= box.clientWidth && [...box.querySelectorAll("th,td")].every(
        (cell) => cell.scrollWidth <= Math.max(cell.clientWidth, 1)); }"""
    return bool(page.evaluate(script))


def test_first_page_leads_straight_to_the_plan(page: Page) -> None:
    page.emulate_media(reduced_motion="reduce")
    link = page.get_by_role("link", name="Plan of the jacks")
    expect(link).to_be_in_viewport()
    link.click()
    expect(page.locator(".states")).to_be_in_viewport()
    assert panel_fits(page)


def test_phone_shows_all_without_scrolling_sideways(small: Page) -> None:
    """Targets of 40 px or more, which is between the 24 px and the 44 px of WCAG 2.2."""
    page = small
    assert fits(page)
    assert panel_fits(page)
    sizes = page.locator(
        "main button:visible, main select:visible, main input:not([type=radio]):visible, label:has(input)"
    ).evaluate_all("(all) => all.map((one) => one.getBoundingClientRect().height)")
    assert min(sizes) >= 40
    page.locator("g.jack .symbol").nth(8).scroll_into_view_if_needed()
    page.locator("g.jack .symbol").nth(8).tap()
    expect(page.locator("g.jack[aria-selected=true]")).to_have_attribute("data-jack", "8")
    expect(page.locator(".readout")).to_contain_text("pinned")
    page.get_by_role("button", name="Larger").tap()
    assert fits(page)


def test_hostile_text_makes_no_element_and_runs_nothing(hostile: Page) -> None:
    page = hostile
    assert fits(page)
    assert page.locator("script:not([type])").count() == 1
    assert page.locator("script").count() == 2
    names = page.evaluate("[...document.querySelectorAll('*')].flatMap((e) => e.getAttributeNames())")
    assert not any(name.startswith("on") for name in names)
    assert page.locator(".jack-table tbody th").all_inner_texts()[:5] == list(HOSTILE[:5])
    page.locator("g.jack").nth(7).focus()
    expect(page.locator(".panel-id")).to_have_text(f"Jack {HOSTILE[7]}")
    assert page.locator(".panel-id *, .readout *, .panel-place *").count() == 0
    assert page.title().startswith(HOSTILE[0])


def test_page_without_scripts_still_has_plan_and_table(browser: Browser, files: dict[str, Path]) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(files["sample"].as_uri())
    assert page.locator("g.jack text.value").all_text_contents() == [f"{v:.2f}" for v in RATIO.values["service"]]
    assert page.locator(".jack-table tbody tr").count() == 20
    expect(page.locator(".controls")).to_be_hidden()
    context.close()
