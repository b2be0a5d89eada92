"""The page "how we reckon" leaves nothing out: each public function of the package has a row."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import sys
from pathlib import Path

import pytest

from planner import craft
from planner.craft.rows import Tag
from planner.craft.sources import ROWS, by_subject
from tests.test_layers import tops

pytestmark = pytest.mark.one_lane
MODULES = sorted(module.name for module in pkgutil.iter_modules(craft.__path__))
WITHOUT_FORMULAS = {"ranges", "rows", "sources"}


def public(module: str) -> dict[str, object]:
    """The functions that a module of the package defines for others."""
    found = importlib.import_module(f"planner.craft.{module}")
    return {
        f"{module}.{name}": thing
        for name, thing in inspect.getmembers(found, inspect.isfunction)
        if thing.__module__ == found.__name__ and not name.startswith("_")
    }


@pytest.mark.parametrize("module", sorted(set(MODULES) - WITHOUT_FORMULAS))
def test_each_public_function_has_a_row_and_a_docstring(module: str) -> None:
    named = {function for row in ROWS for function in row.functions}
    assert set(public(module)) - named == set()
    assert [name for name, thing in public(module).items() if not inspect.getdoc(thing)] == []


def test_rows_name_what_there_is() -> None:
    for row in ROWS:
        for function in row.functions:
            module, name = function.split(".")
            assert hasattr(importlib.import_module(f"planner.craft.{module}"), name), function


def test_rows_are_full_and_stand_once() -> None:
    for row in ROWS:
        assert all((row.subject, row.name, row.words, row.valid, row.functions)), row
        assert row.source or row.tag is Tag.PRACTICE, row
        assert row.words[0] == row.words[0].upper() and row.words[-1] == ".", row
    assert len({(row.subject, row.name) for row in ROWS}) == len(ROWS)
    assert sum(len(rows) for rows in by_subject().values()) == len(ROWS)


def test_the_package_runs_on_the_standard_library() -> None:
    for path in sorted(Path(craft.__file__).parent.glob("*.py")):
        assert tops(path) - {"planner"} <= set(sys.stdlib_module_names) | {"__future__"}, path.name
