"""Make the pictures of README.md and jackfield/docs from the demo cases; run by hand from the top of the tree.

python .ci/pictures.py [FOLDER]

Jobs whose folder of papers stands in FOLDER already are not run again, the others are run into it; without FOLDER a
temporary one is used. Parts of A3 sheets are cut out as fractions of their width and height, so that the size at which
a sheet is saved does not matter. What needs a browser (playwright with Chromium) or a PDF renderer (pdftoppm) is left
as it is where that is not found.
"""

from __future__ import annotations

import io
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageChops

ROOT = Path(__file__).parents[1]
TARGET = ROOT / "jackfield" / "docs" / "pictures"
MOST_BYTES, MOST_BYTES_OF_ALL = 150_000, 2_000_000
WHITE_EDGE = 12
"""Left round what is cut out, pixels."""

SETTLE_MS = 1000
"""For a page to be drawn after it was scrolled, ms."""

ROOM, ROOM_B = "cases/weights-room", "cases/weights-room-b"
JOBS = {
    "run": ("run", ROOM),
    "run-b": ("run", ROOM_B),
    "setout": ("setout", ROOM),
    "springs": ("springs", ROOM),
    "compare": ("compare", ROOM, ROOM_B),
    "lift": ("lift", ROOM),
    "level": ("level", ROOM, f"{ROOM}/survey-1.csv", f"{ROOM}/survey-2.csv"),
    "impact": ("impact", ROOM),
}
"""Folder of papers -> command."""

Part = tuple[float, float, float, float]
"""Left, top, right, bottom, as fractions of the sheet."""

WHOLE: Part = (0, 0, 1, 1)
DRAWING: Part = (0.03, 0.04, 0.975, 0.88)
"""A sheet without frame and title block."""


@dataclass(frozen=True)
class Picture:
    """name: of the PNG in the docs. job: key of JOBS. source: below the folder of papers."""

    name: str
    job: str
    source: str
    part: Part = DRAWING
    width: int = 1100


SHEETS = (
    Picture("plan", "run", "pictures/plan.png"),
    Picture("loads", "run", "pictures/loads.png"),
    Picture("moments", "run", "pictures/moments-bare.png"),
    Picture("modes", "run", "pictures/modes.png"),
    Picture("strength-bending", "run", "pictures/strength-bending.png"),
    Picture("doubt", "run-b", "pictures/doubt.png"),
    Picture("scene", "run", "scenes/scene-deflection-service.png", WHOLE, 900),
    Picture("setout", "setout", "pictures/setout.png"),
    Picture("springs", "springs", "pictures/springs.png"),
    Picture("swaps", "compare", "pictures/swaps.png"),
    Picture("crew", "compare", "pictures/crew-sheet.png"),
    Picture("lift-heights", "lift", "pictures/lift-heights.png"),
    Picture("lift-pass", "lift", "pictures/lift-pass-03.png"),
    Picture("lift-peaks", "lift", "pictures/lift-peaks.png"),
    Picture("level-turns", "level", "pictures/level-turns.png"),
    Picture("impact-bands", "impact", "pictures/impact-1-bands.png"),
    Picture("impact-map", "impact", "pictures/impact-map.png"),
)

PAGES = (
    Picture("setting-out-drawing", "run", "drawings/setting-out.pdf", WHOLE),
    Picture("report-page", "run", "report.pdf", WHOLE, 800),
)
"""First pages of PDF files."""

BROWSER = Picture("report-plan", "run", "report.html", WHOLE)
"""The interactive plan of the jacks in the report."""


def main() -> int:
    """Run what is missing and write all pictures; 1 where one is missing or too large."""
    if len(sys.argv) > 1:
        return make(Path(sys.argv[1]))
    with tempfile.TemporaryDirectory() as folder:
        return make(Path(folder))


def make(papers: Path) -> int:
    """Write all pictures from papers in a folder."""
    for job, arguments in JOBS.items():
        if not (papers / job).exists():
            command = [sys.executable, "-m", "jackfield", *arguments, "--out", str(papers / job), "--quiet"]
            print(" ".join(command[2:]), flush=True)
            subprocess.run(command, cwd=ROOT, check=True)
    TARGET.mkdir(parents=True, exist_ok=True)
    faults = list(write_all(papers))
    total = sum(path.stat().st_size for path in TARGET.iterdir())
    print(f"{total / 1e3:.0f} kB in all")
    if total > MOST_BYTES_OF_ALL:
        faults.append(f"{total} bytes in all, at most {MOST_BYTES_OF_ALL}")
    for fault in faults:
        print(fault, file=sys.stderr)
    return 1 if faults else 0


def write_all(papers: Path) -> Iterator[str]:
    """Write pictures; yields what could not be written."""
    sources: list[tuple[Picture, Callable[[Path], Image.Image | None]]] = [(sheet, Image.open) for sheet in SHEETS]
    sources += [(page, first_page) for page in PAGES]
    sources.append((BROWSER, seen_in_browser))
    for picture, opened in sources:
        path = papers / picture.job / picture.source
        image = opened(path) if path.exists() else None
        if image is None:
            print(f"{picture.name}: left as it is: {path} is not there or cannot be shown here")
            if not (TARGET / f"{picture.name}.png").exists():
                yield f"{picture.name}: there is none"
            continue
        size = save(shaped(image.convert("RGB"), picture), TARGET / f"{picture.name}.png")
        print(f"{picture.name}: {size / 1e3:.0f} kB")
        if size > MOST_BYTES:
            yield f"{picture.name}: {size} bytes, at most {MOST_BYTES}"


def shaped(image: Image.Image, picture: Picture) -> Image.Image:
    """The part that is wanted, without white round it, as wide as wanted."""
    left, top, right, bottom = picture.part
    width, height = image.size
    cut = image.crop((round(left * width), round(top * height), round(right * width), round(bottom * height)))
    found = ImageChops.difference(cut, Image.new("RGB", cut.size, cut.getpixel((0, 0)))).getbbox()
    if found:
        x0, y0, x1, y1 = found
        edge = WHITE_EDGE * width // 1500
        cut = cut.crop((max(x0 - edge, 0), max(y0 - edge, 0), min(x1 + edge, cut.width), min(y1 + edge, cut.height)))
    scale = min(1.0, picture.width / cut.width)
    return cut.resize((round(cut.width * scale), round(cut.height * scale)), Image.Resampling.LANCZOS)


def save(image: Image.Image, path: Path) -> int:
    """Save with as many colours as the size allows, rare ones kept; returns the bytes."""
    for colours in (192, 96, 48, 24):
        buffer = io.BytesIO()
        image.quantize(colours, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(buffer, "PNG", optimize=True)
        if buffer.tell() <= MOST_BYTES:
            break
    path.write_bytes(buffer.getvalue())
    return buffer.tell()


def first_page(path: Path) -> Image.Image | None:
    """The first page of a PDF file, None without a renderer."""
    renderer = shutil.which("pdftoppm")
    if renderer is None:
        return None
    made = subprocess.run([renderer, "-r", "110", "-f", "1", "-l", "1", "-png", path], capture_output=True, check=True)
    return Image.open(io.BytesIO(made.stdout))


def seen_in_browser(path: Path) -> Image.Image | None:
    """The plan of the jacks in the report, as high as a window; None without a browser."""
    try:
        from playwright.sync_api import Error, sync_playwright  # noqa: PLC0415 - a dependency of the tests only
    except ImportError:
        return None
    chromium = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    options = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
    with sync_playwright() as tool:
        try:
            browser = tool.chromium.launch(executable_path=chromium, args=options)
        except Error:
            return None
        page = browser.new_page(viewport={"width": 1200, "height": 900})
        page.goto(path.resolve().as_uri())
        plan = page.locator(".jack-plan").first
        plan.scroll_into_view_if_needed()
        plan.evaluate("element => element.scrollIntoView({behavior: 'instant'})")
        page.wait_for_timeout(SETTLE_MS)
        shot = page.screenshot()
        browser.close()
    return Image.open(io.BytesIO(shot))


if __name__ == "__main__":
    raise SystemExit(main())
