"""Ware up to bone-dry: the ways that pieces go from press to release, and what waits for leather-hard work."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from planner.model.proof.mip import Term, Var
from planner.scenario import Form, Window


@dataclass(frozen=True)
class Way:
    """Pieces pressed in one bucket, from minute ``at`` on, and taken out in another."""

    press: int
    at: int
    release: int
    covered: bool
    by: int  # latest end of pressing
    out: int  # earliest end of the release
    ready: int  # earliest minute the mould may be pressed again
    var: Var


@dataclass
class Green:
    """One form's ware up to bone-dry."""

    form: Form
    ways: list[Way] = field(default_factory=list)
    out: dict[int, list[Term]] = field(default_factory=lambda: defaultdict(list))  # taken out, by bucket
    empty: list[tuple[int, list[Term]]] = field(default_factory=list)  # moulds that come empty, from a minute on
    standing: list[Term] = field(default_factory=list)  # on a rack at 0 already
    dry: list[tuple[int, list[Term]]] = field(default_factory=list)  # bone-dry from a minute on
    alone: list[tuple[int, list[Term]]] = field(default_factory=list)  # the same, if nothing else were to be done
    # per step: (earliest minute of its start, latest of its end, pieces)
    waiting: dict[int, list[tuple[int, int, list[Term]]]] = field(default_factory=lambda: defaultdict(list))

    @property
    def total(self) -> list[Term]:
        return [t for _, terms in self.dry for t in terms]


def windows(first: Window, covered: Window | None) -> list[Window]:
    """The window of an open and, where there is one, of a covered wait."""
    return [first] if covered is None else [first, covered]


def least_cycle(form: Form) -> int:
    """Minutes from one pressing of a mould to its next, at least."""
    lo = min(w.lo for w in windows(form.release_after, form.release_after_covered))
    return form.press.minutes(1) + lo + form.release.minutes(1) + form.mould_rest
