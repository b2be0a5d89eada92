"""A form from its profile: volumes, capacity, wall, weights and balance of a solid of revolution.

A profile is a line of points (radius, height) in mm from the middle axis outwards to the rim: the *outer* one along the
underside, foot and outside, the *inner* one along the inside. Both begin on the axis; between the two last points the
rim is closed straight. Straight lines between points are taken exactly (frusta), so only the choice of points is an
approximation; 20 points keep a curved bowl within about one per cent.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import dist, hypot, pi

from planner.craft.ranges import OutOfRange, within

Point = tuple[float, float]
Line = tuple[Point, Point]

MOST_MM = 1000.0
MOST_POINTS = 200
CLAY_SOLID = 2.6  # g/cm³ of the dry particles of a clay body, from memory
ON_AXIS = 1e-9


@dataclass(frozen=True)
class Profile:
    """The outer and inner profile of a form, refused where they do not describe one."""

    outer: tuple[Point, ...]
    inner: tuple[Point, ...]

    def __post_init__(self) -> None:
        _refuse_line("outer", self.outer)
        _refuse_line("inner", self.inner)
        crossing = _crossing(self.ring)
        if crossing:
            a, b = (self._named(i) for i in crossing)
            raise OutOfRange(
                f"the profile crosses or touches itself, {a} and {b}: give points from the middle outwards"
            )
        if ring_moments(self.ring).area <= 0:
            raise OutOfRange("the inner profile lies below the outer one: are the two swapped?")

    @property
    def ring(self) -> tuple[Point, ...]:
        """All round the section of the clay: the outer profile, then the inner one backwards."""
        return self.outer + self.inner[::-1][self._shared :]

    @property
    def _shared(self) -> int:
        """1 if both profiles end in the same point, else 0."""
        return int(self.outer[-1] == self.inner[-1])

    def _named(self, line: int) -> str:
        n = len(self.outer)
        if line < n - 1:
            return f"outer points {line + 1} to {line + 2}"
        if line == n - 1 and not self._shared:
            return "the rim"
        at = n + len(self.inner) - 1 - self._shared - line
        return f"inner points {at} to {at + 1}"


def _refuse_line(name: str, line: Sequence[Point]) -> None:
    if not 2 <= len(line) <= MOST_POINTS:
        raise OutOfRange(f"the {name} profile has {len(line)} points: give 2 to {MOST_POINTS}")
    for i, (r, z) in enumerate(line, 1):
        within(r, 0, MOST_MM, f"the radius of {name} point {i}", "mm")
        within(z, -MOST_MM, MOST_MM, f"the height of {name} point {i}", "mm")
        if i > 1 and (r <= ON_AXIS):
            raise OutOfRange(f"{name} point {i} is on the middle axis again: only the first one is")
    if line[0][0] > ON_AXIS:
        raise OutOfRange(f"the {name} profile begins {line[0][0]:g} mm off the middle axis: its first radius is 0")
    for i, (a, b) in enumerate(_lines(line), 1):
        if a == b:
            raise OutOfRange(f"{name} points {i} and {i + 1} are the same: leave one out")


def _lines(points: Sequence[Point]) -> Iterator[Line]:
    return pairwise(points)


def _crossing(ring: Sequence[Point]) -> tuple[int, int] | None:
    """The first two lines along an open ring that meet though they only may where they follow each other."""
    lines = list(_lines(ring))
    pairs = ((i, j) for i in range(len(lines)) for j in range(i + 1, len(lines)))
    return next(((i, j) for i, j in pairs if _meet(lines[i], lines[j], neighbours=j == i + 1)), None)


def _side(a: Point, b: Point, p: Point) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def _meet(one: Line, two: Line, neighbours: bool) -> bool:
    """Whether two lines meet; of neighbours, whether the second runs back along the first."""
    (a, b), (c, d) = one, two
    if neighbours:
        straight = abs(_side(a, b, d)) < 1e-9 * max(1.0, dist(a, b) * dist(c, d))
        return straight and (b[0] - a[0]) * (d[0] - c[0]) + (b[1] - a[1]) * (d[1] - c[1]) < 0
    if max(a[1], b[1]) < min(c[1], d[1]) or max(c[1], d[1]) < min(a[1], b[1]):
        return False  # most pairs: one wholly above the other
    s1, s2, s3, s4 = _side(a, b, c), _side(a, b, d), _side(c, d, a), _side(c, d, b)
    if s1 * s2 < 0 and s3 * s4 < 0:
        return True
    return any(_on(line, p) for line, p in ((one, c), (one, d), (two, a), (two, b)))


def _on(line: Line, p: Point) -> bool:
    return _gap(p, line) < 1e-9


def _gap(p: Point, line: Line) -> float:
    """The distance of a point from a line between two points."""
    a, b = line
    along = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2
    t = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / along
    t = min(1.0, max(0.0, t))
    return hypot(p[0] - a[0] - t * (b[0] - a[0]), p[1] - a[1] - t * (b[1] - a[1]))


@dataclass(frozen=True, slots=True)
class Moments:
    """Of a closed section: its area (mm², against the clock positive), ∫ r dA (mm³) and ∫ r z dA (mm⁴)."""

    area: float
    r: float
    rz: float

    @property
    def volume_mm3(self) -> float:
        """Turned about the axis: 2 π ∫ r dA (the second theorem of Pappus)."""
        return 2 * pi * self.r


def ring_moments(ring: Sequence[Point]) -> Moments:
    """Exact moments of the polygon through ``ring`` by Green's theorem."""
    area = r1 = rz = 0.0
    for (r, z), (s, w) in zip(ring, [*ring[1:], ring[0]], strict=True):
        cross = r * w - s * z
        area += cross / 2
        r1 += cross * (r + s) / 6
        rz += cross * (r * (2 * z + w) + s * (z + 2 * w)) / 24
    return Moments(area, r1, rz)


def clay_volume_cm3(form: Profile) -> float:
    """The volume of the clay between the profiles, exact for straight lines between the points."""
    return ring_moments(form.ring).volume_mm3 / 1000


def capacity_ml(form: Profile) -> float:
    """What the form holds, filled to the highest point of the inner profile."""
    return filled_ml(form, max(z for _, z in form.inner))


def filled_ml(form: Profile, height_mm: float) -> float:
    """What the form holds up to a height (mm, as the profile counts it), from its inner bottom to its brim."""
    brim = max(z for _, z in form.inner)
    within(height_mm, min(z for _, z in form.inner), brim, "the height of the filling", "mm")
    held = list(form.inner[: 1 + next(i for i, (_, z) in enumerate(form.inner) if z == brim)])
    return sum(_under(*a, *b, height_mm) for a, b in _lines(held)) / 1000


def _under(r: float, z: float, s: float, w: float, top: float) -> float:
    """∫ 2 π ρ (top − ζ) dρ along the line where it is below the surface: shells, signed by the way it runs."""
    if z > top and w > top:
        return 0.0
    if z > top:
        r, z = r + (s - r) * (z - top) / (z - w), top
    if w > top:
        s, w = s + (r - s) * (w - top) / (w - z), top
    a, b = top - z, top - w
    return 2 * pi * (s - r) * (r * a / 3 + r * b / 6 + s * a / 6 + s * b / 3)


def centroid_mm(form: Profile) -> float:
    """The height of the centre of gravity of the clay, in the profile's own heights."""
    m = ring_moments(form.ring)
    return m.rz / m.r


def surface_cm2(form: Profile) -> float:
    """All the surface of the form, inside, outside, underside and rim: Σ π (r₁ + r₂) × length (frusta)."""
    return sum(pi * (a[0] + b[0]) * dist(a, b) for a, b in _lines(form.ring)) / 100


def height_mm(form: Profile) -> float:
    """From the lowest to the highest point."""
    return max(z for _, z in form.ring) - min(z for _, z in form.ring)


def width_mm(form: Profile) -> float:
    """The largest diameter."""
    return 2 * max(r for r, _ in form.ring)


@dataclass(frozen=True, slots=True)
class Section:
    """The wall at one place of the inside: how far along the inner profile, where, and how thick."""

    along_mm: float
    at: Point
    thick_mm: float


def sections(form: Profile, every_mm: float = 10.0) -> list[Section]:
    """The wall along the inner profile, from the middle to the rim, every so many mm (1 to 100).

    Thickness is the shortest way from the inside to the outside; at a rim that closes in a point it ends at 0.
    """
    within(every_mm, 1, 100, "the distance of the sections", "mm")
    outside = list(_lines(form.outer))
    out: list[Section] = []
    done, due = 0.0, 0.0
    for a, b in _lines(form.inner):
        long = dist(a, b)
        while due <= done + long + 1e-9:
            t = min(1.0, (due - done) / long)
            p = (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))
            out.append(Section(due, p, min(_gap(p, line) for line in outside)))
            due += every_mm
        done += long
    return out


def plastic_density(moisture: float, solid: float = CLAY_SOLID) -> float:
    """Density (g/cm³) of plastic clay without air, of which ``moisture`` (0 to 0.5, wet basis) is water.

    1 g holds moisture / 1.0 + (1 − moisture) / solid cm³; ``solid`` 2.4 to 2.8 g/cm³.
    """
    within(moisture, 0, 0.5, "the moisture, as a share of the wet weight,")
    within(solid, 2.4, 2.8, "the density of dry clay particles", "g/cm³")
    return 1 / (moisture + (1 - moisture) / solid)


@dataclass(frozen=True, slots=True)
class Weights:
    """One piece: wet from the mould, bone-dry and fired, in g; fired volume in cm³ and its density in g/cm³."""

    wet_g: float
    dry_g: float
    fired_g: float
    fired_cm3: float

    @property
    def fired_density(self) -> float:
        return self.fired_g / self.fired_cm3


def weights(form: Profile, moisture: float, total_shrinkage: float, lost_in_fire: float = 0.07) -> Weights:
    """The weights of a form whose profile is that in the mould.

    ``moisture`` 0.1 to 0.4 of the wet weight; ``total_shrinkage`` 0 to 0.4, linear; ``lost_in_fire`` 0 to 0.2 of the
    dry weight (0.07 is common for a clay body, from memory). Volumes shrink by the cube.
    """
    within(moisture, 0.1, 0.4, "the moisture, as a share of the wet weight,")
    within(total_shrinkage, 0, 0.4, "the total shrinkage")
    within(lost_in_fire, 0, 0.2, "the weight lost in the fire")
    volume = clay_volume_cm3(form)
    wet = volume * plastic_density(moisture)
    dry = wet * (1 - moisture)
    return Weights(wet, dry, dry * (1 - lost_in_fire), volume * (1 - total_shrinkage) ** 3)


def scaled(form: Profile, factor: float) -> Profile:
    """The same form in another size, as a fired one from its mould: every length times 0.1 to 10."""
    within(factor, 0.1, 10, "the factor")
    return Profile(*(tuple((r * factor, z * factor) for r, z in line) for line in (form.outer, form.inner)))
