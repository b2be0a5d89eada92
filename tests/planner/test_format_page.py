"""``planner/FORMAT.md`` names every key, kind of task, rule, cost and limit that the code knows."""

from __future__ import annotations

from dataclasses import is_dataclass
from pathlib import Path

import pytest

import planner
from planner import plan, scenario, ware
from planner.faults import MOST_SHOWN
from planner.jsonio.codec import keys_of
from planner.jsonio.text import MOST_BYTES, MOST_DEPTH
from planner.plan import COST_NAMES, STATUSES, TASK_KINDS
from planner.values import ID_LENGTH, MOST, TEN_YEARS
from tests.planner import builders as b
from tests.planner.brute import fits

PAGE = (Path(planner.__file__).parent / "FORMAT.md").read_text()
MODULES = (scenario, plan, ware)
RECORDS = {
    x for m in MODULES for x in vars(m).values() if is_dataclass(x) and x.__module__ in {y.__name__ for y in MODULES}
}


@pytest.mark.parametrize("record", sorted(RECORDS, key=lambda x: x.__name__), ids=lambda x: x.__name__)
def test_every_key_is_on_the_page(record: type) -> None:
    for key in keys_of(record):
        assert f"`{key}`" in PAGE or f"`{key}[" in PAGE or f'"{key}"' in PAGE or f"[].{key}" in PAGE, key


@pytest.mark.parametrize("word", [*COST_NAMES, *STATUSES, *TASK_KINDS, *ware.WIP_STAGES])
def test_every_word_is_on_the_page(word: str) -> None:
    assert f"`{word}`" in PAGE


def test_every_rule_and_limit_is_on_the_page() -> None:
    for number in range(1, 15):
        assert f"**R{number:02d} " in PAGE
    assert f"{TEN_YEARS:,}".replace(",", " ") in PAGE and f"{MOST:,}".replace(",", " ") in PAGE
    assert f"1 to {ID_LENGTH} printable" in PAGE and f"at most {MOST_SHOWN}, as" in PAGE
    assert f"deeper than {MOST_DEPTH} levels" in PAGE and f"at most {MOST_BYTES >> 20} MiB" in PAGE


def _fits(stack_mm: int, shelves: int) -> bool:
    forms = [("bowl", 100, 20, 12), ("beaker", 75, 16, 8), ("saucer", 40, 20, 30)]
    load = [(b.form(f, glost=b.shelving(mm, a=per_shelf)), count) for f, mm, per_shelf, count in forms]
    return fits(b.kiln(stack_mm=stack_mm, shelf_mm=20, shelves=shelves), "glost", load)


def test_the_worked_kiln_load_needs_275_mm_and_three_shelves() -> None:
    """The example of R08 on the page: 120 + 95 + 60 mm. The oracle of the brute force is held to it."""
    assert "120 + 95 + 60 = 275 mm" in PAGE
    assert _fits(275, 3)
    assert not _fits(274, 3)
    assert not _fits(275, 2)
