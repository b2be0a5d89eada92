"""A picture of a page with fewer bytes: its colours laid out as a palette, each line filtered as it packs best."""

from __future__ import annotations

import struct
import zlib
from collections import Counter

SIGNATURE = b"\x89PNG\r\n\x1a\n"
MOST_COLOURS = 256
RGB, PALETTE = 2, 3


def smaller(png: bytes) -> bytes:
    """The same picture with at most 256 colours: the commonest, and for every other the nearest of those.

    Takes what a screenshot is: 8 bits a channel, RGB or RGBA that is opaque, not interlaced. Raises ValueError for
    anything else.
    """
    width, height, pixels = _pixels(png)
    counted = Counter(pixels)
    palette = [colour for colour, _n in counted.most_common(MOST_COLOURS)]
    place = {colour: i for i, colour in enumerate(palette)}
    for colour in counted:
        if colour not in place:
            place[colour] = _nearest(colour, palette)
    indexed = bytes(place[p] for p in pixels)
    lines = b"".join(b"\0" + indexed[y * width : (y + 1) * width] for y in range(height))
    head = struct.pack(">IIBBBBB", width, height, 8, PALETTE, 0, 0, 0)
    body = zlib.compressobj(9, zlib.DEFLATED, 15, 9)
    packed = body.compress(lines) + body.flush()
    chunks = [(b"IHDR", head), (b"PLTE", b"".join(palette)), (b"IDAT", packed), (b"IEND", b"")]
    return SIGNATURE + b"".join(chunk(kind, data) for kind, data in chunks)


def _nearest(colour: bytes, palette: list[bytes]) -> int:
    def far(i: int) -> int:
        return sum((a - b) ** 2 for a, b in zip(colour, palette[i], strict=True))

    return min(range(len(palette)), key=far)


def chunk(kind: bytes, data: bytes) -> bytes:
    """One chunk of a PNG: its length, kind, data and checksum."""
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def _pixels(png: bytes) -> tuple[int, int, list[bytes]]:
    """Width, height, and each pixel as three bytes."""
    if not png.startswith(SIGNATURE):
        raise ValueError("no PNG")
    chunks = _chunks(png)
    width, height, depth, kind, _packing, _filters, interlaced = struct.unpack(">IIBBBBB", chunks[b"IHDR"])
    if depth != 8 or kind not in (RGB, 6) or interlaced:
        raise ValueError(f"a picture of {depth} bits and kind {kind} is not a screenshot")
    step = 3 if kind == RGB else 4
    data = zlib.decompress(chunks[b"IDAT"])
    pixels, above = [], bytes(width * step)
    for y in range(height):
        begin = y * (width * step + 1)
        above = _unfiltered(data[begin], data[begin + 1 : begin + 1 + width * step], above, step)
        pixels += [above[i : i + 3] for i in range(0, width * step, step)]
    return width, height, pixels


def _chunks(png: bytes) -> dict[bytes, bytes]:
    found: dict[bytes, bytes] = {}
    at = len(SIGNATURE)
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        kind = png[at + 4 : at + 8]
        found[kind] = found.get(kind, b"") + png[at + 8 : at + 8 + length]
        at += length + 12
    return found


def _unfiltered(how: int, line: bytes, above: bytes, step: int) -> bytes:
    """A line as it was before its filter (PNG specification, 9.2): 0 none, 1 left, 2 up, 3 mean, 4 Paeth."""
    out = bytearray(line)
    for i, value in enumerate(line):
        left = out[i - step] if i >= step else 0
        up, corner = above[i], above[i - step] if i >= step else 0
        guess = (0, left, up, (left + up) // 2, _paeth(left, up, corner))[how]
        out[i] = (value + guess) & 255
    return bytes(out)


def _paeth(left: int, up: int, corner: int) -> int:
    estimate = left + up - corner
    return min((left, up, corner), key=lambda value: abs(estimate - value))
