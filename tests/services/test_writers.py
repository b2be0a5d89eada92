"""Only services write to the studio's tables: a convention that leaks unless it is tested."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

STUDIO = Path(__file__).resolve().parents[2] / "studio"
WRITES = {
    "save", "create", "bulk_create", "bulk_update", "update", "delete", "get_or_create", "update_or_create",
    "set_password", "aupdate", "asave",
}  # fmt: skip
# Where a call of that name is no write to the studio's tables, or writes what belongs to no studio.
ALLOWED = {
    "security/throttle.py": "tries to log in belong to no studio",
    "serve/demo_data.py": "gives the demo's login its password",
}
QUERYISH = {"save", "update", "delete", "create"}  # names that dicts, sets and others have too


def writes_in(path: Path) -> list[str]:
    """Calls in ``path`` that look like writes through the ORM."""
    found = []
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in WRITES:
            called = ast.unparse(node.func)
            if node.func.attr in QUERYISH and not _of_a_row(called):
                continue
            found.append(f"{path.relative_to(STUDIO)}:{node.lineno} {called}")
    return found


def _of_a_row(called: str) -> bool:
    """``rows.filter(…).update`` or ``row.save`` is one; ``data.update`` of a dict is none."""
    name = called.rsplit(".", 1)[-1]
    return ".objects" in called or name in ("save", "delete") or "filter(" in called


def outside() -> list[Path]:
    files = [p for p in STUDIO.rglob("*.py") if "__pycache__" not in p.parts]
    return [p for p in files if p.relative_to(STUDIO).parts[0] not in ("services", "migrations", "bootstrap")]


@pytest.mark.parametrize("path", outside(), ids=lambda p: str(p.relative_to(STUDIO)))
def test_nothing_but_services_writes(path: Path) -> None:
    if str(path.relative_to(STUDIO)) in ALLOWED:
        return
    assert writes_in(path) == []


def test_the_test_sees_the_writes_of_the_services() -> None:
    found = [w for p in (STUDIO / "services").glob("*.py") for w in writes_in(p)]
    assert len(found) > 20


def test_services_solve_nothing() -> None:
    for path in (STUDIO / "services").glob("*.py"):
        names = {
            alias.name if isinstance(node, ast.Import) else str(node.module)
            for node in ast.walk(ast.parse(path.read_text("utf-8")))
            if isinstance(node, ast.Import | ast.ImportFrom)
            for alias in node.names
        }
        assert not names & {"planner.solve", "planner.model", "planner.dispatch", "ortools"}, path.name
