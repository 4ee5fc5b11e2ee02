"""An answer that is known from outside the program, and what the program found in this run."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class KnownAnswer:
    """name: what is asked. source: where the answer is published, or how it follows. published, found: in `unit`.

    allowed: difference in the same unit that may be, for the reason in words.
    """

    name: str
    source: str
    published: float
    found: float
    unit: str
    allowed: float
    reason: str

    @property
    def difference(self) -> float:
        """Found less published, in `unit`."""
        return self.found - self.published

    @property
    def agrees(self) -> bool:
        """Whether the difference is allowed; what is not a number never agrees."""
        return abs(self.difference) <= self.allowed
