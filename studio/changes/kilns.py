"""What becomes of firings that are still to be lit."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from itertools import zip_longest

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from planner.plan import Firing
from studio.changes.said import Both, Change
from studio.queries.sides import Side

Half = tuple[dt.date, str]


def firings(both: Both) -> Iterator[Change]:
    """Kiln by kiln: the same firing by its id, others in their order. Those of the weeks after are counted."""
    old, new = _to_light(both.old), _to_light(both.new)
    later: list[str] = []
    for key in sorted(old.keys() | new.keys()):
        for was, now in _pairs(old.get(key, []), new.get(key, [])):
            halves = (_half(both.old, was), _half(both.new, now))
            if halves[0] == halves[1]:
                continue
            firing = now or was
            thing = firing.id if firing is not None else ""
            if both.is_near(*(h[0] for h in halves if h is not None)):
                yield Change("firing", _sentence(both, key, halves), (thing,))
            else:
                later.append(thing)
    if later:
        n = len(later)
        text = ngettext("%(n)d firing changes later on.", "%(n)d firings change later on.", n)
        yield Change("later_on", text % {"n": n}, tuple(later))


def _to_light(side: Side) -> dict[tuple[str, str], list[Firing]]:
    """By kiln and stage, in order."""
    first = side.live.minute(side.since)
    found: dict[tuple[str, str], list[Firing]] = {}
    for firing in sorted(side.live.plan.firings, key=lambda f: f.fire or 0):
        if firing.fire is not None and firing.fire >= first and firing.load not in side.done:
            kiln = side.live.scenario.kiln[firing.kiln]
            program = kiln.program(firing.program or "")
            found.setdefault((firing.kiln, program.stage if program else ""), []).append(firing)
    return found


def _pairs(old: list[Firing], new: list[Firing]) -> list[tuple[Firing | None, Firing | None]]:
    by_id = {f.id: f for f in new}
    pairs: list[tuple[Firing | None, Firing | None]] = [(f, by_id[f.id]) for f in old if f.id in by_id]
    same = {f.id for f in old if f.id in by_id}
    return pairs + list(zip_longest([f for f in old if f.id not in same], [f for f in new if f.id not in same]))


def _half(side: Side, firing: Firing | None) -> Half | None:
    return None if firing is None or firing.fire is None else side.half(firing.fire)


def _sentence(both: Both, key: tuple[str, str], halves: tuple[Half | None, Half | None]) -> str:
    kiln = both.new.live.scenario.kiln.get(key[0]) or both.old.live.scenario.kiln[key[0]]
    said = {"kiln": kiln.name or kiln.id, "firing": _("bisque") if key[1] == "bisque" else _("glost")}
    was, now = (both.half(h) if h is not None else "" for h in halves)
    if not was:
        return _("%(kiln)s: one more %(firing)s, %(day)s.") % {**said, "day": now}
    if not now:
        return _("%(kiln)s: the %(firing)s of %(day)s falls out.") % {**said, "day": was}
    return _("%(kiln)s: %(firing)s %(new)s instead of %(old)s.") % {**said, "old": was, "new": now}
