"""A data folder with one studio, made once and copied for each test that starts the tool on it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.platform.commands import add_studio, manage


@pytest.fixture(scope="session")
def founded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that is copied."""
    folder = tmp_path_factory.mktemp("founded") / "data"
    done = manage("migrate", "--data", str(folder))
    assert done.returncode == 0, done.stderr
    add_studio(folder, "Clay End")
    return folder


@pytest.fixture
def data(founded: Path, tmp_path: Path) -> Path:
    """A data folder with the tables and the studio “Clay End”."""
    return shutil.copytree(founded, tmp_path / "data")
