"""The published JSON Schema of results.json: as the models have it, right for a run, strict with broken documents."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from math import nan
from pathlib import Path
from typing import Any, get_args

import jsonschema
import pytest

import jackfield
from postprocess.existing_floor import TITLES
from postprocess.results import write_results
from postprocess.results_schema import FloorState, results_schema
from tests.unit.list_cases import Listed

FILE = Path(jackfield.__file__).parent / "schemas" / "results-1.schema.json"
Document = dict[str, Any]

CONTRACT = {
    "ResultsRecord": ["format", "case", "slab", "states", "jacks", "modes", "checks", "mesh"],
    "CaseRecord": ["title", "reference", "revision"],
    "SlabRecord": ["area_m2", "mass_kg", "thickness_mm", "modulus_gpa"],
    "StatesRecord": ["bare", "service", "full"],
    "StateRecord": ["load_kN", "reaction_kN", "equilibrium_error"],
    "JackRecord": [
        *("id", "x_mm", "y_mm", "spring", "rate_N_mm", "rated_load_kN"),
        *("load_kN", "deflection_mm", "load_ratio", "status"),
    ],
    "ModeRecord": ["number", "frequency_hz", "heave_share", "rock_x_share", "rock_y_share", "kind"],
    "CheckRecord": ["name", "value", "limit", "unit", "ok", "basis"],
    "MeshRecord": ["triangles", "unknowns", "change_percent"],
    "ChangeRecord": ["jack_load", "moment", "frequency"],
}
"""What other programs rely on."""


@pytest.fixture(scope="module")
def schema() -> Document:
    found: Document = json.loads(FILE.read_text(encoding="utf-8"))
    return found


@pytest.fixture(scope="module")
def validator(schema: Document) -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(schema)


@pytest.fixture(scope="module")
def document(listed_booth: Listed, tmp_path_factory: pytest.TempPathFactory) -> Document:
    """results.json of a booth with steel, bays and doubt, as it is written."""
    path = tmp_path_factory.mktemp("results") / "results.json"
    write_results(listed_booth.results, ["results.json"], path)
    found: Document = json.loads(path.read_text(encoding="utf-8"))
    return found


def test_the_file_is_what_the_models_make(schema: Document) -> None:
    """Write it anew with `python -m postprocess.results_schema` where the models have changed."""
    assert schema == results_schema()


def test_the_schema_is_one(schema: Document) -> None:
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_states_of_the_existing_floor_are_those_of_the_lists() -> None:
    assert get_args(FloorState) == tuple(TITLES)


def test_what_is_no_number_is_never_written(
    listed_booth: Listed, validator: jsonschema.Draft202012Validator, document: Document, tmp_path: Path
) -> None:
    """JSON has no NaN: writing one fails. Validators that take it for a number cannot refuse it, so the schema says who
    has to."""
    found = listed_booth.results
    with pytest.raises(ValueError, match="JSON compliant"):
        write_results(replace(found, slab={**found.slab, "mass_kg": nan}), [], tmp_path / "results.json")
    assert validator.is_valid({**document, "slab": {**document["slab"], "mass_kg": nan}})
    words = " ".join(results_schema()["description"].split())
    assert "no NaN and no infinity" in words
    assert "refuse them where the document is read" in words


def tables(schema: Document) -> Iterator[tuple[str, Document]]:
    yield "ResultsRecord", schema
    yield from schema["$defs"].items()


def test_every_field_is_described_and_tables_are_open(schema: Document) -> None:
    for name, table in tables(schema):
        assert table["additionalProperties"] is True, name
        bare = [key for key, field in table["properties"].items() if not field.get("description")]
        assert (name, bare) == (name, [])


@pytest.mark.parametrize("name", CONTRACT)
def test_what_others_rely_on_is_required(schema: Document, name: str) -> None:
    assert set(CONTRACT[name]) <= set(dict(tables(schema))[name]["required"])


def test_a_run_validates(validator: jsonschema.Draft202012Validator, document: Document) -> None:
    assert document["strength"] is not None
    assert document["doubt"] is not None
    validator.validate(document)
    validator.validate({**document, "more": 1})


def test_a_run_has_no_field_that_the_schema_leaves_out(schema: Document, document: Document) -> None:
    """Every key of the tables is in the schema, but for keys that are names: bays, states, jacks, springs."""
    closed = json.loads(json.dumps(schema).replace('"additionalProperties": true', '"additionalProperties": false'))
    for name in ("SpringOutRecord", "CoilRecord"):  # what these hold depends on the case
        closed["$defs"][name]["additionalProperties"] = True
    jsonschema.Draft202012Validator(closed).validate(document)


def floor_jack(document: Document) -> Document:
    found: Document = document["existing_floor"]["jacks"][3]
    return found


def floor_states(document: Document) -> list[Document]:
    found: list[Document] = document["existing_floor"]["states"]
    return found


def without(key: str) -> Callable[[Document], object]:
    return lambda document: document.pop(key)


BROKEN: dict[str, Callable[[Document], object]] = {
    "no jacks": without("jacks"),
    "no quantities": without("quantities"),
    "an empty list of jacks": lambda document: document.update(jacks=[]),
    "another format": lambda document: document.update(format="jackfield-results/2"),
    "a load as text": lambda document: document["jacks"][0]["load_kN"].update(full="5.1"),
    "a state missing at a jack": lambda document: document["jacks"][3]["load_ratio"].pop("bare"),
    "an unknown status": lambda document: document["jacks"][0].update(status="fine"),
    "a check without basis": lambda document: document["checks"][0].pop("basis"),
    "a verdict as a number": lambda document: document["checks"][0].update(ok=1),
    "a rate of nothing": lambda document: document["jacks"][0].update(rate_N_mm=0),
    "a mesh without unknowns": lambda document: document["mesh"].pop("unknowns"),
    "a layer of another face": lambda document: document["fabric"][0].update(layer="middle"),
    "no moments in a state": lambda document: document["moments"].pop("full"),
    "no full state at a jack of the existing floor": lambda document: floor_jack(document)["load_kN"].pop("full"),
    "no worst parts at a jack": lambda document: floor_jack(document)["load_kN"].pop("full_worst_parts"),
    "an unknown state at a jack": lambda document: floor_jack(document)["load_kN"].update(windy=1.0),
    "an unknown state of the existing floor": lambda document: floor_states(document)[0].update(state="windy"),
    "no full state of the existing floor": lambda document: floor_states(document).pop(2),
    "full twice in the place of service": lambda document: floor_states(document)[1].update(state="full"),
    "a state without totals": lambda document: floor_states(document)[1].update(bay_total_kN={}),
    "no bays": lambda document: document["existing_floor"].update(bays=[]),
    "a bay named twice": lambda document: document["existing_floor"].update(bays=["a", "a"]),
    "no jacks on the existing floor": lambda document: document["existing_floor"].update(jacks=[]),
    "a bay without a number": lambda document: document["existing_floor"]["states"][0]["bay_total_kN"].update(x=None),
}


@pytest.mark.parametrize("name", BROKEN)
def test_broken_documents_are_refused(
    validator: jsonschema.Draft202012Validator, document: Document, name: str
) -> None:
    broken = copy.deepcopy({**document, "strength": None, "doubt": None})
    assert validator.is_valid(broken)
    BROKEN[name](broken)
    assert not validator.is_valid(broken)
