"""Glaze on a piece: surfaces against geometry, and which of the weighings count."""

from __future__ import annotations

from math import pi

import pytest

from planner.craft.glaze_coat import Rests, Weighed, dished_surface_cm2, on_a_piece, straight_surface_cm2
from planner.craft.ranges import OutOfRange
from planner.craft.solids import Profile, surface_cm2

pytestmark = pytest.mark.one_lane
SURFACES = {"mug": 700.0, "bowl": 700.0, "plate": 1200.0}


def test_half_a_ball_has_half_its_surface() -> None:
    """Archimedes, On the sphere and cylinder I.33: a ball's surface is four of its great circles."""
    great_circle = pi * 10**2
    assert dished_surface_cm2(200, 100) == pytest.approx(2 * 2 * great_circle)  # inside and outside
    assert dished_surface_cm2(200, 1) == pytest.approx(2 * great_circle, rel=0.001)  # a flat tile


def test_a_straight_pot_against_its_drawing() -> None:
    """A cylinder 80 wide and 100 high with a wall of 1 mm, by the frusta of ``solids``."""
    pot = Profile(outer=((0, 0), (40, 0), (40, 100)), inner=((0, 1), (39, 1), (39, 100)))
    assert straight_surface_cm2(80, 100) == pytest.approx(surface_cm2(pot), rel=0.02)


def test_a_dish_against_its_drawing() -> None:
    """A cap of a ball, 200 wide and 60 high, in 40 points with a wall of 1 mm."""
    r, h = 100.0, 60.0
    ball = (r**2 + h**2) / (2 * h)
    line = [(r * i / 40, ball - (ball**2 - (r * i / 40) ** 2) ** 0.5) for i in range(41)]
    inner = [(x * 0.995, z + 1) for x, z in line]
    dish = Profile(outer=tuple(line), inner=tuple(inner))
    assert dished_surface_cm2(200, 60) == pytest.approx(surface_cm2(dish), rel=0.02)


def test_without_a_weighing_it_is_a_usual_layer_on_the_surface() -> None:
    got = on_a_piece("mug", "white", [], SURFACES)
    assert (got.dry_g, got.rests, got.pieces) == (pytest.approx(49), Rests.SIZE, 0)  # 700 × 0.05 cm × 1.4 g/cm³


def test_each_weighing_goes_before_what_is_further_away() -> None:
    told = [Weighed("plate", "white", 2, 240)]
    got = on_a_piece("mug", "white", told, SURFACES)
    assert (got.dry_g, got.rests) == (pytest.approx(70), Rests.OTHER_FORM)  # 120 g × 700 / 1200
    told.append(Weighed("mug", "black", 4, 180))
    assert on_a_piece("mug", "white", told, SURFACES).rests is Rests.OTHER_GLAZE
    told.append(Weighed("mug", "white", 3, 129))
    got = on_a_piece("mug", "white", told, SURFACES)
    assert (got.dry_g, got.rests, got.pieces) == (43, Rests.WEIGHED, 3)


def test_the_last_five_weighings_count_by_their_pieces() -> None:
    told = [Weighed("mug", "white", 1, 90)] + [Weighed("mug", "white", 1, 40)] * 4 + [Weighed("mug", "white", 6, 180)]
    assert on_a_piece("mug", "white", told, SURFACES).dry_g == pytest.approx((160 + 180) / 10)


def test_what_cannot_be_is_refused_in_words() -> None:
    with pytest.raises(OutOfRange, match="surface of jug is not known"):
        on_a_piece("jug", "white", [], SURFACES)
    with pytest.raises(OutOfRange, match="pieces weighed"):
        Weighed("mug", "white", 0, 10)
    with pytest.raises(OutOfRange, match="the width must be from 10 to 1000 mm"):
        straight_surface_cm2(5, 100)
