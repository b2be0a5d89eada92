"""What the planner's tests share: worked scenarios and plans kept under ``fixtures``."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ROOT / "fixtures" / "examples"
BENCH = ROOT / "fixtures" / "bench"

settings.register_profile("planner", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("planner")


@pytest.fixture
def examples() -> Path:
    """The folder of worked scenarios and plans, with ``index.json`` naming the rule that each plan breaks."""
    return EXAMPLES


@pytest.fixture
def tiny() -> dict[str, Any]:
    """A sound scenario as plain JSON, free to be spoiled."""
    made: dict[str, Any] = json.loads((EXAMPLES / "tiny.json").read_bytes())
    return made


@pytest.fixture
def tiny_plan() -> dict[str, Any]:
    """A valid plan for ``tiny`` as plain JSON, free to be spoiled."""
    made: dict[str, Any] = json.loads((EXAMPLES / "tiny.plan.json").read_bytes())
    return made


Planner = Callable[..., "subprocess.CompletedProcess[str]"]


@pytest.fixture
def planner() -> Planner:
    """``planner("check", path, path)`` runs ``python -m planner`` as a person would."""

    def run(*args: object, timeout: float = 60) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "planner", *map(str, args)]
        return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=timeout, check=False)

    return run
