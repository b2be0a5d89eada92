"""What the documents promise: commands that exist, files that are there, settings that are read."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from django.core.management import get_commands, load_command_class

pytestmark = pytest.mark.one_lane
PROJECT = Path(__file__).resolve().parents[1]
DOCUMENTS = [PROJECT / name for name in ("README.md", "DEVELOPERS.md", "CHANGELOG.md")]
DOCUMENTS += sorted((PROJECT / "planner").glob("*.md"))
OWN = {"test"}  # answered by the first start itself


def section(text: str, title: str) -> str:
    """The text under a heading, up to the next heading of the same or a higher level."""
    found = re.search(rf"^## {re.escape(title)}\n(.*?)(?=^#{{1,2}} |\Z)", text, flags=re.M | re.S)
    assert found, f"README has no section “{title}”"
    return found[1]


@pytest.mark.parametrize(
    ("title", "line"), [("Run it", "python3 manage.py demo"), ("Test it", "python3 manage.py test")]
)
def test_the_two_sections_hold_one_block_of_one_line(title: str, line: str) -> None:
    text = section((PROJECT / "README.md").read_text("utf-8"), title)
    blocks = re.findall(r"^```\w*\n(.*?)^```", text, flags=re.M | re.S)
    assert blocks == [line + "\n"]


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.name)
def test_every_command_in_the_documents_exists(path: Path) -> None:
    named = set(re.findall(r"manage\.py ([a-z_]+)", path.read_text("utf-8")))
    assert named - set(get_commands()) - OWN == set()


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.name)
def test_every_option_in_the_documents_is_one_of_its_command(path: Path) -> None:
    taken_before = {"--data", "--postgres"}  # by the first start, for every command
    for name, line in re.findall(r"manage\.py ([a-z_]+)([^`\n]*)", path.read_text("utf-8")):
        app = get_commands().get(name)
        known = set(taken_before)
        if app is not None:
            known |= set(load_command_class(app, name).create_parser("manage.py", name)._option_string_actions)
        assert set(re.findall(r"(?<!\S)--[a-z-]+", line)) <= known, f"{name}{line}"


def test_the_pictures_are_small_and_as_wide_as_a_phone() -> None:
    named = re.findall(r'<img src="([^"]+)"[^>]*\balt="[^"]{20,}"', (PROJECT / "README.md").read_text("utf-8"))
    assert [Path(name).name for name in named] == ["today.png", "week.png"]
    for name in named:
        png = (PROJECT / name).read_bytes()
        assert png.startswith(b"\x89PNG\r\n\x1a\n") and int.from_bytes(png[16:20], "big") == 2 * 390
        assert len(png) < 120_000


def test_the_map_has_every_folder_of_the_code() -> None:
    text = section((PROJECT / "DEVELOPERS.md").read_text("utf-8"), "Map")
    packages = [path.parent for top in ("planner", "studio") for path in sorted((PROJECT / top).glob("*/__init__.py"))]
    assert len(packages) > 15
    assert [path.name for path in packages if f" {path.name}/ " not in text] == []


def test_every_marker_of_the_tests_is_explained() -> None:
    options = tomllib.loads((PROJECT / "pyproject.toml").read_text("utf-8"))["tool"]["pytest"]["ini_options"]
    text = section((PROJECT / "DEVELOPERS.md").read_text("utf-8"), "Tests")
    assert [name for line in options["markers"] if f"`{(name := line.split(':')[0])}`" not in text] == []


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.name)
def test_every_variable_in_the_documents_is_read(path: Path) -> None:
    folders = (PROJECT / "studio", PROJECT / "tests")
    code = "\n".join(p.read_text("utf-8") for folder in folders for p in sorted(folder.rglob("*.py")))
    named = set(re.findall(r"\b(?:STUDIO|ANY_STATE)_[A-Z_]+\b", path.read_text("utf-8")))
    assert [name for name in named if f'"{name}"' not in code] == []


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.name)
def test_every_local_link_leads_somewhere(path: Path) -> None:
    for target in re.findall(r"\]\((?!https?:|#|mailto:)([^)#\s]+)", path.read_text("utf-8")):
        assert (path.parent / target).exists(), target


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.name)
def test_every_file_that_is_named_as_code_is_there(path: Path) -> None:
    sign = r"`((?:studio|planner|tests|fixtures)/[\w./-]+)`"
    for name in re.findall(sign, path.read_text("utf-8")):
        assert (PROJECT / name).exists(), name


def test_every_setting_of_the_environment_is_documented() -> None:
    code = "\n".join(p.read_text("utf-8") for p in sorted((PROJECT / "studio").rglob("*.py")))
    read = set(re.findall(r"""(?:environ\.get\(|environ\[|VARIABLE = )["'](STUDIO_[A-Z_]+)["']""", code))
    # Set by the tool for its own children.
    read -= {"STUDIO_LIFELINE"}
    text = (PROJECT / "DEVELOPERS.md").read_text("utf-8")
    assert {name for name in read if name not in text} == set()


def test_every_dependency_has_its_reason() -> None:
    text = (PROJECT / "DEVELOPERS.md").read_text("utf-8").casefold()
    for file in ("requirements.in", "requirements-dev.in"):
        for line in (PROJECT / file).read_text("utf-8").splitlines():
            name = re.match(r"[A-Za-z][\w-]*", line)
            if name:
                assert f"**{name[0].casefold()}" in text, f"{name[0]} has no reason in DEVELOPERS.md"


def test_the_version_is_the_newest_in_the_changes() -> None:
    version = tomllib.loads((PROJECT / "pyproject.toml").read_text("utf-8"))["project"]["version"]
    newest = re.search(r"^## (\S+)", (PROJECT / "CHANGELOG.md").read_text("utf-8"), flags=re.M)
    assert newest and newest[1] == version


def test_the_top_level_is_the_one_that_was_agreed() -> None:
    fixed = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml", "manage.py"}
    fixed |= {"studio", "planner", "tests", "fixtures"}
    fixed |= {"requirements.in", "requirements.txt", "requirements-dev.in", "requirements-dev.txt"}
    made_by_use = {"data", "screenshots"}
    present = {path.name for path in PROJECT.iterdir() if not path.name.startswith(".")}
    assert present - fixed - made_by_use == set()
