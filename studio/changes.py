"""One plan against another, in sentences: what a person has to know before using the new one."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from planner.plan import Firing, OrderDone, Task
from planner.scenario import Span
from studio import words
from studio.queries.plans import Live
from studio.queries.sides import Side

PIECES = ("press", "glaze", "finish")  # told piece by piece; other work on ware follows from the pressing
SINGLE = ("pour", "lift", "job")


@dataclass(frozen=True)
class Change:
    """One sentence. ``kind``: "order_late", "order_better", "order_new", "order_gone", "order_stays", "spoiled",
    "moved", "more", "fewer", "firing", "evening", "within_days", "nothing_else", "nothing" or "first". ``things``: the
    ids of what it is about (orders, tasks, firings, ware)."""

    kind: str
    text: str
    things: tuple[str, ...] = ()


def changes(before: Live | None, after: Live, done: frozenset[str] = frozenset()) -> list[Change]:
    """What ``after`` changes against ``before``, what hurts first. ``done``: tasks of either that were done already.

    What ``before`` had planned for the time before ``after`` begins counts as gone by, not as changed.
    """
    if before is None:
        return [_first(after)]
    both = _Both(Side(before, done, after.start), Side(after, done, after.start))
    found = [
        *both.orders(), *both.spoiled(), *both.pieces(), *both.single(), *both.firings(), *both.evenings(),
        *both.within_days(),
    ]  # fmt: skip
    if not any(c.kind != "order_stays" for c in found):
        return [Change("nothing", _("Nothing changes."))]
    return [*found, Change("nothing_else", _("Nothing else changes."))]


def _first(after: Live) -> Change:
    late = [o for o in after.plan.orders if o.late_min > 0]
    text = _("This is the first plan.")
    if late:
        n = len(late)
        text += " " + ngettext("%(n)d order will be late.", "%(n)d orders will be late.", n) % {"n": n}
    return Change("first", text, tuple(o.id for o in late))


@dataclass(frozen=True)
class _Both:
    old: Side
    new: Side

    def day(self, day: dt.date) -> str:
        """A day by its name, with the date where that name comes again before it."""
        off = (day - self.new.since.astimezone(self.new.live.zone).date()).days
        return date_format(day, "l" if 0 <= off < 7 else "l j F")

    # Orders

    def orders(self) -> Iterator[Change]:
        old, new = self.old.order_done(), self.new.order_done()
        stays = []
        for order_id, now in new.items():
            who = self._who(self.new, order_id)
            if order_id not in old:
                yield Change("order_new", self._order_new(who, now), (order_id,))
                continue
            change = self._order(who, old[order_id], now)
            if change is not None:
                yield change
            else:
                stays.append(order_id)
        for order_id in old.keys() - new.keys():
            text = _("%(order)s: nothing more to make.") % {"order": self._who(self.old, order_id)}
            yield Change("order_gone", text, (order_id,))
        yield from self._stays(stays, [i for i in new if i in old])

    @staticmethod
    def _who(side: Side, order_id: str) -> str:
        order = side.live.scenario.order.get(order_id)
        if order is None:
            return order_id
        form = side.form(order.form)
        return f"{order.name}, {form}" if order.name else form

    def _order_new(self, who: str, now: OrderDone) -> str:
        if now.reckoned:
            return _("%(order)s is new; it will not be finished in these weeks.") % {"order": who}
        return _("%(order)s is new: done %(day)s.") % {"order": who, "day": self.day(self.new.date(now.done))}

    def _order(self, who: str, was: OrderDone, now: OrderDone) -> Change | None:
        """What is to be said of an order in both plans; None if its day stays."""
        old_day, new_day = self.old.date(was.done), self.new.date(now.done)
        if was.reckoned and now.reckoned:
            return None
        if was.reckoned:
            text = _("%(order)s will be finished after all, %(day)s.") % {"order": who, "day": self.day(new_day)}
            return Change("order_better", text, (now.id,))
        if now.reckoned:
            text = _("%(order)s will not be finished in these weeks; it was to be done %(day)s.")
            return Change("order_late", text % {"order": who, "day": self.day(old_day)}, (now.id,))
        if old_day == new_day:
            return None
        said = {"order": who, "old": self.day(old_day), "new": self.day(new_day)}
        if now.late_min > 0:
            text = _("%(order)s is done %(new)s instead of %(old)s, %(late)s late.")
            return Change("order_late", text % {**said, "late": words.span(now.late_min)}, (now.id,))
        kind = "order_better" if new_day < old_day else "moved"
        return Change(kind, _("%(order)s is done %(new)s instead of %(old)s, still in time.") % said, (now.id,))

    def _stays(self, stays: list[str], known: list[str]) -> Iterator[Change]:
        """By name where they are few, else all together."""
        if not stays:
            return
        if len(stays) > 3:
            all_ = len(stays) == len(known)
            text = _("All orders keep their days.") if all_ else _("All other orders keep their days.")
            yield Change("order_stays", text, tuple(stays))
            return
        for order_id in stays:
            done = self.new.order_done()[order_id]
            if not done.reckoned:
                said = {"order": self._who(self.new, order_id), "day": self.day(self.new.date(done.done))}
                yield Change("order_stays", _("%(order)s stays %(day)s.") % said, (order_id,))

    # Ware and work

    def spoiled(self) -> Iterator[Change]:
        given_up = set(self.old.live.plan.spoiled)
        for thing in self.new.live.plan.spoiled:
            ware = self.new.live.scenario.ware.get(thing)
            if thing in given_up:
                continue
            if ware is None:
                yield Change("spoiled", _("A poured mould is given up."), (thing,))
                continue
            text = _("%(n)d × %(form)s cannot be saved in time.")
            yield Change("spoiled", text % {"n": ware.count, "form": self.new.form(ware.form)}, (thing,))

    def pieces(self) -> Iterator[Change]:
        for kind in PIECES:
            old, new = self.old.per_day(kind), self.new.per_day(kind)
            for form in sorted(old.keys() | new.keys()):
                name = self.new.form(form) if form in self.new.live.scenario.form else self.old.form(form)
                yield from self._form(kind, name, form, old.get(form, Counter()), new.get(form, Counter()))

    def _form(self, kind: str, name: str, form: str, old: Counter[dt.date], new: Counter[dt.date]) -> Iterator[Change]:
        """Pieces that move from one day to another, in the order of the days; then what is more or less."""
        less, more = old - new, new - old
        for day, count in sorted(less.items()):
            for other in sorted(more):
                n = min(count, more[other])
                if n:
                    count -= n
                    more[other] -= n
                    said = {"what": words.todo(kind, n=n, thing=name), "old": self.day(day), "new": self.day(other)}
                    yield Change("moved", _("%(what)s: %(new)s instead of %(old)s.") % _tidy(said), (form,))
            if count:
                said = {"what": words.todo(kind, n=count, thing=name), "day": self.day(day)}
                yield Change("fewer", _("%(what)s falls out on %(day)s.") % _tidy(said), (form,))
        for day, count in sorted(more.items()):
            if count:
                said = {"what": words.todo(kind, n=count, thing=name), "day": self.day(day)}
                yield Change("more", _("%(what)s more on %(day)s.") % _tidy(said), (form,))

    def single(self) -> Iterator[Change]:
        """Moulds to pour and lift, and other work, one by one."""
        old, new = self._single(self.old), self._single(self.new)
        for key in old.keys() & new.keys():
            (was, side), (now, _side) = old[key], new[key]
            days = side.date(was.start), self.new.date(now.start)
            if days[0] != days[1]:
                said = {"what": self._what(self.new, now), "old": self.day(days[0]), "new": self.day(days[1])}
                yield Change("moved", _("%(what)s: %(new)s instead of %(old)s.") % said, (now.id,))
        for key in new.keys() - old.keys():
            now, side = new[key]
            said = {"what": self._what(side, now), "day": self.day(side.date(now.start))}
            yield Change("more", _("New: %(what)s, %(day)s.") % said, (now.id,))
        for key in old.keys() - new.keys():
            was, side = old[key]
            yield Change("fewer", _("%(what)s falls out.") % {"what": self._what(side, was)}, (was.id,))

    @staticmethod
    def _single(side: Side) -> dict[tuple[str, str], tuple[Task, Side]]:
        about = side.about
        return {(t.kind, about[t.id].id): (t, side) for t in side.tasks() if t.kind in SINGLE and t.id in about}

    @staticmethod
    def _what(side: Side, task: Task) -> str:
        subject = side.about[task.id]
        job = side.live.scenario.job.get(subject.id)
        name = ((job.name if job else None) or subject.id) if task.kind == "job" else side.form(subject.form)
        return words.todo(task.kind, n=1, thing=name)

    # Kilns

    def firings(self) -> Iterator[Change]:
        """Firings still to be lit: the same one by its id, others kiln by kiln in their order."""
        old, new = self._to_light(self.old), self._to_light(self.new)
        for key in sorted(old.keys() | new.keys()):
            yield from self._kiln(key, old.get(key, []), new.get(key, []))

    @staticmethod
    def _to_light(side: Side) -> dict[tuple[str, str], list[Firing]]:
        first = side.live.minute(side.since)
        found: dict[tuple[str, str], list[Firing]] = {}
        for firing in sorted(side.live.plan.firings, key=lambda f: f.fire or 0):
            if firing.fire is not None and firing.fire >= first and firing.load not in side.done:
                kiln = side.live.scenario.kiln[firing.kiln]
                program = kiln.program(firing.program or "")
                found.setdefault((firing.kiln, program.stage if program else ""), []).append(firing)
        return found

    def _kiln(self, key: tuple[str, str], old: list[Firing], new: list[Firing]) -> Iterator[Change]:
        kiln = self.new.live.scenario.kiln.get(key[0]) or self.old.live.scenario.kiln[key[0]]
        what = {"kiln": kiln.name or kiln.id, "firing": _("bisque") if key[1] == "bisque" else _("glost")}
        same = {f.id for f in old} & {f.id for f in new}
        pairs = [(f, next(g for g in new if g.id == f.id)) for f in old if f.id in same]
        rest = [f for f in old if f.id not in same], [f for f in new if f.id not in same]
        pairs += list(zip(*rest, strict=False))
        for was, now in pairs:
            days = self.old.half(was.fire or 0), self.new.half(now.fire or 0)
            if days[0] != days[1]:
                said = {**what, "old": self._half(days[0]), "new": self._half(days[1])}
                yield Change("firing", _("%(kiln)s: %(firing)s %(new)s instead of %(old)s.") % said, (now.id,))
        n = min(len(rest[0]), len(rest[1]))
        for now in rest[1][n:]:
            said = {**what, "day": self._half(self.new.half(now.fire or 0))}
            yield Change("firing", _("%(kiln)s: one more %(firing)s, %(day)s.") % said, (now.id,))
        for was in rest[0][n:]:
            said = {**what, "day": self._half(self.old.half(was.fire or 0))}
            yield Change("firing", _("%(kiln)s: the %(firing)s of %(day)s falls out.") % said, (was.id,))

    def _half(self, half: tuple[dt.date, str]) -> str:
        return _("%(day)s %(half)s") % {"day": self.day(half[0]), "half": words.HALVES[half[1]]}

    # Hours

    def evenings(self) -> Iterator[Change]:
        """Evenings on which somebody is asked to come in, or is not any more."""
        old, new = self._evenings(self.old), self._evenings(self.new)
        for (day, _id), name in sorted(x for x in new.items() if x[0] not in old):
            text = _("%(name)s comes in on %(day)s outside the usual hours.")
            yield Change("evening", text % {"name": name, "day": self.day(day)})
        for (day, _id), name in sorted(x for x in old.items() if x[0] not in new):
            text = _("%(name)s need not come in on %(day)s outside the usual hours.")
            yield Change("evening", text % {"name": name, "day": self.day(day)})

    @staticmethod
    def _evenings(side: Side) -> dict[tuple[dt.date, str], str]:
        found = {}
        for task in side.tasks():
            person = side.live.scenario.person.get(task.person)
            if person is not None and any(_overlap(task, span) for span in person.extra):
                found[side.date(task.start), person.id] = person.name or person.id
        return found

    def within_days(self) -> Iterator[Change]:
        """Tasks that stay on their day and change their half of it."""
        old = {t.id: t for t in self.old.tasks()}
        moved = [t for t in self.new.tasks() if t.id in old and self._half_changed(old[t.id], t)]
        if moved:
            n = len(moved)
            text = ngettext(
                "%(n)d task changes between morning and afternoon of its day.",
                "%(n)d tasks change between morning and afternoon of their day.",
                n,
            )
            yield Change("within_days", text % {"n": n}, tuple(t.id for t in moved))

    def _half_changed(self, was: Task, now: Task) -> bool:
        old, new = self.old.half(was.start), self.new.half(now.start)
        return old[0] == new[0] and old[1] != new[1]


def _overlap(task: Task, span: Span) -> bool:
    return task.start < span.b and task.end > span.a


def _tidy(said: dict[str, str]) -> dict[str, str]:
    """``Glaze 4 × Mug:`` without the colon of the glaze that is not named here."""
    return {key: text.rstrip(" :") for key, text in said.items()}
