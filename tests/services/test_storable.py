"""Values from outside that some database would refuse."""

from __future__ import annotations

from typing import Any

import pytest

from studio.services.storable import storable


@pytest.mark.parametrize(
    ("value", "kept"),
    [
        ("a\x00b", "ab"),
        ("a\ud800b", "ab"),
        ("mug ☕ 👍 \\u0000", "mug ☕ 👍 \\u0000"),  # whole characters and a written-out escape stay
        ({"a\x00": ["\x00", {"b": float("nan")}]}, {"a": ["", {"b": None}]}),
        ([float("inf"), 1.5, 10**30, True, None], [None, 1.5, 10**30, True, None]),
    ],
)
def test_only_what_cannot_be_kept_is_left_out(value: Any, kept: Any) -> None:
    assert storable(value) == kept
