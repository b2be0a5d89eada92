"""The Pareto of faults and repeat offenders."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from planner.craft.blame import Group, Link, adjusted, offenders, pareto, vital_few
from planner.craft.ranges import OutOfRange

pytestmark = pytest.mark.one_lane


def test_the_pareto_of_a_published_mug_pottery() -> None:
    """300 faulty mugs, 54 % by the glaze and 21.7 % by cracked handles: a case study in an open engineering journal.

    The counts of the rest are made up to make 300.
    """
    bars = pareto({"base": 33, "glaze": 162, "warp": 40, "handle": 65, "none": 0})
    assert [(b.fault, b.count) for b in bars] == [("glaze", 162), ("handle", 65), ("warp", 40), ("base", 33)]
    assert bars[0].share == pytest.approx(0.54)
    assert bars[1].share == pytest.approx(0.217, abs=5e-4)
    assert bars[1].running == pytest.approx(0.757, abs=5e-4)
    assert bars[-1].running == 1
    assert [b.fault for b in vital_few(bars)] == ["glaze", "handle", "warp"]
    assert pareto({}) == []


BH_1995 = [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719, 0.6528,
           0.7590, 1.0]  # fmt: skip


def test_the_example_of_benjamini_and_hochberg() -> None:
    """Benjamini and Hochberg 1995, section 4.1 (from memory): of fifteen, four are called at 0.05."""
    assert sum(q <= 0.05 for q in adjusted(BH_1995)) == 4


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(0, 1), min_size=1, max_size=20))
def test_adjusting_is_that_of_scipy(p_values: list[float]) -> None:
    assert adjusted(p_values) == pytest.approx(list(stats.false_discovery_control(p_values)))


def test_a_tail_is_fishers_lady_tasting_tea() -> None:
    """Fisher 1935: all four cups right of eight by chance once in 70; at least three, 17 times in 70."""
    right = [Group(4, {"milk": 4}, {Link.MOULD: "a"}), Group(4, {"milk": 0}, {Link.MOULD: "b"})]
    assert offenders(right, 0.05)[0].fluke == pytest.approx(1 / 70)
    three = [Group(4, {"milk": 3}, {Link.MOULD: "a"}), Group(4, {"milk": 1}, {Link.MOULD: "b"})]
    assert offenders(three, 0.5)[0].fluke == pytest.approx(17 / 70)


def pressed(chance: Random, bad_mould: float) -> list[Group]:
    """20 rounds with 8 moulds and 3 clays; pieces stick once in 30, those of mould 7 with ``bad_mould``."""
    return [
        Group(
            5,
            {
                "stuck": sum(chance.random() < (bad_mould if m == 7 else 1 / 30) for _ in range(5)),
                "rim": sum(chance.random() < 0.05 for _ in range(5)),
            },
            {Link.MOULD: f"mould {m}", Link.CLAY: f"clay {r % 3}", Link.TOOL: "stop 14"},
        )
        for r in range(20)
        for m in range(8)
    ]


def test_the_mould_that_sticks_is_found_with_what_to_do_about_it() -> None:
    found = offenders(pressed(Random(4), 0.25))
    assert [(o.fault, o.link, o.name) for o in found] == [("stuck", Link.MOULD, "mould 7")]
    assert found[0].pieces == 100 and found[0].others == 700
    assert found[0].fluke == pytest.approx(
        stats.hypergeom.sf(found[0].faulty - 1, 800, found[0].faulty + found[0].others_faulty, 100)
    )


def test_innocent_links_are_seldom_blamed() -> None:
    """22 tests a record, all innocent: a false alarm in at most one record in twenty; in 60 at most 8 (1 in 200)."""
    assert sum(bool(offenders(pressed(Random(i), 1 / 30))) for i in range(60)) <= 8


def test_what_cannot_be_is_refused_in_words() -> None:
    with pytest.raises(OutOfRange, match="count each piece once"):
        Group(3, {"stuck": 4})
    with pytest.raises(OutOfRange, match="less than no times"):
        pareto({"stuck": -1})
    with pytest.raises(OutOfRange, match="false alarms"):
        offenders([], 0)
    with pytest.raises(OutOfRange, match="a chance"):
        adjusted([1.5])
