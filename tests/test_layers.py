"""Who may import whom, and what a page may contain: the rules of DEVELOPERS.md, held by reading the sources."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

pytestmark = pytest.mark.one_lane
PROJECT = Path(__file__).resolve().parents[1]
HEAVY = {"ortools", "numpy", "pandas"}
# The one package that builds models, and the files of child processes, which a crash of the solver may take.
MAY_IMPORT_ORTOOLS = ("planner/model/",)
WITHOUT_DJANGO = ("studio/record/", "studio/bootstrap/", "studio/datafolder.py", "studio/database.py")
STANDARD_LIBRARY_ONLY = ("studio/bootstrap/", "studio/datafolder.py", "studio/serve/lifeline.py", "studio/database.py")


def sources(folder: str) -> list[Path]:
    return sorted((PROJECT / folder).rglob("*.py"))


def name_of(path: Path) -> str:
    return path.relative_to(PROJECT).as_posix()


def imports(path: Path) -> Iterator[str]:
    """The full names that a file imports anywhere in it, also inside functions and for type checkers only."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name_of(path)}: imports name the whole path"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def tops(path: Path) -> set[str]:
    return {name.split(".")[0] for name in imports(path)}


def test_the_planner_knows_no_django_and_no_studio() -> None:
    assert [name_of(path) for path in sources("planner") if tops(path) & {"django", "studio"}] == []


def test_the_solver_is_imported_in_one_place_only() -> None:
    elsewhere = [
        name_of(path)
        for path in sources("planner")
        if tops(path) & HEAVY and not name_of(path).startswith(MAY_IMPORT_ORTOOLS)
    ]
    assert elsewhere == []


def test_the_craft_runs_on_the_standard_library_and_knows_nothing_of_plans() -> None:
    for path in sources("planner/craft"):
        names = {name for name in imports(path) if not name.startswith("planner.craft")}
        assert {name.split(".")[0] for name in names} <= set(sys.stdlib_module_names) | {"__future__"}, name_of(path)


def test_the_checker_runs_on_the_standard_library() -> None:
    for path in sources("planner/checks"):
        assert tops(path) - {"planner"} <= set(sys.stdlib_module_names) | {"__future__"}, name_of(path)
        assert not any(name.startswith("planner.model") for name in imports(path)), name_of(path)


def test_the_studio_imports_nothing_heavy() -> None:
    assert [name_of(path) for path in sources("studio") if tops(path) & HEAVY] == []


def test_only_the_bridge_and_the_runs_speak_to_the_planner() -> None:
    """Pages, models, record and security know the studio's words only."""
    parts = ("views", "models", "record", "security", "serve", "bootstrap")
    apart = [path for part in parts for path in sources(f"studio/{part}")]
    found = [name_of(path) for path in apart if "planner" in tops(path)]
    assert found == []


def test_the_record_and_the_first_start_know_no_django() -> None:
    found = [name_of(p) for p in sources("studio") if name_of(p).startswith(WITHOUT_DJANGO) and "django" in tops(p)]
    # start.py hands over to Django once the environment is there.
    assert found == ["studio/bootstrap/start.py"]


def test_the_first_start_needs_the_standard_library_only() -> None:
    allowed = set(sys.stdlib_module_names) | {"__future__", "studio"}
    for path in sources("studio"):
        if name_of(path).startswith(STANDARD_LIBRARY_ONLY) and path.name != "start.py":
            assert tops(path) <= allowed, name_of(path)
    start = PROJECT / "studio/bootstrap/start.py"
    assert tops(start) - allowed == {"django", "tests"}


LOADED = """
import os, sys
os.environ["DJANGO_SETTINGS_MODULE"] = "studio.settings"
import django
django.setup()
from django.urls import get_resolver
def walk(patterns):
    for entry in patterns:
        walk(entry.url_patterns) if hasattr(entry, "url_patterns") else entry.callback
walk(get_resolver().url_patterns)
import importlib, pkgutil, studio
from studio.wsgi import application
import studio.views
for module in pkgutil.walk_packages(studio.views.__path__, "studio.views."):
    importlib.import_module(module.name)
from django.test import Client
from django.template import engines
engines["django"]
print(sorted(name for name in ("ortools", "numpy", "pandas") if name in sys.modules))
"""


def test_the_web_process_loads_nothing_heavy(tmp_path: Path) -> None:
    import os

    environment = {**os.environ, "STUDIO_DATA": str(tmp_path / "data"), "DATABASE_URL": ""}
    done = subprocess.run(
        [sys.executable, "-c", LOADED], cwd=PROJECT, env=environment, capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "[]"


WRITES = re.compile(r"\.objects\.(?:\w+\(.*\)\.)*(create|bulk_create|update|get_or_create|update_or_create|delete)\(")
# Security keeps its own table of tries; the demo's login is set when it is loaded; sessions are Django's.
MAY_WRITE = ("studio/services/", "studio/security/", "studio/migrations/")


def test_only_services_write_to_the_tables() -> None:
    found = []
    for path in sources("studio"):
        if name_of(path).startswith(MAY_WRITE):
            continue
        found += [f"{name_of(path)}: {hit[0]}" for hit in WRITES.finditer(path.read_text("utf-8"))]
    assert found == []


TEMPLATES = sorted((PROJECT / "studio").rglob("templates/**/*.html"))
FORBIDDEN = {
    "an inline script": re.compile(r"<script(?![^>]*\bsrc=)[^>]*>", re.I),
    "an inline style element": re.compile(r"<style\b", re.I),
    "a style attribute": re.compile(r"<[^>]*\sstyle\s*=", re.I),
    "an event attribute": re.compile(r"<[^>]*\son[a-z]+\s*=", re.I),
    "hx-on": re.compile(r"\bhx-on\b", re.I),
    "js: values": re.compile(r"\bhx-(?:vals|headers)\s*=\s*[\"']\s*(?:js|javascript):", re.I),
    "hx-vars": re.compile(r"\bhx-vars\b", re.I),
    "a filter in hx-trigger": re.compile(r"hx-trigger\s*=\s*(?:\"[^\"]*\[|'[^']*\[)", re.I),
    "a javascript: address": re.compile(r"=\s*[\"']\s*javascript:", re.I),
    "a file from elsewhere": re.compile(r"\b(?:src|href|action)\s*=\s*[\"'](?:https?:)?//", re.I),
    "the safe filter": re.compile(r"\|\s*safe\b|autoescape\s+off"),
}


def in_sight_of_the_policy(text: str) -> str:
    """A template without its comments and with its tags' own words taken out, which may hold any sign."""
    text = re.sub(r"{#.*?#}|{%\s*comment\s*%}.*?{%\s*endcomment\s*%}", "", text, flags=re.S)
    return re.sub(r"{%.*?%}", "", text, flags=re.S)


@pytest.mark.parametrize("path", TEMPLATES, ids=name_of)
def test_a_page_holds_nothing_that_its_policy_forbids(path: Path) -> None:
    text = path.read_text("utf-8")
    shown = in_sight_of_the_policy(text)
    found = [name for name, sign in FORBIDDEN.items() if sign.search(text if name == "the safe filter" else shown)]
    assert found == []


@pytest.mark.parametrize(
    ("sample", "name"),
    [
        ("<script>go()</script>", "an inline script"),
        ('<p class="a" style="color: red">', "a style attribute"),
        ('<a onclick="go()">', "an event attribute"),
        ('<a hx-on:click="go()">', "hx-on"),
        ("<a hx-vals='js:{a: 1}'>", "js: values"),
        ('<a hx-trigger="click[ctrlKey]">', "a filter in hx-trigger"),
        ('<img src="//elsewhere.example/x.png">', "a file from elsewhere"),
        ("{{ name|safe }}", "the safe filter"),
    ],
)
def test_each_sign_is_seen(sample: str, name: str) -> None:
    assert FORBIDDEN[name].search(sample)
    assert not FORBIDDEN[name].search('<form method="post" hx-post="/x/"><button name="on">Go</button></form>')


@pytest.mark.parametrize("path", TEMPLATES, ids=name_of)
def test_every_form_that_changes_something_carries_its_token(path: Path) -> None:
    text = path.read_text("utf-8")
    for form in re.findall(r"<form\b.*?</form>", text, flags=re.S | re.I):
        if re.search(r"method\s*=\s*[\"']post", form, re.I):
            # {% command %} writes the token together with the id of the record that the form makes.
            assert "{% csrf_token %}" in form or "{% command " in form


@pytest.mark.parametrize("path", TEMPLATES, ids=name_of)
def test_every_static_file_named_in_a_page_is_there(path: Path) -> None:
    named = re.findall(r"{%\s*static\s+['\"]([^'\"]+)['\"]", path.read_text("utf-8"))
    assert [name for name in named if not (PROJECT / "studio" / "static" / name).is_file()] == []
