"""However a document is broken, the answer is a list of faults that point into it, never another exception."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.faults import MOST_SHOWN
from planner.jsonio import (
    Unreadable,
    plan_from_json,
    plan_to_json,
    read_plan,
    read_scenario,
    scenario_from_json,
    scenario_to_json,
    write_plan,
    write_scenario,
)
from tests.planner.conftest import BENCH, EXAMPLES

SCENARIOS = sorted(p for p in EXAMPLES.glob("*.json") if ".plan." not in p.name and p.name != "index.json")
PLANS = sorted(EXAMPLES.glob("*.plan.json"))
Way = tuple[str | int, ...]


def _places(value: Any, way: Way = ()) -> Iterator[tuple[Way, Any]]:
    """Every value inside ``value`` but the diagnostics, with the way to it."""
    inner: Any = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, x in inner:
        if key != "diagnostics":
            yield (*way, key), x
            yield from _places(x, (*way, key))


def _shapes(document: Any) -> list[Way]:
    """One way for each key of each kind of record; places in lists are taken once for all."""
    seen: dict[tuple[Any, ...], Way] = {}
    for way, value in _places(document):
        stage = document["wip"][way[1]]["stage"] if way[0] == "wip" and len(way) > 1 else ""
        seen.setdefault((stage, type(value), *(k for k in way if isinstance(k, str))), way)
    return list(seen.values())


def _at(document: Any, way: Way) -> Any:
    for key in way:
        document = document[key]
    return document


def _told(read: Any, document: Any) -> list[str]:
    """The faults of ``document``, each held to the form of one."""
    try:
        read(document)
    except Unreadable as e:
        assert 0 < len(e.faults) <= MOST_SHOWN
        for fault in e.faults:
            assert fault.pointer == "" or fault.pointer.startswith("/")
            assert fault.wrong and fault.right
            assert "\n" not in str(fault)
        return [str(f) for f in e.faults]
    return []


def _full(name: str) -> Any:
    return json.loads((EXAMPLES / name).read_bytes())


DOCUMENTS = [
    (scenario_from_json, _full("small-repair.json")),
    (scenario_from_json, _full("spoiled.json")),
    (plan_from_json, _full("small.plan.json")),
]
KEYS = [(read, document, way) for read, document in DOCUMENTS for way in _shapes(document) if way[-1] != "name"]
LEFT_OUT: Any = object()
OTHERS: list[Any] = [None, True, -1, 1.5, "", "no such thing", [], [[]], {}, {"id": 5}, 10**30]


@contextmanager
def _changed(document: Any, way: Way, other: Any = LEFT_OUT) -> Iterator[Any]:
    """``document`` with another value, or none, at ``way`` for a while."""
    holder, key = _at(document, way[:-1]), way[-1]
    before = dict(holder) if isinstance(holder, dict) else list(holder)
    if other is LEFT_OUT:
        del holder[key]
    else:
        holder[key] = other
    try:
        yield document
    finally:
        holder.clear()
        holder.update(before) if isinstance(holder, dict) else holder.extend(before)


BY_NAME = ("per_shelf", "counts", "things", "minutes")  # objects whose keys are ids or words of their own


@pytest.mark.parametrize(("read", "document", "way"), [k for k in KEYS if isinstance(k[2][-1], str)])
def test_a_key_left_out_is_missed_by_name_where_it_belongs(read: Any, document: Any, way: Way) -> None:
    with _changed(document, way) as broken:
        told = _told(read, broken)
    pointer = "".join(f"/{k}" for k in way[:-1])
    missed = f'{pointer}: missing key "{way[-1]}"'
    assert any(line.startswith(missed) for line in told) or way[-2] in BY_NAME, told


@pytest.mark.parametrize(("read", "document", "way"), KEYS)
def test_whatever_stands_there_the_reader_tells_faults_and_nothing_else(read: Any, document: Any, way: Way) -> None:
    pointer = "".join(f"/{k}" for k in way)
    right = _at(document, way)
    for other in OTHERS:
        with _changed(document, way, other) as broken:
            told = _told(read, broken)
        if None not in (other, right) and type(other) is not type(right):
            assert any(line.startswith((f"{pointer}:", f"{pointer}/")) for line in told), (other, told)


ANY_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)


@settings(max_examples=150)
@given(st.data())
def test_several_things_broken_at_once(data: st.DataObject) -> None:
    read, document, _ = data.draw(st.sampled_from(KEYS[:1] + KEYS[-1:]))
    broken = copy.deepcopy(document)
    ways = [way for r, _, way in KEYS if r is read]
    for way in data.draw(st.lists(st.sampled_from(ways), min_size=1, max_size=6)):
        try:
            holder = _at(broken, way[:-1])
            holder[way[-1]] = data.draw(ANY_JSON)
        except (KeyError, IndexError, TypeError):
            continue  # an earlier breakage took that place away
    _told(read, broken)


@settings(max_examples=150)
@given(st.binary(max_size=60) | ANY_JSON.map(lambda x: json.dumps(x).encode()))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    for read in (read_scenario, read_plan):
        assert _told(read, data)


@settings(max_examples=100)
@given(st.integers(0, 4000), st.integers(0, 255))
def test_one_changed_byte_is_read_or_refused(place: int, byte: int) -> None:
    data = bytearray((EXAMPLES / "tiny.json").read_bytes())
    data[place % len(data)] = byte
    _told(read_scenario, bytes(data))


@pytest.mark.parametrize("path", [*SCENARIOS, *BENCH.glob("*-*.json")], ids=lambda p: p.name)
def test_a_scenario_read_and_written_stays_the_same(path: Path) -> None:
    s = read_scenario(path.read_bytes())
    assert read_scenario(write_scenario(s)) == s
    assert _sets_sorted(scenario_to_json(s)) == _sets_sorted(json.loads(path.read_bytes()))


@pytest.mark.parametrize("path", PLANS, ids=lambda p: p.name)
def test_a_plan_read_and_written_stays_the_same(path: Path) -> None:
    p = read_plan(path.read_bytes())
    assert read_plan(write_plan(p)) == p
    assert plan_to_json(p) == json.loads(path.read_bytes())


def _sets_sorted(value: Any, key: str = "") -> Any:
    """``value`` with the two lists whose order says nothing put in order."""
    if isinstance(value, dict):
        return {k: _sets_sorted(v, k) for k, v in value.items()}
    if isinstance(value, list):
        return sorted(value) if key in ("kinds", "skills") else [_sets_sorted(v) for v in value]
    return value
