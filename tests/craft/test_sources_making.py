"""Each formula of this half stands on the page that says how the studio reckons, and each has a source or says none."""

from __future__ import annotations

import ast
from importlib import import_module
from pathlib import Path

import pytest

import planner.craft
from planner.craft.rows import Tag
from planner.craft.sources import ROWS as ALL
from planner.craft.sources_making import ROWS

pytestmark = pytest.mark.one_lane

FOLDER = Path(planner.craft.__file__).parent
MODULES = (
    "blame", "chances", "clashes", "cones", "cooling", "firing", "glaze", "glaze_coat", "lattices", "load",
    "loss", "needs", "packing", "pugging", "relax", "shelves", "shrinkage", "solids", "survival", "trial",
)  # fmt: skip


@pytest.mark.parametrize("module", MODULES)
def test_each_public_function_has_a_row(module: str) -> None:
    tree = ast.parse((FOLDER / f"{module}.py").read_text("utf-8"))
    public = {f"{module}.{x.name}" for x in tree.body if isinstance(x, ast.FunctionDef) and x.name[0] != "_"}
    assert public - {name for row in ROWS for name in row.functions} == set()


def test_what_a_row_names_is_there() -> None:
    for row in ROWS:
        for name in row.functions:
            module, what = name.split(".")
            assert hasattr(import_module(f"planner.craft.{module}"), what), name
        assert row.source or row.tag is Tag.PRACTICE, row.name


def test_the_rows_are_on_the_page() -> None:
    assert set(ROWS) <= set(ALL)
