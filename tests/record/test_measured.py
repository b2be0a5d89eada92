"""What the record shows of how long work takes and how much is lost."""

from __future__ import annotations

from typing import Any

from studio.record.facts import Fact
from studio.record.followed import Passed
from studio.record.measured import Measured, measured

MORNING = 29_000_000


class Book:
    """Facts in the order in which they are told, each as it ends."""

    def __init__(self) -> None:
        self.facts: list[Fact] = []

    def tell(self, kind: str, at: int, *, arrived: int | None = None, by: str = "ann", task: str | None = None,
             **data: Any) -> str:  # fmt: skip
        n = len(self.facts) + 1
        when = MORNING + at
        self.facts.append(Fact(f"f{n}", kind, when, n, when if arrived is None else MORNING + arrived, by, task, data))
        return f"f{n}"

    def press(self, at: int, batch: str, *, minutes: int = 30, count: int = 10, **more: Any) -> str:
        start = MORNING + at - minutes
        return self.tell("pressed", at, batch=batch, form="bowl", count=count, moulds=[f"m{i}" for i in range(count)],
                         started=start, ended=MORNING + at, first=start, covered=False,
                         station=None, **more)  # fmt: skip

    def out(self, at: int, batch: str, *, good: int, lost: int = 0) -> str:
        return self.tell("taken_out", at, batch=batch, good=good, lost=lost, left=0, why="", wrapped=False, moulds=[],
                         started=MORNING + at - 20, ended=MORNING + at, remainder=None)  # fmt: skip

    def pack(self, at: int, firing: str, stage: str, **pieces: int) -> str:
        return self.tell("packed", at, firing=firing, kiln="k", program="p", stage=stage,
                         pieces=[{"batch": b, "count": n} for b, n in pieces.items()],
                         started=MORNING + at - 40, ended=MORNING + at)  # fmt: skip

    def draw(self, at: int, firing: str, **lost: int) -> str:
        return self.tell("drawn", at, firing=firing, started=MORNING + at - 30, ended=MORNING + at,
                         lost=[{"batch": b, "count": n, "why": ""} for b, n in lost.items()])  # fmt: skip

    def shown(self) -> Measured:
        return measured(self.facts)


def test_a_task_takes_the_time_since_the_one_before_it() -> None:
    book = Book()
    for i, at in enumerate((30, 66, 96, 141)):
        book.press(at, f"b{i}")
    shown = book.shown()
    assert shown.factors == {"press": [1.2, 1.0, 1.5]}
    assert shown.since == MORNING + 66


def test_a_break_another_person_and_a_task_told_late_measure_nothing() -> None:
    book = Book()
    book.press(30, "a")
    book.press(80, "b")  # 50 minutes on: something else was done
    book.press(95, "c", by="ben")  # his first
    book.press(270, "d", arrived=600)
    book.press(300, "e")  # and nobody knows when d ended
    assert book.shown().factors == {}


def test_what_was_ticked_in_one_go_has_no_times() -> None:
    book = Book()
    book.press(30, "a")
    for i, at in enumerate((60, 90, 120)):
        book.press(at, f"b{i}", arrived=120)
    assert book.shown().factors == {}


def test_a_corrected_time_is_taken_at_its_word_and_what_was_taken_back_is_not() -> None:
    book = Book()
    first = book.press(30, "a")
    book.tell("correction", 31, of=first, data={"started": MORNING - 15})
    undone = book.press(60, "b")
    book.tell("undo", 61, of=undone)
    assert book.shown().factors == {"press": [1.5]}


def test_a_task_told_twice_counts_once() -> None:
    book = Book()
    book.press(30, "a", task="t1")
    book.press(60, "b", task="t2")
    book.press(95, "b", task="t2", by="ben")
    assert book.shown().factors == {"press": [1.0]}


def test_losses_are_counted_by_form_and_stage() -> None:
    book = Book()
    book.press(30, "a", count=12)
    book.out(400, "a", good=11, lost=1)
    book.tell("lost", 410, batch="a", count=1, where="leather", why="")
    book.pack(2000, "fi", "bisque", a=10)
    book.draw(4000, "fi", a=2)
    book.tell("glazed", 4100, lot="lot", form="bowl", glaze="chalk", order=None,
              pieces=[{"batch": "a", "count": 8}], started=MORNING + 4080, ended=MORNING + 4100)  # fmt: skip
    book.pack(4200, "fg", "glost", lot=8)
    book.draw(6000, "fg", lot=1)
    book.tell("sorted", 6100, order=None, form="bowl", glaze="chalk", pieces=[{"batch": "lot", "count": 7}], firsts=5,
              seconds=1, lost=1, why="", started=MORNING + 6080, ended=MORNING + 6100)  # fmt: skip
    assert book.shown().losses == {
        ("bowl", "making"): [Passed(10, 2, 12)],
        ("bowl", "bisque"): [Passed(8, 2, 10)],
        ("bowl", "glost"): [Passed(5, 3, 8)],
    }


def test_a_part_of_a_batch_in_a_kiln_has_a_name_of_its_own() -> None:
    book = Book()
    book.press(30, "a", count=12)
    book.pack(2000, "fi", "bisque", a=8)
    book.tell("lost", 2100, batch="a", count=1, where="leather", why="")
    book.draw(4000, "fi", **{"fi.a": 3})
    losses = book.shown().losses
    assert losses["bowl", "making"] == [Passed(8, 0, 8)]  # of the rest nobody knows yet how many come through
    assert losses["bowl", "bisque"] == [Passed(5, 3, 8)]


def test_an_empty_record_shows_nothing() -> None:
    assert measured([]) == Measured()
