"""README, DEVELOPERS, the pages of the docs and the notes of the demo cases: links, commands, keys, examples."""

from __future__ import annotations

import doctest
import re
import shlex
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any

import pytest
import typer
from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic.fields import FieldInfo
from typer.core import TyperGroup
from typer.main import get_command

from jackfield.main import app
from preprocess.schema import CaseFile
from preprocess.springs import CatalogueFile

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "jackfield" / "docs"
KEYS = DOCS / "case-file.md"
PAGES = [
    *(ROOT / "README.md", ROOT / "DEVELOPERS.md"),
    *(page for folder in ("jackfield/docs/*.md", "cases/*/README.md") for page in sorted(ROOT.glob(folder))),
]
JOBS = ("run", "setout", "springs", "compare", "lift", "level", "impact", "new")
ROW = re.compile(r"\| `(?P<key>\w+)` \| (?P<unit>[^|]*)\| (?P<default>[^|]*) \| (?P<range>[^|]*) \| ")
RANGE = re.compile(r"(?P<many>two, |three, |two sides, )?(?P<above>above )?(?P<low>[\d.]+) to (?P<high>[\d.]+)")
CANNOT_BE_GIVEN = typer.BadParameter.__bases__[0]
"""What a command raises for options that it does not know and for arguments that are missing or too many."""

FENCE = re.compile(r"^```(\w*)\n(.*?)^```", re.MULTILINE | re.DOTALL)


def names(pages: list[Path]) -> list[str]:
    """Pages by their place in the tree."""
    return [page.relative_to(ROOT).as_posix() for page in pages]


def slug(heading: str) -> str:
    """The anchor that a heading gets: lower case, blanks as hyphens, no other signs."""
    return re.sub(r"[^\w\- ]", "", heading.strip().lower()).replace(" ", "-")


def anchors(page: Path) -> set[str]:
    text = FENCE.sub("", page.read_text(encoding="utf-8"))
    return {slug(heading) for heading in re.findall(r"^#+ (.*)$", text, re.MULTILINE)}


@pytest.mark.parametrize("page", PAGES, ids=names(PAGES))
def test_links_and_pictures_are_there(page: Path) -> None:
    text = FENCE.sub("", page.read_text(encoding="utf-8"))
    missing = []
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        if target.startswith("https://"):
            continue
        path, _, anchor = target.partition("#")
        file = page.parent / path if path else page
        if not file.exists() or (anchor and anchor not in anchors(file)):
            missing.append(target)
    assert not missing


def test_every_job_has_a_page_that_the_readme_links_and_no_picture_is_left_over() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for page in (*JOBS, "case-file", "python"):
        assert f"(jackfield/docs/{page}.md)" in readme
    shown = {name for page in PAGES for name in re.findall(r"pictures/([\w-]+\.png)\)", page.read_text("utf-8"))}
    assert {path.name for path in (DOCS / "pictures").iterdir()} <= shown


def test_pictures_are_small() -> None:
    """Each at most 150 kB and all at most 2 MB, for a page on a phone: a choice of ours."""
    sizes = [path.stat().st_size for path in (DOCS / "pictures").glob("*.png")]
    assert sizes
    assert max(sizes) <= 150_000
    assert sum(sizes) <= 2_000_000


def commands() -> Iterator[str]:
    """Every call of jackfield in a shell block, and every one in backticks that says more than the name of a job."""
    for page in PAGES:
        text = page.read_text(encoding="utf-8")
        blocks = [block for language, block in FENCE.findall(text) if language == "sh"]
        for line in "\n".join(blocks).splitlines():
            for part in line.split("&&"):
                call = part.strip().removeprefix(".venv/bin/")
                if call.startswith("jackfield "):
                    yield call
        prose = FENCE.sub("", text)
        yield from (call.replace("\n", " ") for call in re.findall(r"`(jackfield [^`]+)`", prose) if "[" not in call)


@pytest.mark.parametrize("call", sorted(set(commands())))
def test_commands_that_are_quoted_can_be_given(call: str) -> None:
    """Only parsed: the job and its options are known, and as many things are named as it takes."""
    root = get_command(app)
    assert isinstance(root, TyperGroup)
    words = [word for word in shlex.split(call)[1:] if word not in ("…", "--help")]
    if words[0].startswith("-"):
        assert words[0] in {option for parameter in root.params for option in parameter.opts} | {"--help"}
        return
    assert words[0] in root.commands
    command = root.commands[words[0]]
    if len(words) > 1:  # else the name of the job in a sentence
        command.make_context(words[0], words[1:])


@pytest.mark.parametrize("job", JOBS)
def test_help_names_a_page_that_is_there_and_an_example_that_can_be_given(job: str) -> None:
    said = get_command(app).commands[job].help
    page, example = re.search(r"^Page: +(\S+)$", said, re.MULTILINE), re.search(r"^Example: (.+)$", said, re.MULTILINE)
    assert (page and page[1]) == f"jackfield/docs/{job}.md"
    assert (ROOT / page[1]).exists()
    test_commands_that_are_quoted_can_be_given(example[1])


def test_commands_that_cannot_be_given_are_told() -> None:
    """What the check above relies on."""
    with pytest.raises(CANNOT_BE_GIVEN):
        test_commands_that_are_quoted_can_be_given("jackfield run cases/studio --papers out")
    with pytest.raises(CANNOT_BE_GIVEN):
        test_commands_that_are_quoted_can_be_given("jackfield compare cases/studio")


def documented() -> dict[str, dict[str, re.Match[str]]]:
    """Table -> key -> row of the page on keys."""
    tables: dict[str, dict[str, re.Match[str]]] = {}
    for section in re.split(r"^### ", KEYS.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]:
        heading, _, body = section.partition("\n")
        name = re.search(r"`\[+(\w+)\]+`", heading)
        assert name, heading
        rows = (ROW.match(line) for line in body.splitlines())
        tables[name[1]] = {row["key"]: row for row in rows if row}
    return tables


def table_class(annotation: Any) -> type[BaseModel] | None:
    """The class of a table in a type such as list[Table] or Table | None."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next(filter(None, map(table_class, getattr(annotation, "__args__", ()))), None)


FILES = (CaseFile, CatalogueFile)
SCHEMA = {name: table_class(field.annotation) for file in FILES for name, field in file.model_fields.items()}
DOCUMENTED = documented()
FIELDS = [(table, key) for table, rows in DOCUMENTED.items() for key in rows]


def test_every_key_is_named_and_every_named_key_is_known() -> None:
    assert {name: sorted(rows) for name, rows in DOCUMENTED.items()} == {
        name: sorted(table.model_fields) for name, table in SCHEMA.items()
    }


def shown_default(field: FieldInfo) -> object:
    """What the page has as the default of a key, a value where there is one."""
    if field.is_required():
        return "*required*"
    default = field.get_default(call_default_factory=True)
    if default is None or default == {}:
        return "–"
    return list(default) if isinstance(default, tuple) else default


def ends(found: re.Match[str], low: float, high: float) -> list[Any]:
    """Values that reach from low to high: each alone, or a list where the range is that of two or three numbers."""
    if not found["many"]:
        return [low, high]
    return [[low, high] if found["many"].startswith("two") else [low, high, high]]


@pytest.mark.parametrize(("table", "key"), FIELDS, ids=[".".join(field) for field in FIELDS])
def test_defaults_and_ranges_are_those_of_the_program(table: str, key: str) -> None:
    """The default is that of the schema; both ends of a range are taken, and what lies a little beyond them is not."""
    row, field = DOCUMENTED[table][key], SCHEMA[table].model_fields[key]
    named = row["default"]
    assert (tomllib.loads(f"x = {named[1:-1]}")["x"] if named.startswith("`") else named) == shown_default(field)
    found = RANGE.fullmatch(row["range"])
    if found is None:
        return
    kind = Annotated[(field.annotation, *field.metadata)] if field.metadata else field.annotation
    check = TypeAdapter(kind).validate_python
    whole = "int" in str(field.annotation)
    low, high = (int(end) if whole else float(end) for end in (found["low"], found["high"]))
    step = 1 if whole else 1e-6 * max(high, 1)
    first, before = (low + step, low) if found["above"] else (low, low - step)
    for value in ends(found, first, high):
        check(value)
    for value in (ends(found, before, high)[0], ends(found, first, high + step)[-1]):
        with pytest.raises(ValidationError):
            check(value)


def test_examples_of_the_page_on_python_run(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    found = doctest.testfile(str(DOCS / "python.md"), module_relative=False, optionflags=doctest.ELLIPSIS)
    assert found.attempted > 15
    assert found.failed == 0
