"""The dispatcher's small parts against plain reckoning: free time, boards on a rack, a kiln load."""

from __future__ import annotations

import random
from fractions import Fraction
from math import ceil

import pytest

from planner.dispatch.calendar import Gaps, Rack
from planner.dispatch.facts import StackRule
from planner.dispatch.shop import meet
from planner.dispatch.stack import Stack
from planner.scenario import Form, Kiln
from tests.planner import builders as b

END = 400


def spans(r: random.Random, n: int) -> list[tuple[int, int]]:
    made = []
    for _ in range(n):
        a = r.randrange(END - 1)
        made.append((a, r.randrange(a + 1, END)))
    return made


def minutes(gaps: Gaps) -> set[int]:
    return {m for a, z in zip(gaps.a, gaps.b, strict=True) for m in range(a, z)}


def random_gaps(r: random.Random) -> tuple[Gaps, set[int]]:
    """Gaps after random cuts, and the same as a set of minutes."""
    given = spans(r, 3)
    gaps = Gaps.joined(given, END)
    free = {m for a, z in given for m in range(a, z)}
    for a, z in spans(r, 4):
        if z - a < 60:
            gaps.cut(a, z)
            free -= set(range(a, z))
    return gaps, free


@pytest.mark.parametrize("seed", range(40))
def test_free_minutes_are_those_of_the_spans_less_the_cuts(seed: int) -> None:
    gaps, free = random_gaps(random.Random(seed))
    assert minutes(gaps) == free
    assert all(z < a for z, a in zip(gaps.b, gaps.a[1:], strict=False)), "gaps touch or overlap"


@pytest.mark.parametrize("seed", range(40))
def test_a_start_is_found_exactly_where_the_minutes_are_free(seed: int) -> None:
    r = random.Random(seed)
    gaps, free = random_gaps(r)
    lo, last, long = r.randrange(END), r.randrange(END), r.randrange(1, 60)
    starts = [s for s in range(END) if set(range(s, s + long)) <= free]
    assert gaps.find(lo, long, last) == min((s for s in starts if lo <= s <= last), default=-1)
    late = [s for s in starts if s >= lo and s + long <= last]
    assert gaps.find_last(lo, long, last) == max(late, default=-1)


@pytest.mark.parametrize("seed", range(40))
def test_two_calendars_meet_at_the_first_minute_that_suits_both(seed: int) -> None:
    r = random.Random(seed)
    (one, free_one), (two, free_two) = random_gaps(r), random_gaps(r)
    lo, long = r.randrange(END), r.randrange(1, 40)
    both = free_one & free_two
    starts = [s for s in range(lo, END) if set(range(s, s + long)) <= both]
    assert meet(one, two, lo, long, END) == min(starts, default=-1)


def test_minutes_given_back_are_only_those_that_were_there() -> None:
    base = Gaps.joined([(0, 100), (200, 300)], END)
    gaps = base.copy()
    gaps.cut(50, 250)
    gaps.give(50, 250, base)
    assert minutes(gaps) == minutes(base)


@pytest.mark.parametrize("seed", range(30))
def test_room_on_a_rack_is_its_size_less_the_fullest_minute(seed: int) -> None:
    r = random.Random(seed)
    rack, level = Rack(20), [0] * END
    for a, z in spans(r, 12):
        n = r.randrange(1, 4)
        z = END if r.random() < 0.3 else z
        rack.add(n, a, z)
        for m in range(a, z):
            level[m] += n
    a, z = spans(r, 1)[0]
    assert rack.room(a, z) == 20 - max(level[a:z])


def height_of(kiln: Kiln, forms: tuple[Form, ...], counts: dict[int, int]) -> tuple[int, int]:
    """R08 word by word: (millimetres, shelves) of a bisque load."""
    total = shelves = 0
    for c in sorted({forms[f].bisque.clearance_mm for f, n in counts.items() if n}, reverse=True):
        p = sum(
            Fraction(n, forms[f].bisque.per_shelf[kiln.id])
            for f, n in counts.items()
            if n and forms[f].bisque.clearance_mm >= c
        )
        total += (ceil(p) - shelves) * (c + kiln.shelf_mm)
        shelves = ceil(p)
    return total, shelves


def test_the_worked_example_of_the_rule() -> None:
    """12 bowls, 8 beakers and 30 saucers stand 275 mm high on 3 shelves (the example of R08 in FORMAT.md)."""
    forms = (
        b.form("bowl", bisque=b.shelving(100, a=20)),
        b.form("beaker", bisque=b.shelving(75, a=16)),
        b.form("saucer", bisque=b.shelving(40, a=20)),
    )
    for stack_mm, fits in ((275, True), (274, False)):
        stack = Stack(StackRule(b.kiln(stack_mm=stack_mm, shelves=3), "bisque", forms))
        stack.add(0, 12)
        stack.add(1, 8)
        assert (stack.room(2, 30) == 30) is fits


@pytest.mark.parametrize("seed", range(60))
def test_room_in_a_kiln_is_the_most_that_the_rule_allows(seed: int) -> None:
    r = random.Random(seed)
    ways = [b.shelving(r.choice([40, 75, 75, 100, 125]), a=r.choice([3, 7, 16, 24])) for _ in range(4)]
    forms = tuple(b.form(f"f{i}", bisque=way) for i, way in enumerate(ways))
    limits = [b.limit("bisque", f0=r.randrange(2, 20), f1=r.randrange(1, 20)), b.limit("glost", f2=1)]
    kiln = b.kiln(stack_mm=r.choice([300, 450, 690]), shelf_mm=20, shelves=r.choice([3, 6, 9]), limits=limits)
    stack, counts = Stack(StackRule(kiln, "bisque", forms)), dict.fromkeys(range(4), 0)

    def sound(form: int, n: int) -> bool:
        tried = counts | {form: counts[form] + n}
        high, shelves = height_of(kiln, forms, tried)
        limit = kiln.limits[0].counts
        barred = tried[0] >= limit["f0"] and tried[1] >= limit["f1"]
        return high <= kiln.stack_mm and shelves <= kiln.shelves and not barred

    for _ in range(12):
        form, want = r.randrange(4), r.randrange(1, 40)
        most = max(n for n in range(want + 1) if n == 0 or sound(form, n))
        assert stack.room(form, want) == most
        take = r.randint(0, most)
        if take:
            stack.add(form, take)
            counts[form] += take
