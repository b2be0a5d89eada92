"""What the documents promise: commands that exist, files that are there, settings that are read."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from django.core.management import get_commands

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
