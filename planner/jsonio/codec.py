"""Records from plain JSON values and back. The annotations of the records are the only table of keys and types.

Only the JSON type of a value is looked at here; its range is refused by the record itself when it is built
(:mod:`planner.values`), and what it says is put under the pointer of the place where it stood.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Sequence
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

from planner.faults import MOST_SHOWN, Fault, Refused, escape, meant, one_line, quoted
from planner.jsonio.text import Fraction
from planner.plan import Plan
from planner.scenario import Scenario
from planner.values import JSON_KEYS, Span, Window, faults_of
from planner.ware import WIP_STAGES, Wip

FORMAT = 1
BAD: Any = object()  # stands for a value that could not be read; its faults have been noted

Reader = Callable[[Any, str, "Notes"], Any]


class Notes(list[Fault]):
    """The faults found so far; those after the last one that is shown are only counted."""

    def __init__(self) -> None:
        super().__init__()
        self.total = 0

    @property
    def full(self) -> bool:
        """Whether reading on could tell nothing more, however long the document is."""
        return self.total >= MOST_SHOWN

    def note(self, pointer: str, wrong: str, right: str) -> Any:
        self.total += 1
        if len(self) < MOST_SHOWN:
            self.append(Fault(pointer, wrong, right))
        return BAD


def said(value: Any) -> str:
    """``value`` as a person wrote it."""
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, Fraction):
        return one_line(value.text, 40)
    if isinstance(value, str):
        return f"the text {quoted(value)}"
    return "a list" if isinstance(value, list) else "an object" if isinstance(value, dict) else str(value)


def _integer(value: Any, at: str, notes: Notes) -> Any:
    if type(value) is int:
        return value
    return notes.note(at, f"{said(value)} is not a whole number", "digits alone, without fraction or exponent")


def _text(value: Any, at: str, notes: Notes) -> Any:
    return value if isinstance(value, str) else notes.note(at, f"{said(value)} is no text", 'a text in "quotes"')


def _boolean(value: Any, at: str, notes: Notes) -> Any:
    return value if isinstance(value, bool) else notes.note(at, f"{said(value)} is no yes or no", "true or false")


def _free(value: Any, _at: str, _notes: Notes) -> Any:
    return value


def _pair(kind: type, words: str) -> Reader:
    def read(value: Any, at: str, notes: Notes) -> Any:
        if not isinstance(value, list) or len(value) != 2:
            return notes.note(at, f"{said(value)} is no pair of minutes", words)
        a, b = (_integer(x, f"{at}/{i}", notes) for i, x in enumerate(value))
        return BAD if a is BAD or b is BAD else kind(a, b)

    return read


def _list(inner: Reader, *, as_set: bool = False) -> Reader:
    def read(value: Any, at: str, notes: Notes) -> Any:
        if not isinstance(value, list):
            return notes.note(at, f"{said(value)} is no list", "a list in [ ]")
        made = []
        for i, x in enumerate(value):
            made.append(inner(x, f"{at}/{i}", notes))
            if notes.full:
                return BAD
        if any(x is BAD for x in made):
            return BAD
        if not as_set:
            return tuple(made)
        seen: set[Any] = set()
        for i, x in enumerate(made):
            if x in seen:
                notes.note(f"{at}/{i}", f"{quoted(x)} stands here twice", "name it once")
            seen.add(x)
        return frozenset(seen) if len(seen) == len(made) else BAD

    return read


def _by_name(inner: Reader) -> Reader:
    def read(value: Any, at: str, notes: Notes) -> Any:
        if not isinstance(value, dict):
            return notes.note(at, f"{said(value)} is no object", "an object in { }")
        made = {}
        for k, x in value.items():
            made[k] = inner(x, f"{at}/{escape(k)}", notes)
            if notes.full:
                return BAD
        return BAD if any(x is BAD for x in made.values()) else made

    return read


def _wip(value: Any, at: str, notes: Notes) -> Any:
    stages = ", ".join(WIP_STAGES)
    if not isinstance(value, dict):
        return notes.note(at, f"{said(value)} is no object", "an object in { }")
    if "stage" not in value:
        return notes.note(at, 'missing key "stage"', f"one of {stages}")
    stage = value["stage"]
    if not isinstance(stage, str) or stage not in WIP_STAGES:
        wrong = f"unknown stage {said(stage)}"
        return notes.note(f"{at}/stage", wrong, meant(stage if isinstance(stage, str) else "", WIP_STAGES))
    return record(WIP_STAGES[stage])(value, at, notes)


_PLAIN: dict[Any, Reader] = {
    int: _integer,
    str: _text,
    bool: _boolean,
    Any: _free,
    Span: _pair(Span, "a span [a, b) is written as two minutes, [a, b]"),
    Window: _pair(Window, "a window is written as two minutes, [lo, hi]"),
}


def reader(kind: Any) -> Reader:
    """The reader of values of the annotation ``kind``."""
    origin, args = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return reader(args[0])
    if kind == Wip:
        return _wip
    if origin in (Union, types.UnionType):
        inner = reader(next(a for a in args if a is not types.NoneType))
        return lambda value, at, notes: None if value is None else inner(value, at, notes)
    if origin in (tuple, frozenset):
        return _list(reader(args[0]), as_set=origin is frozenset)
    if origin is dict:
        return _by_name(reader(args[1]))
    if kind in _PLAIN:
        return _PLAIN[kind]
    cls: Any = kind
    return record(cls)


@cache
def keys_of(cls: Any) -> dict[str, tuple[str, Any, bool]]:
    """By JSON key: attribute, annotation, and whether it may be left out. Only ``name`` may."""
    hints = get_type_hints(cls, include_extras=True)
    optional = {"name"}
    return {JSON_KEYS.get(f.name, f.name): (f.name, hints[f.name], f.name in optional) for f in fields(cls)}


@cache
def record(cls: Any) -> Reader:
    """The reader of one record of ``cls``."""
    table: dict[str, tuple[str, Reader, bool]] = {}
    for key, (attribute, kind, optional) in keys_of(cls).items():
        # a name is left out, never null
        kind = get_args(kind)[0] if optional and get_origin(kind) in (Union, types.UnionType) else kind
        table[key] = (attribute, reader(kind), optional)
    fixed = {f.name for f in fields(cls) if not f.init}
    keys = [*(["format"] if cls in (Scenario, Plan) else []), *table]

    def read(value: Any, at: str, notes: Notes) -> Any:
        if not isinstance(value, dict):
            return notes.note(at, f"{said(value)} is no object", "an object in { }")
        before = notes.total
        _keys(value, keys, {k for k in table if table[k][2]}, at, notes)
        made = {}
        for key, (attribute, inner, _optional) in table.items():
            if key in value and attribute not in fixed:
                made[attribute] = inner(value[key], f"{at}/{key}", notes)
        if notes.full or notes.total > before or any(x is BAD for x in made.values()):
            return BAD
        return _built(cls, made, at, notes)

    return read


def _keys(value: dict[str, Any], keys: Sequence[str], optional: set[str], at: str, notes: Notes) -> None:
    for key in value:
        if notes.full:
            return
        if key not in keys:
            left = [k for k in keys if k not in value]
            notes.note(at, f"unknown key {quoted(key)}", meant(key, left) if left else "leave it out")
    for key in keys:
        if key not in value and key not in optional:
            notes.note(at, f"missing key {quoted(key)}", "add it; every key but name is required")
    if "format" in keys and "format" in value and (value["format"] != FORMAT or type(value["format"]) is not int):
        notes.note(f"{at}/format", f"{said(value['format'])} is a format that is not read", f"{FORMAT}")


def _built(cls: type, made: dict[str, Any], at: str, notes: Notes) -> Any:
    try:
        built = cls(**made)
    except Refused as e:
        for f in e.faults:
            notes.note(at + f.pointer, f.wrong, f.right)
        return BAD
    return built


def plain(value: Any) -> Any:
    """``value``, a record or a part of one, as plain JSON values."""
    if is_dataclass(value):
        head = {"format": FORMAT} if isinstance(value, (Scenario, Plan)) else {}
        cls: Any = type(value)
        for key, (attribute, kind, optional) in keys_of(cls).items():
            x = getattr(value, attribute)
            if not (optional and x is None):
                head[key] = x if kind is Any else plain(x)
        return head
    if isinstance(value, (tuple, list)):
        return [plain(x) for x in value]
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, dict):
        return {k: plain(x) for k, x in value.items()}
    return value


def read_record(cls: type, value: Any) -> tuple[Any, list[Fault]]:
    """The record of ``cls`` in ``value`` and no faults, or anything and its faults."""
    notes = Notes()
    built = record(cls)(value, "", notes)
    if built is not BAD and not notes and cls is Plan:
        notes.extend(faults_of(built)[:MOST_SHOWN])
    return built, notes
