"""Imports run one way: fem knows no other room, preprocess and postprocess know fem only, jackfield knows all."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
ALLOWED = {
    "fem": {"fem"},
    "preprocess": {"fem", "preprocess"},
    "postprocess": {"fem", "postprocess"},
    "jackfield": {"fem", "preprocess", "postprocess", "jackfield"},
}


def imported_rooms(path: Path) -> set[str]:
    """Rooms that a module imports anywhere in its text."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names.add(node.module or "")
    return {name.split(".")[0] for name in names} & set(ALLOWED)


@pytest.mark.parametrize("room", ALLOWED)
def test_imports_run_one_way(room: str) -> None:
    modules = list((ROOT / room).rglob("*.py"))
    assert len(modules) > 3
    wrong = {path.name: rooms - ALLOWED[room] for path in modules if (rooms := imported_rooms(path)) - ALLOWED[room]}
    assert not wrong
