"""Solids of revolution against closed forms of solid geometry."""

from __future__ import annotations

from math import cos, hypot, pi, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.craft.ranges import OutOfRange
from planner.craft.solids import (
    Profile,
    capacity_ml,
    centroid_mm,
    clay_volume_cm3,
    filled_ml,
    height_mm,
    plastic_density,
    scaled,
    sections,
    surface_cm2,
    weights,
    width_mm,
)

pytestmark = pytest.mark.one_lane

TUMBLER = Profile(outer=((0, 0), (40, 0), (40, 100)), inner=((0, 5), (36, 5), (36, 100)))


def arc(radius: float, upto: float, middle: float, points: int = 190) -> tuple[tuple[float, float], ...]:
    """A circle about (0, ``middle``) from its lowest point up to the angle ``upto``."""
    angles = [upto * i / (points - 1) for i in range(points)]
    return tuple((radius * sin(a), middle - radius * cos(a)) for a in angles)


def test_a_tumbler_is_two_cylinders() -> None:
    """π r² h, outside less inside."""
    assert clay_volume_cm3(TUMBLER) == pytest.approx(pi * (40**2 * 100 - 36**2 * 95) / 1000)
    assert capacity_ml(TUMBLER) == pytest.approx(pi * 36**2 * 95 / 1000)
    assert filled_ml(TUMBLER, 55) == pytest.approx(pi * 36**2 * 50 / 1000)
    outer, inner = pi * 40**2 * 100, pi * 36**2 * 95
    assert centroid_mm(TUMBLER) == pytest.approx((outer * 50 - inner * (5 + 47.5)) / (outer - inner))
    faces = 40**2 + 2 * 40 * 100 + (40**2 - 36**2) + 2 * 36 * 95 + 36**2
    assert surface_cm2(TUMBLER) == pytest.approx(pi * faces / 100)
    assert (height_mm(TUMBLER), width_mm(TUMBLER)) == (100, 80)


def test_a_hollow_cone() -> None:
    """π r² h / 3; a solid cone's centre stands a quarter of its height from the base."""
    cup = Profile(outer=((0, 0), (50, 100)), inner=((0, 40), (30, 100)))
    outer, inner = pi * 50**2 * 100 / 3, pi * 30**2 * 60 / 3
    assert clay_volume_cm3(cup) == pytest.approx((outer - inner) / 1000)
    assert capacity_ml(cup) == pytest.approx(inner / 1000)
    assert filled_ml(cup, 70) == pytest.approx(pi * 15**2 * 30 / 3 / 1000)
    assert centroid_mm(cup) == pytest.approx((outer * 75 - inner * (40 + 45)) / (outer - inner))


@pytest.mark.parametrize("upto", [0.6, 1.2, pi / 2])
def test_a_bowl_of_two_spheres(upto: float) -> None:
    """Spherical caps, π h² (3 R − h) / 3, and the hollow hemisphere's centre at 3 (R⁴ − r⁴) / 8 (R³ − r³)."""
    bowl = Profile(outer=arc(80, upto, 80), inner=arc(74, upto, 80))

    def cap(radius: float) -> float:
        h = radius * (1 - cos(upto))
        return pi * h * h * (3 * radius - h) / 3

    cone = pi * sin(upto) ** 2 * cos(upto) / 3
    assert clay_volume_cm3(bowl) == pytest.approx((cap(80) - cap(74) + cone * (80**3 - 74**3)) / 1000, rel=2e-4)
    assert capacity_ml(bowl) == pytest.approx(cap(74) / 1000, rel=2e-4)
    if upto == pi / 2:
        below = 3 * (80**4 - 74**4) / (8 * (80**3 - 74**3))
        assert centroid_mm(bowl) == pytest.approx(80 - below, rel=2e-4)
    assert all(s.thick_mm == pytest.approx(6, rel=2e-3) for s in sections(bowl))


def test_a_ring_by_pappus() -> None:
    """A plate's rim alone adds 2 π R A: the second theorem of Pappus on a foot ring of 4 × 6 mm at 50 mm."""
    plain = Profile(outer=((0, 10), (100, 10)), inner=((0, 15), (100, 15)))
    footed = Profile(outer=((0, 10), (48, 10), (48, 4), (52, 4), (52, 10), (100, 10)), inner=plain.inner)
    assert clay_volume_cm3(footed) - clay_volume_cm3(plain) == pytest.approx(2 * pi * 50 * 4 * 6 / 1000)


def test_a_humped_bottom_and_a_rim_turned_down() -> None:
    """The hump takes its cone from the capacity; what hangs below the brim outside holds nothing."""
    form = Profile(
        outer=((0, 0), (40, 0), (40, 48), (60, 44)),
        inner=((0, 20), (36, 5), (36, 52), (60, 47)),
    )
    # cylinder above the low ring less the cone of the hump, 15 mm high
    assert capacity_ml(form) == pytest.approx(pi * 36**2 * (47 - 15 / 3) / 1000)


def test_a_conical_wall_is_as_thick_as_its_sides_are_apart() -> None:
    cup = Profile(outer=((0, 0), (30, 0), (50, 100)), inner=((0, 5), (26, 5), (45, 100)))
    middle = [s for s in sections(cup, 5) if 30 < s.at[1] < 70]
    # the sides run parallel, 5 mm apart level
    assert all(s.thick_mm == pytest.approx(5 * 100 / hypot(20, 100)) for s in middle)
    assert sections(cup, 5)[0].thick_mm == pytest.approx(5) and len(middle) == 8


def test_the_density_of_plastic_clay() -> None:
    """A fifth water: 1 / (0.2 + 0.8 / 2.6) = 1.97 g/cm³; all solid, 2.6."""
    assert plastic_density(0.2) == pytest.approx(1.9697, abs=1e-4)
    assert plastic_density(0, 2.6) == pytest.approx(2.6)


def test_weights_wet_dry_and_fired() -> None:
    w = weights(TUMBLER, 0.2, 0.12, 0.07)
    volume = clay_volume_cm3(TUMBLER)
    assert w.wet_g == pytest.approx(volume * 1.9697, rel=2e-4)
    assert w.dry_g == pytest.approx(w.wet_g * 0.8)
    assert w.fired_g == pytest.approx(w.dry_g * 0.93)
    assert w.fired_cm3 == pytest.approx(volume * 0.681472)  # 0.88³
    assert 2.0 < w.fired_density < 2.6  # stoneware, from memory


@given(st.floats(0.2, 5))
def test_volumes_grow_by_the_cube_and_surfaces_by_the_square(factor: float) -> None:
    large = scaled(TUMBLER, factor)
    assert clay_volume_cm3(large) == pytest.approx(clay_volume_cm3(TUMBLER) * factor**3)
    assert surface_cm2(large) == pytest.approx(surface_cm2(TUMBLER) * factor**2)


@settings(max_examples=25, deadline=None)
@given(st.integers(4, 60), st.floats(0.05, 0.5))
def test_more_points_on_a_curve_only_come_nearer(points: int, thick: float) -> None:
    """A polygon within a circle: its capacity never exceeds the sphere's, and with 20 points lacks under 1 %."""
    bowl = Profile(outer=arc(60, 1.3, 60, 80), inner=arc(60 * (1 - thick), 1.3, 60, points))
    h = 60 * (1 - thick) * (1 - cos(1.3))
    whole = pi * h * h * (3 * 60 * (1 - thick) - h) / 3000
    assert whole * (0.99 if points >= 20 else 0.8) < capacity_ml(bowl) <= whole * (1 + 1e-9)


@pytest.mark.parametrize(
    ("outer", "inner", "words"),
    [
        (((0, 0), (40, 0), (40, 90)), ((0, 5), (45, 5), (36, 90)), "outer points 2 to 3 and inner points 2 to 3"),
        (((0, 0), (40, 0), (20, 60), (50, 30), (40, 90)), ((0, 5), (36, 5), (36, 90)), "outer points .* and inner"),
        (((0, 0), (40, 90), (40, 0)), ((0, 5), (36, 5), (36, 90)), "crosses or touches itself"),
        (((0, 5), (36, 5), (36, 90)), ((0, 0), (40, 0), (40, 90)), "two swapped"),
        (((5, 0), (40, 0)), ((0, 5), (36, 5)), "5 mm off the middle axis"),
        (((0, 0), (40, 0), (0, 50)), ((0, 5), (36, 5)), "on the middle axis again"),
        (((0, 0), (40, 0), (40, 0), (40, 90)), ((0, 5), (36, 90)), "outer points 2 and 3 are the same"),
        (((0, 0),), ((0, 5), (36, 90)), "has 1 points"),
        (((0, 0), (-4, 90)), ((0, 5), (36, 90)), "radius of outer point 2"),
        (((0, 0), (60, 0), (30, 0)), ((0, 5), (30, 5)), "outer points 1 to 2 and outer points 2 to 3"),
        (((0, 5), (40, 0), (40, 90)), ((0, 5), (36, 90)), "touches itself"),
    ],
)
def test_a_profile_that_is_none_is_refused_in_words(outer, inner, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match=words):
        Profile(outer, inner)


def test_profiles_may_end_in_one_point_at_the_rim() -> None:
    sharp = Profile(outer=((0, 0), (40, 0), (40, 90)), inner=((0, 5), (35, 5), (40, 90)))
    assert sections(sharp, 1)[-1].thick_mm < 0.1
    frustum = pi * 85 / 3 * (35**2 + 35 * 40 + 40**2)
    assert capacity_ml(sharp) == pytest.approx(frustum / 1000)
    with pytest.raises(OutOfRange, match="height of the filling"):
        filled_ml(sharp, 91)
    with pytest.raises(OutOfRange, match="moisture"):
        weights(sharp, 20, 0.12)
