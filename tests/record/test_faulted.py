"""Each piece is looked at once at each place, with what it went through."""

from __future__ import annotations

from typing import Any

import pytest

from studio.record.facts import Fact
from studio.record.faulted import BISQUE, GLOST, GREEN, OUT, Looked, Walk, faults_in

pytestmark = pytest.mark.one_lane  # no database
SPAN = {"started": 0, "ended": 1}


def told(*facts: tuple[str, dict[str, Any]]) -> Walk:
    return faults_in(Fact(str(i), kind, i, i, i, None, None, data) for i, (kind, data) in enumerate(facts))


def seen(walk: Walk, where: str) -> list[Looked]:
    return [x for x in walk.looked if x.seen == where]


PRESSED = ("pressed", {"batch": "b", "form": "bowl", "count": 10, "moulds": ["m1"] * 10})
TAKEN = ("taken_out", {"batch": "b", "good": 8, "lost": 2, "left": 0, "why": "stuck", "remainder": None, **SPAN})
DONE = ("step_done", {"batch": "b", "step": "turn", "good": 7, "lost": 1, "left": 0, "why": "rim crack",
                      "remainder": None, **SPAN})  # fmt: skip


def firing(name: str, stage: str, ware: str, count: int) -> tuple[str, dict[str, Any]]:
    pieces = [{"batch": ware, "count": count}]
    return ("packed", {"firing": name, "kiln": "k", "program": "p", "stage": stage, "pieces": pieces, **SPAN})


def drawn(name: str, *lost: tuple[str, int, str]) -> tuple[str, dict[str, Any]]:
    rows = [{"batch": b, "count": n, "why": why} for b, n, why in lost]
    return ("drawn", {"firing": name, "lost": rows, **SPAN})


GLAZED = ("glazed", {"lot": "l", "form": "bowl", "glaze": "chalk", "order": None,
                     "pieces": [{"batch": "b", "count": 6}], **SPAN})  # fmt: skip
SORTED = ("sorted", {"order": None, "form": "bowl", "glaze": "chalk", "pieces": [{"batch": "l", "count": 5}],
                     "firsts": 3, "seconds": 1, "lost": 1, "why": "crawling", **SPAN})  # fmt: skip


def test_a_batch_on_its_way_is_looked_at_once_at_each_place() -> None:
    walk = told(PRESSED, TAKEN, DONE, firing("f1", "bisque", "b", 7), drawn("f1", ("b", 1, "blown")), GLAZED,
                firing("f2", "glost", "l", 6), drawn("f2", ("l", 1, "run")), SORTED)  # fmt: skip
    counts = {where: [(x.pieces, dict(x.faults)) for x in seen(walk, where)] for where in (OUT, GREEN, BISQUE, GLOST)}
    assert counts == {
        OUT: [(10, {"stuck": 2})], GREEN: [(8, {"rim crack": 1})], BISQUE: [(7, {"blown": 1})],
        GLOST: [(1, {"run": 1}), (5, {"crawling": 2})],
    }  # fmt: skip
    last = walk.looked[-1].links
    assert (last.form, last.mould, last.glaze, dict(last.firings)) == (
        "bowl", "m1", "chalk", {"bisque": "f1", "glost": "f2"})  # fmt: skip
    assert walk.firings["f1"] == ("k", 3)


def test_a_mould_is_known_only_where_one_alone_made_the_ware() -> None:
    both = ("pressed", {"batch": "b", "form": "bowl", "count": 2, "moulds": ["m1", "m2"]})
    assert told(both, TAKEN).looked[0].links.mould == ""


def test_what_is_left_to_do_goes_on_with_its_links_and_unknown_ware_is_left_out() -> None:
    some = ("taken_out", {**TAKEN[1], "good": 4, "lost": 0, "left": 6, "why": "", "remainder": "r"})
    rest = ("lost", {"batch": "r", "count": 2, "where": "in_mould", "why": ""})
    walk = told(PRESSED, some, rest, ("lost", {"batch": "unknown", "count": 2, "where": "fired", "why": "run"}))
    assert [(x.pieces, x.links.mould) for x in walk.looked] == [(4, "m1"), (2, "m1")]
    assert walk.unnamed == 2
