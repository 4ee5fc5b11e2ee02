"""The root of the small family of errors that the command turns into an exit status."""

from __future__ import annotations


class JackfieldError(Exception):
    """Base of all errors raised on purpose; `exit_code` is the exit status of the command."""

    exit_code = 2


class ModelError(JackfieldError):
    """The mechanics cannot be solved as asked, e.g. a slab that is free to move as a rigid body."""
