"""Each piece is looked at once at each place, with what it went through."""

from __future__ import annotations

from typing import Any

import pytest

from studio.record.facts import Fact
from studio.record.followed import BISQUE, GLOST, GREEN, OUT, Followed, Looked
from studio.record.following import follow

pytestmark = pytest.mark.one_lane  # no database
SPAN = {"started": 0, "ended": 1}


def told(*facts: tuple[str, dict[str, Any]]) -> Followed:
    return follow(Fact(str(i), kind, i, i, i, None, None, data) for i, (kind, data) in enumerate(facts))


def seen(walk: Followed, where: str) -> list[Looked]:
    return [x for x in walk.looked if x.seen == where]


PRESSED = ("pressed", {"batch": "b", "form": "bowl", "count": 10, "moulds": ["m1"] * 10})
TAKEN = ("taken_out", {"batch": "b", "good": 8, "lost": 2, "left": 0, "why": "stuck", "remainder": None,
                       "moulds": ["m1"] * 10, **SPAN})  # fmt: skip
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
    assert (walk.firings["f1"].kiln, walk.firings["f1"].at, walk.firings["f1"].forms) == ("k", 3, {"bowl": 7})


def test_a_mould_is_known_only_where_one_alone_made_the_ware() -> None:
    both = ("pressed", {"batch": "b", "form": "bowl", "count": 2, "moulds": ["m1", "m2"]})
    assert told(both, TAKEN).looked[0].links.mould == ""


def test_what_is_left_to_do_goes_on_with_its_links_and_unknown_ware_is_left_out() -> None:
    some = ("taken_out", {**TAKEN[1], "good": 4, "lost": 0, "left": 6, "why": "", "remainder": "r"})
    rest = ("lost", {"batch": "r", "count": 2, "where": "in_mould", "why": ""})
    walk = told(PRESSED, some, rest, ("lost", {"batch": "unknown", "count": 2, "where": "fired", "why": "run"}))
    assert [(x.pieces, x.links.mould) for x in walk.looked] == [(4, "m1"), (2, "m1")]
    assert walk.unnamed == 2


def test_what_is_seen_on_pieces_that_go_on_counts_once_and_loses_none() -> None:
    """3 of 10 show pits and go on; at taking out 8 are good and 2 lost: 10 looked at, 3 with pits, 2 stuck."""
    noted = ("seen", {"batch": "b", "count": 3, "where": "in_mould", "why": "pits"})
    walk = told(PRESSED, noted, TAKEN, DONE)
    assert [(x.pieces, dict(x.faults)) for x in seen(walk, OUT)] == [(3, {"pits": 3}), (7, {"stuck": 2})]
    assert [x.pieces for x in seen(walk, GREEN)] == [8]
    assert walk.ware["b"].there == 7


def test_more_seen_than_are_left_to_look_at_still_shows_all_that_were_lost() -> None:
    noted = ("seen", {"batch": "b", "count": 10, "where": "in_mould", "why": "pits"})
    assert [(x.pieces, dict(x.faults)) for x in seen(told(PRESSED, noted, TAKEN), OUT)] == [
        (10, {"pits": 10}), (2, {"stuck": 2})]  # fmt: skip


def test_firsts_that_show_the_fault_count_with_the_seconds() -> None:
    sorted_ = ("sorted", {**SORTED[1], "showing": 2})
    walk = told(PRESSED, TAKEN, firing("f1", "bisque", "b", 8), drawn("f1"), GLAZED, firing("f2", "glost", "l", 6),
                drawn("f2"), sorted_)  # fmt: skip
    assert [(x.pieces, dict(x.faults)) for x in seen(walk, GLOST)] == [(5, {"crawling": 4})]
    assert walk.losses["bowl", "glost"][-1] == (3, 2, 5)  # they are firsts all the same


def test_glazed_from_two_makings_keeps_what_both_went_through() -> None:
    other = ("pressed", {"batch": "c", "form": "bowl", "count": 2, "moulds": ["m2"] * 2})
    both = ("glazed", {**GLAZED[1], "pieces": [{"batch": "b", "count": 6}, {"batch": "c", "count": 2}],
                       "glaze_batch": "g1"})  # fmt: skip
    links = told(PRESSED, other, both).ware["l"].links
    assert (links.mould, links.pressing, links.glaze, links.glaze_batch) == ("", "", "chalk", "g1")
    alone = told(PRESSED, other, GLAZED).ware["l"].links
    assert (alone.mould, alone.pressing, alone.glaze_batch) == ("m1", "b", "")


def test_what_is_left_outside_a_kiln_has_not_been_in_it() -> None:
    walk = told(PRESSED, TAKEN, firing("f1", "bisque", "b", 5), drawn("f1", ("f1.b", 1, "blown")))
    assert dict(walk.ware["b"].links.firings) == {} and walk.ware["b"].there == 3
    assert dict(walk.ware["f1.b"].links.firings) == {"bisque": "f1"} and walk.ware["f1.b"].there == 4
    assert [(x.pieces, dict(x.faults)) for x in seen(walk, BISQUE)] == [(5, {"blown": 1})]


def test_a_piece_lost_while_pressing_is_seen_at_the_mould() -> None:
    walk = told(PRESSED, ("lost", {"batch": "b", "count": 1, "where": "press", "why": "torn rim"}))
    assert [(x.seen, x.pieces) for x in walk.looked] == [(OUT, 1)]


EACH = ("pressed", {"batch": "b", "form": "bowl", "count": 3, "moulds": ["m1", "m2", "m3"]})


def out(good: int, lost: int, moulds: list[str], **more: Any) -> tuple[str, dict[str, Any]]:
    return ("taken_out", {"batch": "b", "good": good, "lost": lost, "left": 0, "why": "stuck" if lost else "",
                          "remainder": None, "moulds": moulds, **SPAN, **more})  # fmt: skip


def by_mould(walk: Followed) -> dict[str, tuple[int, dict[str, int]]]:
    return {x.links.mould: (x.pieces, dict(x.faults)) for x in seen(walk, OUT)}


def test_taken_out_without_a_fault_each_piece_speaks_for_its_mould() -> None:
    assert by_mould(told(EACH, out(3, 0, ["m1", "m2", "m3"]))) == {m: (1, {}) for m in ("m1", "m2", "m3")}


def test_a_fault_of_which_the_mould_is_known_is_that_mould_s() -> None:
    walk = told(EACH, out(2, 1, ["m2", "m1", "m3"], from_moulds=["m2"]))
    assert by_mould(walk) == {"m1": (1, {}), "m2": (1, {"stuck": 1}), "m3": (1, {})}
    assert walk.ware["b"].there == 2


def test_a_fault_of_which_the_mould_is_not_known_is_no_mould_s() -> None:
    assert by_mould(told(EACH, out(2, 1, ["m1", "m2", "m3"]))) == {"": (3, {"stuck": 1})}


def test_lost_and_noted_in_the_mould_count_once_each_for_their_moulds() -> None:
    noted = ("seen", {"batch": "b", "count": 1, "where": "in_mould", "why": "pits", "from_moulds": ["m1"]})
    gone = ("lost", {"batch": "b", "count": 1, "where": "in_mould", "why": "stuck", "from_moulds": ["m2"]})
    walk = told(EACH, noted, gone, out(2, 0, ["m1", "m3"]))
    assert by_mould(walk) == {"m1": (1, {"pits": 1}), "m2": (1, {"stuck": 1}), "m3": (1, {})}
