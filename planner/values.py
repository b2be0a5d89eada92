"""The values that scenario and plan are made of, and the range of each.

A range stands once, in the annotation of the field (``setup: Length``). ``refuse`` reads it from there when a record
is built, and the JSON reader gets it for nothing by building the record.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from typing import Annotated, Any, NamedTuple, Union, get_args, get_origin, get_type_hints

from planner.faults import Fault, Refused, escape, meant, quoted

TEN_YEARS = 10 * 365 * 1440  # minutes
MOST = 1_000_000  # of pieces, millimetres, seconds, weights
MOST_COST = 10**30
ID_LENGTH = 80
NAME_LENGTH = 200
STAGES = ("bisque", "glost")
JSON_KEYS = {"source": "from", "sources": "from"}  # attributes whose key is a word reserved in Python


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number from ``lo`` to ``hi``."""

    lo: int
    hi: int
    unit: str

    def faults(self, value: Any, pointer: str) -> Iterator[Fault]:
        right = f"a whole number of {self.unit} from {self.lo} to {self.hi}"
        if type(value) is not int:
            yield Fault(pointer, f"{value!r} is no whole number", right)
        elif value < self.lo:
            yield Fault(pointer, f"{value} is too small", right)
        elif value > self.hi:
            yield Fault(pointer, f"{value} is too large" if value < 10**20 else "a number too large", right)


@dataclass(frozen=True, slots=True)
class Text:
    """A text of 1 to ``most`` printable characters; an id that is given may not begin with ``now:``."""

    most: int
    given: bool = True

    def faults(self, value: Any, pointer: str) -> Iterator[Fault]:
        right = f"1 to {self.most} printable characters"
        if not isinstance(value, str):
            yield Fault(pointer, f"{value!r} is no text", right)
        elif not value:
            yield Fault(pointer, "an empty text", right)
        elif len(value) > self.most:
            yield Fault(pointer, f"a text of {len(value)} characters", right)
        elif not value.isprintable():
            yield Fault(pointer, f"{quoted(value)} holds what does not print", right)
        elif self.given and value.startswith("now:"):
            yield Fault(pointer, f"{quoted(value)} begins with now:", "only the load now in a kiln has such an id")


@dataclass(frozen=True, slots=True)
class OneOf:
    """One of a few words."""

    words: tuple[str, ...]

    def faults(self, value: Any, pointer: str) -> Iterator[Fault]:
        if value not in self.words:
            yield Fault(pointer, f"unknown word {quoted(str(value))}", meant(str(value), self.words))


class Different:
    """A list that names nothing twice."""

    def faults(self, value: Any, pointer: str) -> Iterator[Fault]:
        seen = set()
        for i, x in enumerate(value):
            if x in seen:
                yield Fault(f"{pointer}/{i}", f"{quoted(x)} stands here twice", "name it once")
            seen.add(x)


class Sorted:
    """Spans in order that do not overlap; they may touch."""

    def faults(self, value: Any, pointer: str) -> Iterator[Fault]:
        for i in range(1, len(value)):
            if value[i].a < value[i - 1].b:
                wrong = f"the span {list(value[i])} begins before {list(value[i - 1])} has ended"
                yield Fault(f"{pointer}/{i}", wrong, "sort the spans and join those that overlap")


class Span(NamedTuple):
    """The half-open minutes ``[a, b)``."""

    a: int
    b: int

    def faults(self, pointer: str) -> Iterator[Fault]:
        ends = [*MINUTE.faults(self.a, f"{pointer}/0"), *MINUTE.faults(self.b, f"{pointer}/1")]
        yield from ends
        if not ends and self.a >= self.b:
            yield Fault(pointer, f"the span {list(self)} is empty", "a span [a, b) has a < b")


class Window(NamedTuple):
    """A wait of at least ``lo`` and at most ``hi`` minutes."""

    lo: int
    hi: int

    def faults(self, pointer: str) -> Iterator[Fault]:
        ends = [*LENGTH.faults(self.lo, f"{pointer}/0"), *LENGTH.faults(self.hi, f"{pointer}/1")]
        yield from ends
        if not ends and self.lo >= self.hi:
            yield Fault(pointer, f"the window {list(self)} never opens", "a window [lo, hi] has 0 ≤ lo < hi")


MINUTE = Whole(-TEN_YEARS, TEN_YEARS, "minutes from start")
LENGTH = Whole(0, TEN_YEARS, "minutes")

Id = Annotated[str, Text(ID_LENGTH)]
Ref = Annotated[str, Text(ID_LENGTH, given=False)]  # may name the load now in a kiln
Name = Annotated[str, Text(NAME_LENGTH, given=False)]
Stage = Annotated[str, OneOf(STAGES)]
Minute = Annotated[int, MINUTE]
Later = Annotated[int, Whole(-3 * TEN_YEARS, 3 * TEN_YEARS, "minutes from start")]  # reckoned after the horizon
Late = Annotated[int, Whole(0, 4 * TEN_YEARS, "minutes")]
Length = Annotated[int, LENGTH]
Duration = Annotated[int, Whole(1, TEN_YEARS, "minutes")]
Seconds = Annotated[int, Whole(0, MOST, "seconds")]
Count = Annotated[int, Whole(1, MOST, "pieces")]
Amount = Annotated[int, Whole(0, MOST, "units")]
BoardCount = Annotated[int, Whole(0, MOST, "boards")]
Millimetres = Annotated[int, Whole(1, MOST, "millimetres")]
Shelves = Annotated[int, Whole(1, MOST, "shelves")]
Cost = Annotated[int, Whole(0, MOST_COST, "cost units")]
Bound = Annotated[int, Whole(-MOST_COST, MOST_COST, "cost units")]
Spans = Annotated[tuple[Span, ...], Sorted()]
Ids = Annotated[tuple[Id, ...], Different()]

Check = Callable[[Any, str], Iterator[Fault]]


def _nothing(_value: Any, _pointer: str) -> Iterator[Fault]:
    return iter(())


def check_of(kind: Any) -> Check:
    """The check of one value that the annotation ``kind`` asks for."""
    origin, args = get_origin(kind), get_args(kind)
    if origin is Annotated:
        inner, rules = check_of(args[0]), kind.__metadata__

        def annotated(value: Any, pointer: str) -> Iterator[Fault]:
            found = list(inner(value, pointer))
            yield from found
            for rule in rules if not found else ():
                yield from rule.faults(value, pointer)

        return annotated
    if origin in (Union, types.UnionType):
        rest = [a for a in args if a is not type(None)]
        inner = check_of(rest[0]) if len(rest) == 1 else _nothing
        return lambda value, pointer: iter(()) if value is None else inner(value, pointer)
    if origin in (tuple, frozenset):
        inner = check_of(args[0])
        return lambda value, pointer: (f for i, x in enumerate(value) for f in inner(x, f"{pointer}/{i}"))
    if origin is dict:
        of_key, of_value = check_of(args[0]), check_of(args[1])
        return lambda value, pointer: (
            f
            for k, v in value.items()
            for f in (*of_key(k, f"{pointer}/{escape(k)}"), *of_value(v, f"{pointer}/{escape(k)}"))
        )
    if kind in (Span, Window):
        return lambda value, pointer: value.faults(pointer)
    # a checked record was checked when it was built
    if isinstance(kind, type) and is_dataclass(kind) and not issubclass(kind, Checked):
        return lambda value, pointer: (f.under(pointer) for f in faults_of(value))
    return _nothing


@cache
def _checks(cls: Any) -> tuple[tuple[str, str, Check], ...]:
    hints = get_type_hints(cls, include_extras=True)
    return tuple((f.name, "/" + JSON_KEYS.get(f.name, f.name), check_of(hints[f.name])) for f in fields(cls))


def faults_of(record: Any) -> list[Fault]:
    """Everything wrong with ``record`` taken alone: ranges first, then its own ``faults()`` if it has any."""
    cls: Any = type(record)
    found = [f for name, pointer, check in _checks(cls) for f in check(getattr(record, name), pointer)]
    if not found and hasattr(record, "faults"):
        found = list(record.faults())
    return found


def refuse(record: Any) -> None:
    """Raise :class:`Refused` if ``record`` is nonsense."""
    found = faults_of(record)
    if found:
        who = f" {quoted(str(record.id))}" if hasattr(record, "id") else ""
        raise Refused(found, f"{type(record).__name__}{who} ")


class Checked:
    """A record that refuses nonsense when it is built."""

    __slots__ = ()

    def __post_init__(self) -> None:
        refuse(self)
