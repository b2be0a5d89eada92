"""What becomes of the work: pieces that change their day, moulds to pour, other work, evenings."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from planner.plan import Task
from planner.scenario import Span
from studio import words
from studio.changes.said import Both, Change
from studio.queries.sides import Side

TOLD = ("press", "glaze")  # told piece by piece; taking out and leather-hard work follow from the pressing
COUNTED = ("finish",)  # the orders' days say the rest
SINGLE = ("pour", "lift", "job")
MOST = 6  # sentences on one kind of work


class Flow(NamedTuple):
    """So many pieces of a form whose work moves from a day to another; None: it is more, or less."""

    form: str
    name: str
    pieces: int
    old: dt.date | None
    new: dt.date | None

    @property
    def days(self) -> list[dt.date]:
        return [d for d in (self.old, self.new) if d is not None]


def pieces(both: Both) -> Iterator[Change]:
    """What moves in the next days by name and number, what comes later or follows from it by number."""
    for kind in TOLD:
        flows = list(_flows(both, kind))
        groups: dict[tuple[dt.date | None, dt.date | None], list[Flow]] = {}
        for flow in flows:
            if both.is_near(*flow.days):
                groups.setdefault((flow.old, flow.new), []).append(flow)
        shown = sorted(groups.values(), key=lambda g: (min(g[0].days), max(g[0].days)))[:MOST]
        for group in shown:
            yield _moved(both, kind, group)
        told = sum(f.pieces for group in shown for f in group)
        yield from _counted(kind, flows, sum(f.pieces for f in flows) - told, also=told > 0)
    for kind in COUNTED:
        flows = list(_flows(both, kind))
        yield from _counted(kind, flows, sum(f.pieces for f in flows), also=False)


def _flows(both: Both, kind: str) -> Iterator[Flow]:
    old, new = both.old.per_day(kind), both.new.per_day(kind)
    for form in sorted(old.keys() | new.keys()):
        name = both.new.form(form) if form in both.new.live.scenario.form else both.old.form(form)
        for count, day, other in _pairs(old.get(form, Counter()), new.get(form, Counter())):
            yield Flow(form, name, count, day, other)


def _pairs(old: Counter[dt.date], new: Counter[dt.date]) -> Iterator[tuple[int, dt.date | None, dt.date | None]]:
    """Pieces that move, in the order of the days; then what is less or more."""
    less, more = old - new, new - old
    for day, count in sorted(less.items()):
        for other in sorted(more):
            n = min(count, more[other])
            if n:
                count -= n
                more[other] -= n
                yield n, day, other
        if count:
            yield count, day, None
    for day, count in sorted(more.items()):
        if count:
            yield count, None, day


def _moved(both: Both, kind: str, group: list[Flow]) -> Change:
    """One sentence for all that moves from one day to another: Press 3 × Mug and 2 × Bowl: Friday instead of Monday."""
    first, rest = group[0], [f"{f.pieces} × {f.name}" for f in group[1:]]
    thing = words.joined([first.name, *rest])
    what = words.todo(kind, n=first.pieces, thing=thing).rstrip(" :")  # glazing names a glaze that is not told here
    forms = tuple(f.form for f in group)
    old = both.day(first.old) if first.old is not None else ""
    new = both.day(first.new) if first.new is not None else ""
    if not new:
        return Change("fewer", _("%(what)s falls out on %(day)s.") % {"what": what, "day": old}, forms)
    if not old:
        return Change("more", _("%(what)s more on %(day)s.") % {"what": what, "day": new}, forms)
    return Change("moved", _("%(what)s: %(new)s instead of %(old)s.") % {"what": what, "old": old, "new": new}, forms)


def _counted(kind: str, flows: list[Flow], n: int, also: bool) -> Iterator[Change]:
    if n:
        text = ngettext("%(work)s: %(n)d piece changes its day.", "%(work)s: %(n)d pieces change their day.", n)
        if also:
            text = ngettext(
                "%(work)s: %(n)d more piece changes its day later on.",
                "%(work)s: %(n)d more pieces change their day later on.",
                n,
            )
        work = str(words.kind_of(kind).group)
        said = {"work": work[:1].upper() + work[1:], "n": n}
        yield Change("later_on", text % said, tuple(dict.fromkeys(f.form for f in flows)))


def single(both: Both) -> Iterator[Change]:
    """Moulds to pour and lift, and other work, one by one."""
    old, new = _single(both.old), _single(both.new)
    for key, now in new.items():
        day = both.day(both.new.date(now.start))
        what = _what(both.new, now)
        if key not in old:
            yield Change("more", _("New: %(what)s, %(day)s.") % {"what": what, "day": day}, (now.id,))
        elif both.old.date(old[key].start) != both.new.date(now.start):
            said = {"what": what, "old": both.day(both.old.date(old[key].start)), "new": day}
            yield Change("moved", _("%(what)s: %(new)s instead of %(old)s.") % said, (now.id,))
    for key, was in old.items():
        if key not in new:
            yield Change("fewer", _("%(what)s falls out.") % {"what": _what(both.old, was)}, (was.id,))


def _single(side: Side) -> dict[tuple[str, str], Task]:
    about = side.about
    return {(t.kind, about[t.id].id): t for t in side.tasks() if t.kind in SINGLE and t.id in about}


def _what(side: Side, task: Task) -> str:
    subject = side.about[task.id]
    job = side.live.scenario.job.get(subject.id)
    name = ((job.name if job else None) or subject.id) if task.kind == "job" else side.form(subject.form)
    return words.todo(task.kind, n=1, thing=name)


def evenings(both: Both) -> Iterator[Change]:
    """Evenings on which somebody is asked to come in, or is not any more."""
    old, new = _evenings(both.old), _evenings(both.new)
    yield from _come_in(both, new, old, _("%(name)s comes in on %(day)s outside the usual hours."))
    yield from _come_in(both, old, new, _("%(name)s need not come in on %(day)s outside the usual hours."))


Evenings = dict[tuple[dt.date, str], str]


def _come_in(both: Both, these: Evenings, not_these: Evenings, text: str) -> Iterable[Change]:
    for (day, person), name in sorted(these.items()):
        if (day, person) not in not_these:
            yield Change("evening", text % {"name": name, "day": both.day(day)}, (person,))


def _evenings(side: Side) -> Evenings:
    found = {}
    for task in side.tasks():
        person = side.live.scenario.person.get(task.person)
        if person is not None and any(_overlap(task, span) for span in person.extra):
            found[side.date(task.start), person.id] = person.name or person.id
    return found


def _overlap(task: Task, span: Span) -> bool:
    return task.start < span.b and task.end > span.a


def within_days(both: Both) -> Iterator[Change]:
    """Tasks that stay on their day and change their half of it."""
    old = {t.id: both.old.half(t.start) for t in both.old.tasks()}
    moved = [t.id for t in both.new.tasks() if t.id in old and _only_half(old[t.id], both.new.half(t.start))]
    if moved:
        n = len(moved)
        text = ngettext(
            "%(n)d task changes between morning and afternoon of its day.",
            "%(n)d tasks change between morning and afternoon of their day.",
            n,
        )
        yield Change("within_days", text % {"n": n}, tuple(moved))


def _only_half(old: tuple[dt.date, str], new: tuple[dt.date, str]) -> bool:
    return old[0] == new[0] and old[1] != new[1]
