"""What is no sound JSON, or would be read in two ways, is refused before anything is made of it.

JSON: RFC 8259. Pointers: RFC 6901, section 5 has the escapes ~0 and ~1.
"""

from __future__ import annotations

import json
from typing import Any

import pytest

from planner.faults import Fault
from planner.jsonio import Unreadable, read_plan, read_scenario
from planner.jsonio import text as text_module


def _faults(data: bytes) -> list[str]:
    with pytest.raises(Unreadable) as refused:
        read_scenario(data)
    return [str(f) for f in refused.value.faults]


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", ": the document is empty"),
        (b" \n\t", ": the document is empty"),
        (b"\xef\xbb\xbf{}", ": begins with a byte order mark; save it as UTF-8 without one"),
        ('{"a": 1}'.encode("utf-16"), ": looks like UTF-16 or UTF-32; save it as UTF-8"),
        ('{"a": 1}'.encode("utf-32-le"), ": looks like UTF-16 or UTF-32; save it as UTF-8"),
        ('{"name": "Töpferei"}'.encode("latin-1"), ": byte 0xf6 at position 11 is not UTF-8"),
        (b'{"format": 1', ": not JSON at line 1, column 13"),
        (b'{"format": 01}', ": not JSON at line 1, column 13"),
        (b"{'format': 1}", ": not JSON at line 1, column 2"),
        (b'{"a": 1,}', ": not JSON at line 1, column 9"),
        (b'{"a": 1} {}', ": not JSON at line 1, column 10"),
        (b'{"a": "\n"}', ": not JSON at line 1, column 8"),
        (b'{"a": NaN}', "/a: NaN is no number that is read"),
        (b'{"a": [0, -Infinity]}', "/a/1: -Infinity is no number that is read"),
        (b'{"a": 1e999}', "/a: 1e999 is no number that is read"),
        (b'{"a": ' + b"9" * 5000 + b"}", "/a: 99999999"),
        (b'{"a/b~": {"c": 1, "c": 1}}', '/a~1b~0: the key "c" stands twice; leave one of them out'),
        (b'{"a": "\\ud800"}', "/a: half of a surrogate pair"),
        (b'{"\\udc00": 1}', ": half of a surrogate pair in a key"),
        (b"[" * 100_000, ": lists and objects nested too deeply; at most 100 levels"),
        (b"[" * 200 + b"]" * 200, ": lists and objects nested too deeply"),
        (b'{"a":' * 5000 + b"1" + b"}" * 5000, ": lists and objects nested too deeply"),
        (b"[]", ": a list is no object; an object in { }"),
        (b"null", ": null is no object"),
        (b'"scenario"', ': the text "scenario" is no object'),
    ],
    ids=lambda x: repr(x)[:30],
)
def test_unsound_text_is_refused_with_what_to_change(data: bytes, told: str) -> None:
    assert _faults(data)[0].startswith(told)


def test_more_than_64_mib_is_refused_unread(monkeypatch: pytest.MonkeyPatch) -> None:
    assert text_module.MOST_BYTES == 64 * 1024 * 1024
    monkeypatch.setattr(text_module, "MOST_BYTES", 10)
    assert _faults(b"x" * 11) == [": 11 bytes, more than 64 MiB; a document of at most 64 MiB"]


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("1e3", "/horizon: 1e3 is not a whole number; digits alone, without fraction or exponent"),
        ("14400.0", "/horizon: 14400.0 is not a whole number"),
        ("true", "/horizon: true is not a whole number"),
        ('"14400"', '/horizon: the text "14400" is not a whole number'),
        ("null", "/horizon: null is not a whole number"),
        ("[14400]", "/horizon: a list is not a whole number"),
        ("{}", "/horizon: an object is not a whole number"),
        ("99999999999999999999", "/horizon: 99999999999999999999 is too large"),
    ],
)
def test_a_number_is_digits_alone(tiny: dict[str, Any], written: str, told: str) -> None:
    data = json.dumps(tiny).replace('"horizon": 14400', f'"horizon": {written}')
    assert _faults(data.encode())[0].startswith(told)


def test_a_double_key_is_named_where_it_stands(tiny: dict[str, Any]) -> None:
    data = json.dumps(tiny).replace('"setup": 25', '"setup": 25, "setup": 30')
    assert _faults(data.encode()) == ['/forms/0: the key "setup" stands twice; leave one of them out']


def test_a_fault_is_one_line_whatever_stands_in_it() -> None:
    fault = Fault("/a\nb", "wrong\r\n" + "x" * 10_000, "right\u2028")
    assert len(str(fault).splitlines()) == 1
    assert len(str(fault)) < 1000


def test_diagnostics_may_hold_anything_that_json_can(tiny_plan: dict[str, Any]) -> None:
    tiny_plan["diagnostics"] = {"seconds": 1.5, "runs": [1e3, None, True, {"a": ""}]}
    assert read_plan(json.dumps(tiny_plan).encode()).diagnostics == tiny_plan["diagnostics"]
    with pytest.raises(Unreadable, match=r"^/diagnostics/seconds: NaN is no number"):
        read_plan(json.dumps({**tiny_plan, "diagnostics": {"seconds": float("nan")}}).encode())
