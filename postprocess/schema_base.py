"""What the tables of published JSON Schemas share: open to further keys, every field with its description."""

from __future__ import annotations

from typing import Annotated, TypeAlias

from pydantic import BaseModel, ConfigDict, Field
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import CoreSchema


class Record(BaseModel):
    """A table of results; further keys may be added at any time."""

    model_config = ConfigDict(extra="allow", frozen=True)


class PlainTitles(GenerateJsonSchema):
    """Schemas whose fields have no titles made from their names."""

    def field_title_should_be_set(self, schema: CoreSchema) -> bool:
        """Names say it already."""
        return False


def schema_of(model: type[Record], identifier: str) -> JsonSchemaValue:
    """The schema of a whole document, JSON Schema draft 2020-12."""
    found = model.model_json_schema(schema_generator=PlainTitles)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": identifier, **found}


XMm: TypeAlias = Annotated[float, Field(description="x from the datum of the plan, mm")]
YMm: TypeAlias = Annotated[float, Field(description="y from the datum of the plan, mm")]


class PerState(Record):
    """One figure in each load state."""

    bare: float = Field(description="slab alone, as it is lifted")
    service: float = Field(description="slab, finishes, equipment, line loads and the sustained share of imposed load")
    full: float = Field(description="slab, finishes, equipment, line loads and all imposed load")
