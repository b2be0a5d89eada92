"""A form on a page: the values it starts with, or what a person had entered in it when it was refused."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from studio.views.refused import Refusal, about

# A window or a wait is entered in hours, in two fields, and refused by its one name; so is what is entered in inches.
ENDINGS = ("_h", "_lo", "_hi", "_in", "_lb", "_qt")


@dataclass(frozen=True)
class Filled:
    """``kind`` is the command; ``key`` tells forms of one kind on one page apart; ``version`` is the one to send."""

    kind: str
    values: Mapping[str, Any]
    key: str = ""
    version: int | None = None
    errors: Mapping[str, str] = field(default_factory=dict)
    message: str = ""
    is_refused: bool = False

    def value(self, name: str) -> Any:
        """What stands in the field."""
        return self.values.get(name, "")

    def error(self, name: str) -> str:
        """What is wrong with the field, or nothing."""
        while name not in self.errors:
            shorter = next((name.removesuffix(e) for e in ENDINGS if name.endswith(e)), name)
            if shorter == name:
                return ""
            name = shorter
        return self.errors[name]

    def ticked(self, name: str, value: str) -> bool:
        """Whether ``value`` is among those chosen in the field."""
        there = self.value(name)
        return value in there if isinstance(there, (list, tuple, set)) else str(there) == value

    @property
    def id(self) -> str:
        """Begins the ids of its fields."""
        return f"{self.kind}-{self.key}" if self.key else self.kind


def filled(
    refusal: Refusal | None, kind: str, values: Mapping[str, Any], *, version: int | None = None, **match: str
) -> Filled:
    """The form of a ``kind`` for the thing that ``match`` names; what was refused of that very form stands in it.

    After a stale edit the entries go with the version that holds now: sent again, they are meant.
    """
    key = next(iter(match.values()), "")
    mine = refusal is not None and refusal.kind == kind and about(refusal.entries, match)
    if not mine or refusal is None:
        return Filled(kind, values, key, version)
    now_there = refusal.data.get("version", version) if refusal.status == 409 else version
    # A box without a tick sends nothing, so what is missing in the entries was left empty.
    kept = {k: refusal.entries.get(k, [] if isinstance(v, (list, tuple)) else "") for k, v in values.items()}
    return Filled(kind, {**kept, **refusal.entries}, key, now_there, refusal.errors, refusal.message, True)


@dataclass(frozen=True)
class Thing:
    """A row with the form that changes it."""

    row: Any
    form: Filled


def things(
    refusal: Refusal | None, kind: str, key: str, rows: Iterable[Any], values: Callable[[Any], Mapping[str, Any]]
) -> list[Thing]:
    """Each of ``rows`` with its form; the command names the row by ``key``."""
    return [Thing(r, filled(refusal, kind, values(r), version=r.version, **{key: r.public_id})) for r in rows]


def lines(form: Filled, start: list[dict[str, Any]], blank: dict[str, Any], path: str, n_blank: int) -> list[Filled]:
    """The repeated lines of a form: as they are, or as they were entered, and ``n_blank`` empty ones.

    ``path`` is how the command calls the list in what it finds wrong: ``path.3.name``. Empty lines do not count there.
    """
    there = _entered(form, blank) if form.is_refused and any(k in form.values for k in blank) else start
    full = [r for r in there if any(str(v) for v in r.values())]
    made = []
    for i, values in enumerate([*full, *[blank] * n_blank]):
        begin = f"{path}.{i}."
        errors = {k.removeprefix(begin): e for k, e in form.errors.items() if k.startswith(begin)}
        made.append(Filled(form.kind, values, f"{form.key}-{path}-{i}", errors=errors if i < len(full) else {}))
    return made


def _entered(form: Filled, blank: dict[str, Any]) -> list[dict[str, Any]]:
    columns = {k: v if isinstance(v := form.values.get(k, []), list) else [v] for k in blank}
    many = max((len(c) for c in columns.values()), default=0)
    return [{k: c[i] if i < len(c) else "" for k, c in columns.items()} for i in range(many)]


def hours(minutes: int | None) -> str:
    """Minutes as the hours that a person reads and enters: 450 is 7.5."""
    return "" if minutes is None else f"{minutes / 60:.2f}".rstrip("0").rstrip(".")
