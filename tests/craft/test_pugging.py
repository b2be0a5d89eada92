"""When to pug and how much."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.craft.pugging import Need, Pug, to_pug
from planner.craft.ranges import OutOfRange

pytestmark = pytest.mark.one_lane


def test_the_example() -> None:
    """12 and 30 kg with a tenth more are 46.2 kg; 20 are there, 26.2 are short from the second on: six steps of 5."""
    assert to_pug([Need(900, 30_000), Need(100, 12_000)], 20_000) == Pug(900, 30_000)


def test_enough_is_enough() -> None:
    assert to_pug([], 0) is None
    assert to_pug([Need(5, 10_000)], 11_000) is None  # to the gram, with its tenth
    assert to_pug([Need(5, 10_000)], 10_999) == Pug(5, 5000)
    assert to_pug([Need(5, 10_000)], 10_000, margin=0) is None


amounts = st.lists(st.tuples(st.integers(0, 10_000), st.integers(1, 60_000)), max_size=8)


@given(amounts, st.integers(0, 200_000))
def test_what_is_pugged_by_then_lasts_and_less_would_not(needs: list[tuple[int, int]], there: int) -> None:
    """Played by hand: nothing is short before ``by``, with the pugging nothing ever, with a step less something is."""
    work = [Need(at, grams) for at, grams in needs]
    pug = to_pug(work, there)
    stands = [there - 1.1 * sum(n.grams for n in work if n.at <= at) for at in sorted(n.at for n in work)]
    if pug is None:
        assert all(s >= -1e-3 for s in stands)
        return
    before = there - 1.1 * sum(n.grams for n in work if n.at < pug.by)
    assert before >= -1e-3 and stands[-1] + pug.grams >= -1e-3 > stands[-1] + pug.grams - 5000 - 2e-3


def test_what_cannot_be_is_refused_in_words() -> None:
    with pytest.raises(OutOfRange, match="clay there"):
        to_pug([], -1)
    with pytest.raises(OutOfRange, match="clay of a pressing"):
        to_pug([Need(1, -5)], 0)
    with pytest.raises(OutOfRange, match="margin"):
        to_pug([], 0, margin=2)
