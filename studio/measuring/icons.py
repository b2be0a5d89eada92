"""The app's icons as PNG, the bowl on its ware board of icon.svg. To draw them: `python -m studio.measuring.icons`."""

from __future__ import annotations

import struct
import sys
import zlib
from pathlib import Path

from studio.measuring.png import RGB, SIGNATURE, chunk

Point = tuple[float, float]
Colour = tuple[int, int, int]
COBALT, SLIP, WOOD = (0x24, 0x40, 0x7A), (0xF5, 0xEF, 0xE6), (0xC9, 0x8A, 0x5E)
GRID = 64  # units of icon.svg's side
FINE = 4  # samples a pixel, each way
SAFE = 0.8  # a maskable icon's picture lies within the middle 80 %, W3C "Web Application Manifest"
SIZES = {"icon-180.png": (180, False), "icon-192.png": (192, False), "icon-512.png": (512, False),
         "icon-maskable-512.png": (512, True)}  # fmt: skip


def icon(size: int, *, maskable: bool) -> bytes:
    """A square PNG of ``size`` pixels; a maskable one fills it and keeps its picture away from the edge."""
    scale = SAFE * 0.9 if maskable else 1.0
    shapes = [(_placed(bowl(), scale), SLIP), (_placed(_board(), scale), WOOD)]
    ground = [(0.0, 0.0), (GRID, 0.0), (GRID, GRID), (0.0, GRID)]
    rows = [_row(y, size, [(ground, COBALT), *shapes]) for y in range(size)]
    head = struct.pack(">IIBBBBB", size, size, 8, RGB, 0, 0, 0)
    body = zlib.compress(b"".join(b"\0" + row for row in rows), 9)
    return SIGNATURE + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def bowl() -> list[Point]:
    """The bowl's outline as in icon.svg: a straight rim, two curves down to the foot."""
    left = _curve((23.5, 45), (16.6, 42), (10.6, 35), (10, 22))
    right = _curve((54, 22), (53.4, 35), (47.4, 42), (40.5, 45))
    return [*right, (40.5, 49), (23.5, 49), *left]


def _board() -> list[Point]:
    return [(8, 51), (56, 51), (56, 56), (8, 56)]


def _curve(a: Point, b: Point, c: Point, d: Point, steps: int = 32) -> list[Point]:
    """A cubic Bézier curve as points on it."""
    points = []
    for i in range(steps + 1):
        t = i / steps
        w = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
        points.append(tuple(sum(k * p[axis] for k, p in zip(w, (a, b, c, d), strict=True)) for axis in (0, 1)))
    return points  # type: ignore[return-value]


def _placed(outline: list[Point], scale: float) -> list[Point]:
    middle = GRID / 2
    return [(middle + (x - middle) * scale, middle + (y - middle) * scale) for x, y in outline]


def _row(y: int, size: int, shapes: list[tuple[list[Point], Colour]]) -> bytes:
    """One line of pixels: each shape laid over those before it, as much as it covers of a pixel."""
    line: list[Colour] = [(0, 0, 0)] * size
    for outline, colour in shapes:
        for x, share in _covered(y, size, outline).items():
            under = line[x]
            line[x] = tuple(round(u + (c - u) * share) for u, c in zip(under, colour, strict=True))  # type: ignore[assignment]
    return bytes(value for pixel in line for value in pixel)


def _covered(y: int, size: int, outline: list[Point]) -> dict[int, float]:
    """Which pixels of the line an outline covers, and what share of each (even-odd, FINE lines a pixel)."""
    shares: dict[int, float] = {}
    for sample in range(FINE):
        height = (y + (sample + 0.5) / FINE) * GRID / size
        crossings = sorted(_crossings(outline, height))
        for begin, end in zip(crossings[::2], crossings[1::2], strict=True):
            low, high = begin * size / GRID, end * size / GRID
            for x in range(max(0, int(low)), min(size, int(high) + 1)):
                part = min(high, x + 1) - max(low, x)
                shares[x] = min(1.0, shares.get(x, 0.0) + max(0.0, part) / FINE)
    return shares


def _crossings(outline: list[Point], height: float) -> list[float]:
    ends = zip(outline, [*outline[1:], outline[0]], strict=True)
    return [
        x0 + (height - y0) * (x1 - x0) / (y1 - y0) for (x0, y0), (x1, y1) in ends if (y0 <= height) != (y1 <= height)
    ]


if __name__ == "__main__":
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else Path(__file__).parents[1] / "static" / "studio")
    for file, (side, whole) in SIZES.items():
        (folder / file).write_bytes(icon(side, maskable=whole))
