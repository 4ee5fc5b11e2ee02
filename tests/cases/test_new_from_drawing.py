"""Cases whose plan is a drawing, and cases that are begun from one."""

from __future__ import annotations

import shutil
import tomllib
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest

from jackfield.main import main
from jackfield.toml_text import toml_number, toml_points, toml_text, wrapped
from preprocess.case import Case
from preprocess.errors import InputError
from preprocess.reader import read_case, read_draft
from tests.cases.drawn_case import assert_same_plan, draw, drawing_table, without_plan

CASES = Path(__file__).parents[2] / "cases"
ROUNDING_MM = 1e-6
"""A drawing holds sixteen digits of a few thousand mm, which reading turns to m."""
WRITTEN_MM = 1e-3
"""What `jackfield new` writes has thousandths of a mm; half of one at most is lost in x and in y."""


@pytest.fixture(scope="module")
def studio() -> Case:
    """A case with feet and spread loads."""
    return read_case(CASES / "studio")


@pytest.fixture
def drawn(studio: Case, tmp_path: Path) -> Path:
    """The same case with its plan in a drawing instead of in case.toml."""
    return redrawn(studio, tmp_path / "drawn")


def redrawn(case: Case, folder: Path) -> Path:
    """`folder` with the case, its plan in a drawing."""
    shutil.copytree(case.folder, folder)
    draw(case, folder / "plan.dxf")
    (folder / case.files[1]).unlink()  # the jack list
    text = without_plan((folder / "case.toml").read_text(encoding="utf-8"))
    (folder / "case.toml").write_text(text + drawing_table("plan.dxf"), encoding="utf-8")
    return folder


def add(folder: Path, text: str) -> None:
    path = folder / "case.toml"
    path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")


def problems(folder: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_case(folder)
    return str(caught.value)


def test_case_with_a_drawing_is_the_same_case(studio: Case, drawn: Path) -> None:
    found = read_case(drawn)
    assert_same_plan(found, studio, ROUNDING_MM)
    assert found.slab.thickness == studio.slab.thickness
    assert found.files[:2] == ("case.toml", "plan.dxf")
    assert set(found.files) == {"case.toml", "plan.dxf", "springs.toml"}
    assert "jacks.csv" not in found.files


def test_openings_come_from_the_drawing_too(tmp_path: Path) -> None:
    case = read_case(CASES / "roof-deck")
    assert case.slab.plan.interiors
    assert_same_plan(read_case(redrawn(case, tmp_path / "drawn")), case, ROUNDING_MM)


def test_what_the_drawing_gives_must_not_stand_in_the_case_too(drawn: Path) -> None:
    add(drawn, '\n[[equipment]]\nname = "Rack"\nmass_kg = 5\noutline_mm = [[0, 0], [9, 0], [9, 9]]\n')
    assert "equipment and drawing.equipment_layer: got both: one of the two" in problems(drawn)


def test_layers_that_are_not_named_are_not_read(studio: Case, drawn: Path) -> None:
    path = drawn / "case.toml"
    text = path.read_text(encoding="utf-8").replace('equipment_layer = "EQUIPMENT"\n', "")
    path.write_text(text, encoding="utf-8")
    found = read_case(drawn)
    assert found.equipment == ()
    assert found.jacks.ids == studio.jacks.ids


def test_faults_of_the_plan_name_the_place_in_the_drawing(drawn: Path) -> None:
    """A jack off the slab and a rack over its edge: found by the checks of all cases, named as in the drawing."""
    document = ezdxf.readfile(drawn / "plan.dxf")
    jack = document.modelspace().query('INSERT[layer=="JACKS"]').first
    jack.dxf.insert = (-4000, -4000, 0)
    rack = document.modelspace().query('INSERT[layer=="EQUIPMENT"]').first
    rack.dxf.insert = (50_000, 0, 0)
    document.saveas(drawn / "plan.dxf")
    text = problems(drawn)
    assert f"plan.dxf: layer JACKS, handle {jack.dxf.handle}, jack " in text
    assert "(-4000, -4000) mm, off the slab" in text
    assert f"plan.dxf: layer EQUIPMENT, handle {rack.dxf.handle}, block " in text
    assert "case.toml" not in text


def test_drawing_with_faults_is_all_that_is_said_of_the_plan(drawn: Path) -> None:
    (drawn / "plan.dxf").write_text("0\nSECTION\n", encoding="utf-8")
    text = problems(drawn)
    what = "a file cut off, without its end mark (EOF)"
    assert text == f"plan.dxf: file: got {what}: the whole drawing; save or send it again"
    (drawn / "plan.dxf").unlink()
    assert 'case.toml: drawing.file: got "plan.dxf"' in problems(drawn)


def test_settings_that_cannot_be(drawn: Path) -> None:
    """Each is named, and nothing is said of what the drawing would have given."""
    bad = {
        'units = "furlong"': "drawing.units: got 'furlong': no such unit",
        "chord_mm = 0": "drawing.chord_mm: got 0: a number from 0.01 to 100 mm",
        "closing_mm = -1": "drawing.closing_mm: got -1: a number from 0 to 100 mm",
        "origin_mm = 5": "drawing.origin_mm: got 5: a point [x, y] of the drawing",
        'masses_kg = { Rack = "5" }': "drawing.masses_kg: got {'Rack': '5'}: a mass in kg above 0",
        "layer = 1": "drawing.layer: got 1: no such key",
    }
    add(drawn, "\n".join(bad) + "\n")
    lines = problems(drawn).split("\n")
    assert len(lines) == len(bad)
    for line, words in zip(lines, bad.values(), strict=True):
        assert line.startswith(f"case.toml: {words}")


def test_springs_and_masses_that_the_drawing_lacks(studio: Case, drawn: Path) -> None:
    """The springs are not needed where they are to be chosen, nor the jacks where they are to be set out."""
    draw(studio, drawn / "plan.dxf", springs=False, masses=False)
    text = problems(drawn)
    assert f'jack "{studio.jacks.ids[0]}": got no spring: the code of a spring as attribute SPRING' in text
    assert "got no mass: its mass in kg: attribute MASS_KG of the block, or 'ITEM0' in [drawing.masses_kg]" in text
    masses = "".join(f"ITEM{number} = {item.mass}\n" for number, item in enumerate(studio.equipment))
    add(drawn, f"[drawing.masses_kg]\n{masses}")
    assert "no mass" not in problems(drawn)
    assert len(read_draft(drawn, "positions").rows) == len(studio.jacks)
    assert read_draft(drawn, "plan").rows == ()


def test_spring_that_the_catalogue_does_not_have(studio: Case, drawn: Path) -> None:
    first = studio.jacks.springs[0]
    others = studio.jacks.springs[1:]
    draw(
        replace(studio, jacks=replace(studio.jacks, springs=(replace(first, code="E99"), *others))), drawn / "plan.dxf"
    )
    text = problems(drawn)
    assert "plan.dxf: layer JACKS, handle" in text
    assert 'attribute SPRING "E99": no such spring' in text


def test_changes_count_after_the_drawing(drawn: Path) -> None:
    first = read_case(drawn).equipment[0]
    found = read_case(drawn, {f"equipment.{first.name}.mass_kg": 1234.5})
    assert found.equipment[0].mass == 1234.5


def test_new_from_a_drawing(studio: Case, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    draw(studio, tmp_path / "studio plan.dxf")
    folder = tmp_path / "made"
    assert main(["new", str(folder), "--from", str(tmp_path / "studio plan.dxf")]) == 0
    shutil.copy(studio.folder / "springs.toml", folder)
    made = read_case(folder)
    assert_same_plan(made, studio, WRITTEN_MM)
    assert made.project.title == "studio plan"
    said = capsys.readouterr().out
    assert "springs.toml: jacks of the drawing name what the catalogue of the example does not have" in said
    assert "all that is not from the drawing is invented" in said
    assert said.endswith(f"Next: put the springs of the drawing into springs.toml, then jackfield run {folder}\n")
    text = (folder / "case.toml").read_text(encoding="utf-8")
    assert "# From studio plan.dxf, layer OUTLINE, handle " in text
    assert '#   [drawing]\n#   file = "studio plan.dxf"\n#   outline_layer = "OUTLINE"\n' in text
    assert (folder / "studio plan.dxf").read_bytes() == (tmp_path / "studio plan.dxf").read_bytes()


def test_drawing_table_that_new_writes_reads_the_same(studio: Case, tmp_path: Path) -> None:
    draw(studio, tmp_path / "plan.dxf")
    folder = tmp_path / "made"
    main(["new", str(folder), "--from", str(tmp_path / "plan.dxf")])
    shutil.copy(studio.folder / "springs.toml", folder)
    text = (folder / "case.toml").read_text(encoding="utf-8")
    taken_up = [line[4:] if line.startswith("#   ") else line for line in without_plan(text).split("\n")]
    start = taken_up.index("[drawing]")
    table = taken_up[start : taken_up.index("", start)]
    (folder / "case.toml").write_text(without_plan(text) + "\n" + "\n".join(table) + "\n", encoding="utf-8")
    assert_same_plan(read_case(folder), studio, ROUNDING_MM)


def test_new_leaves_open_what_the_drawing_lacks(
    studio: Case, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    draw(studio, tmp_path / "plan.dxf", springs=False, masses=False)
    folder = tmp_path / "made"
    assert main(["new", str(folder), "--from", str(tmp_path / "plan.dxf")]) == 0
    said = capsys.readouterr().out
    assert "Still needed: mass_kg of" in said
    assert f"Still needed: springs of {len(studio.jacks)} jacks" in said
    assert said.endswith(f"Next: put the masses into case.toml, then jackfield springs {folder}\n")
    text = problems(folder)
    for number, item in enumerate(studio.equipment, start=1):
        assert f'equipment {number} ("{item.name}").mass_kg: required, but missing' in text
    assert "jacks.csv: row 1, column spring: required, but missing" in text
    assert "jackfield springs chooses them" in text


def test_new_from_a_drawing_with_a_jack_off_the_slab(
    studio: Case, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    draw(studio, tmp_path / "plan.dxf")
    document = ezdxf.readfile(tmp_path / "plan.dxf")
    jack = document.modelspace().query('INSERT[layer=="JACKS"]').first
    jack.dxf.insert = (26_000, 0, 0)
    document.saveas(tmp_path / "plan.dxf")
    assert main(["new", str(tmp_path / "made"), "--from", str(tmp_path / "plan.dxf")]) == 2
    said = " ".join(capsys.readouterr().err.split())
    assert f"layer JACKS, handle {jack.dxf.handle}: got a jack off the slab, at (26000, 0) mm" in said
    assert not (tmp_path / "made").exists()


def test_new_from_an_outline_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In feet, far from the datum, on a layer of another name."""
    document = ezdxf.new("R2010", units=0)
    corners = [(3000, 500), (3020, 500), (3020, 512), (3000, 512)]
    document.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": "SLAB-EDGE"})
    document.saveas(tmp_path / "plan.dxf")
    arguments = ["new", str(tmp_path / "made"), "--from", str(tmp_path / "plan.dxf"), "--layer", "outline=SLAB-EDGE"]
    assert main(arguments) == 2
    assert "units in the case or --units" in capsys.readouterr().err
    assert not (tmp_path / "made").exists()
    assert main([*arguments, "--units", "ft", "--origin", "914400", "152400"]) == 0
    said = capsys.readouterr().out
    assert "places of the jacks: jackfield setout finds them" in said
    assert said.endswith(f"Try it: jackfield setout {tmp_path / 'made'}\n")
    draft = read_draft(tmp_path / "made", "plan")
    assert draft.plan.bounds == pytest.approx((0, 0, 20 * 0.3048, 12 * 0.3048), abs=1e-6)
    assert draft.file.equipment == []


def test_options_that_cannot_be(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    start = ["new", str(tmp_path / "made")]
    assert main([*start, "--units", "mm"]) == 2
    assert "belong to --from" in capsys.readouterr().err
    assert main([*start, "--from", "plan.dxf", "--layer", "outlines=A", "--layer", "jacks", "--closing", "-1"]) == 2
    said = " ".join(capsys.readouterr().err.split())
    assert 'command: --layer: got "outlines=A": PART=NAME' in said
    assert 'the nearest is "outline"' in said
    assert 'command: --layer: got "jacks"' in said
    assert "command: --closing: got -1.0: a number of mm from 0 to 100" in said
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "a").touch()
    assert main(["new", str(tmp_path / "full"), "--from", str(tmp_path / "none.dxf")]) == 2
    assert "exists already" in capsys.readouterr().err


HOSTILE = ['"""', "\\", "a\tb", "\x7f", "Ständer 'ü' \U0001f3cb", '#"] = 1', "\\u0041", "C:\\new"]


@pytest.mark.parametrize("words", HOSTILE)
def test_words_come_back_from_toml_as_they_were(words: str) -> None:
    assert tomllib.loads(f"key = {toml_text(words)}")["key"] == words


def test_points_come_back_from_toml_to_the_thousandth() -> None:
    points = [(index * 1234.56789, -index / 3) for index in range(60)]
    text = wrapped(f"points = {toml_points(points)}")
    assert max(len(line) for line in text.split("\n")) <= 120
    assert tomllib.loads(text)["points"] == [[round(x, 3), round(y, 3) + 0.0] for x, y in points]
    nested = wrapped(f"rings = [{toml_points(points)}, {toml_points(points[:3])}]")
    assert [len(ring) for ring in tomllib.loads(nested)["rings"]] == [60, 3]
    assert toml_number(-0.0001) == "0"


def test_hostile_names_in_a_drawing(tmp_path: Path) -> None:
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    corners = [(0, 0), (6000, 0), (6000, 4000), (0, 4000)]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "OUTLINE"})
    block = document.blocks.new("A]]#'")
    block.add_lwpolyline([(0, 0), (500, 0), (500, 500), (0, 500)], close=True)
    name = 'Rack "x" ] # \\n <script> =1+1 {ü}'
    space.add_blockref(block.name, (1000, 1000), dxfattribs={"layer": "EQUIPMENT"}).add_attrib("NAME", name)
    space.add_blockref(block.name, (3000, 1000), dxfattribs={"layer": "EQUIPMENT"})
    document.saveas(tmp_path / "a#b.dxf")
    assert main(["new", str(tmp_path / "made"), "--from", str(tmp_path / "a#b.dxf")]) == 0
    tables = tomllib.loads((tmp_path / "made" / "case.toml").read_text(encoding="utf-8"))
    assert [item["name"] for item in tables["equipment"]] == [name, block.name]
    assert all("mass_kg" not in item for item in tables["equipment"])
