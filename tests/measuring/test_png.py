"""Pictures with fewer bytes show the same: against pictures whose pixels are known."""

from __future__ import annotations

import struct
import zlib
from itertools import pairwise

import pytest

from studio.measuring.png import SIGNATURE, smaller

pytestmark = pytest.mark.one_lane
RED, GREEN, BLUE, GREY = b"\xff\x00\x00", b"\x00\xff\x00", b"\x00\x00\xff", b"\x80\x80\x80"


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def picture(width: int, lines: list[bytes], kind: int = 2) -> bytes:
    """A picture of 8 bits a channel from lines that begin with their filter."""
    head = struct.pack(">IIBBBBB", width, len(lines), 8, kind, 0, 0, 0)
    return SIGNATURE + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"".join(lines))) + chunk(b"IEND", b"")


def shown(png: bytes) -> list[bytes]:
    """The pixels of a picture with a palette and no filters."""
    parts, at = {}, len(SIGNATURE)
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        data = png[at + 8 : at + 8 + length]
        assert png[at + 8 + length : at + 12 + length] == struct.pack(">I", zlib.crc32(png[at + 4 : at + 8] + data))
        parts[png[at + 4 : at + 8]] = data
        at += length + 12
    width, height = struct.unpack(">II", parts[b"IHDR"][:8])
    lines = zlib.decompress(parts[b"IDAT"])
    places = [i for y in range(height) for i in lines[y * (width + 1) + 1 : (y + 1) * (width + 1)]]
    return [parts[b"PLTE"][3 * i : 3 * i + 3] for i in places]


def minus(a: bytes, b: bytes) -> bytes:
    return bytes((x - y) & 255 for x, y in zip(a, b, strict=True))


def test_every_filter_of_the_specification_is_read() -> None:
    """PNG specification (W3C, third edition), 9.2: each line is the difference to what its filter foretells."""
    one, two = RED + GREEN + BLUE, GREY + GREY + RED
    left_of_two = b"\0\0\0" + two[:-3]
    mean = bytes((a + b) // 2 for a, b in zip(left_of_two, one, strict=True))
    # Paeth of grey under red, then of grey under green with red at the corner, then of red under blue, by hand:
    # estimate = left + up - corner, and the nearest of the three, left before up before corner.
    paeth = RED + bytes([0x00, 0xFF, 0x80]) + bytes([0x80, 0x00, 0xFF])
    lines = [b"\1" + minus(one, b"\0\0\0" + one[:-3]), b"\2" + minus(two, one)]
    assert shown(smaller(picture(3, lines))) == [RED, GREEN, BLUE, GREY, GREY, RED]
    lines = [b"\0" + one, b"\3" + minus(two, mean)]
    assert shown(smaller(picture(3, lines))) == [RED, GREEN, BLUE, GREY, GREY, RED]
    lines = [b"\0" + one, b"\4" + minus(two, paeth)]
    assert shown(smaller(picture(3, lines))) == [RED, GREEN, BLUE, GREY, GREY, RED]


def test_what_is_opaque_anyway_loses_its_fourth_channel() -> None:
    assert shown(smaller(picture(2, [b"\0" + RED + b"\xff" + BLUE + b"\xff"], kind=6))) == [RED, BLUE]


def test_of_too_many_colours_the_rare_become_their_nearest() -> None:
    common = [bytes([i, 0, 0]) for i in range(256)] * 2
    pixels = shown(smaller(picture(513, [b"\0" + b"".join([*common, bytes([200, 1, 0])])])))
    assert pixels == [*common, bytes([200, 0, 0])]


def test_a_page_packs_smaller() -> None:
    """Paper with a grid on it, three bytes a pixel before."""
    lines = [b"\0" + (GREY if y % 8 == 0 else b"\xff\xff\xff") * 64 for y in range(64)]
    png = picture(64, lines)
    assert len(smaller(png)) < len(png)
    assert all(a == b for a, b in pairwise(shown(smaller(png))[:64]))


@pytest.mark.parametrize("png", [b"no picture", picture(1, [b"\0\0"], kind=0)])
def test_anything_else_is_refused(png: bytes) -> None:
    with pytest.raises(ValueError, match=r"no PNG|not a screenshot"):
        smaller(png)
