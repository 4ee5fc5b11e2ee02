"""The base of every table of the input files, and lists that may be left out."""

from __future__ import annotations

from typing import Annotated, TypeAlias, TypeVar

from pydantic import BaseModel, ConfigDict, Field

Item = TypeVar("Item")


class Table(BaseModel):
    """A TOML table that refuses keys it does not know."""

    model_config = ConfigDict(extra="forbid", frozen=True)


OptionalList: TypeAlias = Annotated[list[Item], Field(default_factory=list)]
"""Empty where the file does not have it."""
