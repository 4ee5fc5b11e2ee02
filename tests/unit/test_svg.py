"""A figure as one SVG element for a page, and drawings on paper of any size."""

import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Rectangle

from postprocess.drawing import Box, paper_axes, paper_scale, plan_axes
from postprocess.svg import svg_of

XLINK = "{http://www.w3.org/1999/xlink}href"
AWKWARD = ' id="x" url(#y) xlink:href="#z" <!-- a --> & <b> \x07'


def awkward_figure() -> Figure:
    """Clips, markers, a hatch, a picture, text that looks like XML and a control character."""
    figure = Figure(figsize=(4, 3))
    ax = figure.add_axes((0, 0, 1, 1))
    ax.set(xlim=(0, 4), ylim=(0, 3))
    ax.plot(np.linspace(0, 4, 20), np.linspace(0, 3, 20), "o")
    ax.add_patch(Circle((2, 1), 0.5, hatch="//", fill=False))
    picture = ax.imshow(np.eye(3), extent=(0, 1, 0, 1))
    picture.set_clip_path(Circle((0.5, 0.5), 0.4, transform=ax.transData))
    ax.text(1, 2, AWKWARD, parse_math=False)
    ax.text(1, 1, "½ × 3 m² ≤ Ø  漢", parse_math=False)
    return figure


def references(element: str) -> set[str]:
    """Ids that the elements refer to."""
    root = ET.fromstring(element)
    found = {node.attrib[XLINK][1:] for node in root.iter() if node.attrib.get(XLINK, "").startswith("#")}
    values = [value for node in root.iter() for value in node.attrib.values()]
    return found | {name for value in values for name in re.findall(r"url\(#(.*?)\)", value)}


def ids(element: str) -> list[str]:
    return [node.attrib["id"] for node in ET.fromstring(element).iter() if "id" in node.attrib]


@pytest.fixture(scope="module")
def two() -> tuple[str, str]:
    figure = awkward_figure()
    return svg_of(figure, "one"), svg_of(figure, "an other")


def test_an_element_stands_alone_and_leads_only_to_itself(two: tuple[str, str]) -> None:
    for element in two:
        assert element.startswith("<svg ")
        assert element.endswith("</svg>")
        assert "metadata" not in element
        assert "<style" not in element
        assert references(element) == set(ids(element))
        assert len(ids(element)) == len(set(ids(element))) > 3
    assert not set(ids(two[0])) & set(ids(two[1]))


def test_text_is_text(two: tuple[str, str]) -> None:
    words = ["".join(node.itertext()) for node in ET.fromstring(two[0]).iter("{http://www.w3.org/2000/svg}text")]
    assert AWKWARD.replace("\x07", "\u25a1") in words
    assert "½ × 3 m² ≤ Ø  □" in words


def test_the_same_figure_gives_the_same_element(two: tuple[str, str]) -> None:
    assert svg_of(awkward_figure(), "one") == two[0]


@pytest.mark.parametrize(
    ("size", "words"),
    [((420, 297), " on A3"), ((210, 297), " on A4"), ((297, 210), " on A4"), ((180, 200), "")],
)
def test_plans_are_to_scale_on_any_paper(size: tuple[float, float], words: str, floor_view) -> None:
    """Ten metres of the plan are as long on the paper as the scale in the title says."""
    figure = Figure(figsize=(size[0] / 25.4, size[1] / 25.4))
    ax = plan_axes(figure, Box(5, 5, size[0] - 10, size[1] - 10), floor_view)
    denominator, paper = re.fullmatch(r"Scale 1:(\d+)(.*), running dimensions in m", ax.get_title(loc="right")).groups()
    assert paper == words
    figure.draw_without_rendering()
    ends = ax.transData.transform([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)]) / figure.dpi * 25.4
    for a, b in pairwise(ends):
        assert np.hypot(*(b - a)) == pytest.approx(10e3 / int(denominator), rel=1e-6)  # mm; sums of floats
    assert paper_scale(ax) == pytest.approx(1e3 / int(denominator), rel=1e-6)


def test_boxes_are_millimetres_of_the_figure() -> None:
    figure = Figure(figsize=(180 / 25.4, 100 / 25.4))
    ax = paper_axes(figure, Box(20, 10, 90, 50))
    ax.add_patch(Rectangle((0, 0), 90, 50))
    corners = ax.transData.transform([(0, 50), (90, 0)]) / figure.dpi * 25.4
    assert corners == pytest.approx(np.array([(20, 10), (110, 60)]), rel=1e-9)  # sums of floats
