"""How long a bag of plaster keeps."""

from __future__ import annotations

from datetime import date

import pytest

from planner.craft.bags import Age, age_on, keeps_until

pytestmark = pytest.mark.one_lane


def test_the_day_on_the_bag_comes_before_the_usual_one() -> None:
    """120 days: Digitalfire's page on plaster, of one plaster for jiggering. From 1 January 2027 that is 1 May."""
    assert keeps_until(date(2027, 1, 1), None) == date(2027, 5, 1)
    assert keeps_until(date(2027, 1, 1), date(2027, 9, 1)) == date(2027, 9, 1)
    assert keeps_until(None, None) is None


@pytest.mark.parametrize(
    ("day", "age"),
    [
        (date(2027, 4, 10), Age.GOOD),
        (date(2027, 4, 11), Age.SOON),  # 20 days before
        (date(2027, 5, 1), Age.SOON),
        (date(2027, 5, 2), Age.OLD),
    ],
)
def test_it_is_used_first_in_its_last_three_weeks(day: date, age: Age) -> None:
    assert age_on(day, date(2027, 5, 1)) is age


def test_without_a_day_nothing_is_said() -> None:
    assert age_on(date(2027, 5, 1), None) is Age.UNKNOWN
