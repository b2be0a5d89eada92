"""One mould's record: how damp it is, when it is ready; a rested one sooner, a soaked one later."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.craft import air, moulds
from planner.craft.mould_record import (
    Record,
    Span,
    Use,
    dried_between,
    odd_weighings,
    ordinary_between,
    present,
    ready_h,
)
from planner.craft.moulds import Mould, Weighing, free_after_g
from planner.craft.ranges import OutOfRange

pytestmark = pytest.mark.one_lane
BOWL = Mould(1800, 16, moulds.rate_from_rest(14, 16, 90))
ORDINARY, DAMP = Span(0, air.ORDINARY.deficit_pa), Span(0, air.DAMP.deficit_pa)


def record(*uses: Use, start: float = 90, span: Span = ORDINARY, weighings: tuple[Weighing, ...] = ()) -> Record:
    return Record(0, start, (span,), uses, weighings)


def test_a_mould_at_its_limit_needs_exactly_its_rest() -> None:
    told = record(Use(0, 8))
    assert present(BOWL, told, 8).free_g == pytest.approx(106)
    assert ready_h(BOWL, told, 8) == pytest.approx(8 + 14)
    assert ready_h(BOWL, told, 15) == pytest.approx(22) and ready_h(BOWL, told, 50) == 50


def test_a_rested_mould_is_ready_sooner_and_a_soaked_one_later() -> None:
    rested, soaked = record(Use(0, 8), start=80), record(Use(0, 8), start=90, span=ORDINARY)
    twice = record(Use(0, 8), Use(10, 18))
    assert ready_h(BOWL, rested, 18) < ready_h(BOWL, soaked, 18) < ready_h(BOWL, twice, 18)
    assert ready_h(BOWL, record(Use(0, 8), span=DAMP), 8) - 8 == pytest.approx(14 / air.times_ordinary(air.DAMP))


def test_a_filled_mould_is_ready_after_its_pot_is_out() -> None:
    told = record(Use(0, 20))
    now = present(BOWL, told, 5)
    assert now.filled_until_h == 20 and now.share == pytest.approx(106 / 1800)
    assert ready_h(BOWL, told, 5) == pytest.approx(34)
    assert present(BOWL, told, 20).filled_until_h is None


def test_a_change_of_weather_counts_from_its_hour() -> None:
    spans = (Span(-50, air.ORDINARY.deficit_pa), Span(15, air.DAMP.deficit_pa), Span(400, air.DRY.deficit_pa))
    told = Record(0, 90, spans, (Use(0, 8),))
    assert ready_h(BOWL, told, 8) == pytest.approx(15 + 7 / air.times_ordinary(air.DAMP))
    for at in (8, 15.0, 20.0):
        assert ready_h(BOWL, told, at) == pytest.approx(ready_h(BOWL, told, 8))
    assert ordinary_between(spans, 20, 10) == 0


@given(
    st.lists(st.tuples(st.integers(-50, 50), st.floats(50, 4000)), min_size=1, max_size=6, unique_by=lambda s: s[0]),
    st.integers(-80, 80),
    st.integers(0, 80),
)
def test_ordinary_hours_are_counted_hour_by_hour(told, begin: int, hours: int) -> None:
    spans = [Span(start, pa) for start, pa in told]
    counted = 0.0
    for hour in range(begin, begin + hours):  # the air of each hour, looked up anew
        begun = [s for s in spans if s.from_h <= hour]
        here = max(begun, key=lambda s: s.from_h) if begun else min(spans, key=lambda s: s.from_h)
        counted += here.deficit_pa / air.ORDINARY.deficit_pa
    assert ordinary_between(spans, begin, begin + hours) == pytest.approx(counted, abs=1e-9)


def test_a_weighing_replaces_what_was_reckoned() -> None:
    told = record(Use(0, 8), weighings=(Weighing(10, 1800 + 200),))
    assert present(BOWL, told, 10).free_g == pytest.approx(200)
    assert present(BOWL, told, 9).free_g < 106
    light = record(weighings=(Weighing(10, 1790),))  # a little under the dry weight: dry
    assert present(BOWL, light, 12).free_g == 0 and ready_h(BOWL, light, 12) == 12


# Too light, too heavy, or weighed with a pot in it.
@pytest.mark.parametrize("weighing", [Weighing(10, 1500), Weighing(10, 2900), Weighing(4, 1900)])
def test_an_odd_weighing_is_not_believed(weighing: Weighing) -> None:
    plain, told = record(Use(0, 8)), record(Use(0, 8), weighings=(weighing,))
    assert odd_weighings(BOWL, told) == (weighing,)
    assert present(BOWL, told, 12) == present(BOWL, plain, 12)


def test_a_mould_never_holds_more_than_it_can() -> None:
    told = record(*(Use(2 * i, 2 * i + 1, 300) for i in range(20)))
    assert present(BOWL, told, 39).free_g == pytest.approx(BOWL.full_g)


def test_pressed_again_means_taken_out_before() -> None:
    assert present(BOWL, record(Use(0, 90), Use(10, 18)), 30) == present(BOWL, record(Use(0, 10), Use(10, 18)), 30)


@given(st.lists(st.tuples(st.floats(0.5, 20), st.floats(0, 40)), max_size=6), st.floats(0, 700), st.floats(0, 200))
def test_ready_is_when_the_moisture_has_come_down_to_the_limit(gaps, start: float, later: float) -> None:
    uses, time = [], 0.0
    for hold, rest in gaps:
        uses.append(Use(time, time + hold))
        time += hold + rest
    spans = (Span(0, 900), Span(60, 400), Span(150, 1500))
    told = Record(0, start, spans, tuple(uses))
    now = (uses[-1].out_h if uses else 0) + later
    ready = ready_h(BOWL, told, now)
    assert ready >= now
    found = present(BOWL, told, ready)
    assert found.free_g <= BOWL.ready_g * (1 + 1e-9)
    assert ready == now or found.free_g == pytest.approx(BOWL.ready_g)


def test_two_weighings_tell_what_went_between_them() -> None:
    told = record(Use(20, 28), weighings=(Weighing(10, 1990), Weighing(60, 1930)))
    (dried,) = dried_between(BOWL, told)
    assert (dried.before_g, dried.after_g) == (190, 130)
    assert dried.hours == pytest.approx(10 + 32) and dried.taken == ((pytest.approx(10), 16),)
    # Followed by the record itself from the first weighing on.
    assert dried.expected_g(1) == pytest.approx(
        free_after_g(free_after_g(190, BOWL.rate_per_h, 10) + 16, BOWL.rate_per_h, 32)
    )
    assert dried_between(BOWL, record(weighings=(Weighing(10, 1990),))) == []


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: Use(5, 4), "time of taking out"),
        (lambda: Span(0, 0), "vapour-pressure deficit"),
        (lambda: Record(0, 0, ()), "at least one stretch of air"),
        (lambda: Record(0, -5, (ORDINARY,)), "free water at the beginning"),
        (lambda: Weighing(0, 0), "weight of the mould"),
    ],
)
def test_what_is_out_of_range_is_said(call, says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        call()
