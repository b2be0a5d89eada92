"""Faults counted: which are the most, and what goes together with one more often than chance would have it."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils import formats
from django.utils.translation import gettext as _

from planner.craft.blame import Bar, Group, Link, Offender, offenders, pareto
from planner.craft.causes import likely_cause
from studio.faults import cause_of, name_of
from studio.models import Fact, Form, Glaze, Kiln, Mould, Studio
from studio.queries.cards import local
from studio.queries.record import read_facts
from studio.record.faulted import BISQUE, GLOST, GREEN, OUT, Looked, Walk, faults_in
from studio.record.measured import counting
from studio.translate.allowing import DAYS_BACK

WIDE, TALL, LEFT = 350, 44, 4  # of the picture: its width, each bar with its words, the margin
SEEN = (OUT, GREEN, BISQUE, GLOST)


@dataclass(frozen=True)
class FaultBar:
    """A bar of the picture, in units of the picture, with its words."""

    name: str
    cause: str
    count: int
    share: int  # per cent of all
    running: int  # per cent with all before
    top: int
    width: int

    @property
    def words_at(self) -> int:
        return self.top + 14

    @property
    def bar_at(self) -> int:
        return self.top + 20


@dataclass(frozen=True)
class Repeat:
    """A repeat offender: what it is, in what counts, how sure, and what to look at."""

    text: str
    sure: str
    cause: str


@dataclass(frozen=True)
class Faults:
    bars: tuple[FaultBar, ...]
    total: int
    unnamed: int  # lost or seconds of which nobody said what was seen
    repeats: tuple[Repeat, ...]
    days: int = DAYS_BACK
    wide: int = WIDE

    @property
    def tall(self) -> int:
        return TALL * len(self.bars) + LEFT


def faults_of(studio: Studio, now: dt.datetime) -> Faults:
    """Of the last ``DAYS_BACK`` days."""
    since = now - dt.timedelta(days=DAYS_BACK)
    walk = faults_in(counting(read_facts(Fact.objects.filter(studio=studio, happened_at__gt=since))))
    counts: Counter[str] = Counter()
    for looked in walk.looked:
        counts.update(looked.faults)
    bars = pareto(counts)
    most = max((b.count for b in bars), default=1)
    shown = tuple(_bar(b, i, most) for i, b in enumerate(bars))
    found = [o for seen in SEEN for o in offenders(_groups(walk.looked, seen))]
    names = _Names(studio, walk) if found else None
    return Faults(shown, sum(counts.values()), walk.unnamed, tuple(_repeat(o, names) for o in found if names))


def _bar(bar: Bar, place: int, most: int) -> FaultBar:
    width = max(2, round((WIDE - 2 * LEFT) * bar.count / most))
    return FaultBar(str(name_of(bar.fault)), str(cause_of(bar.fault)), bar.count, round(100 * bar.share),
                    round(100 * bar.running), TALL * place, width)  # fmt: skip


def _groups(looked: Iterable[Looked], seen: str) -> list[Group]:
    """Those seen at one place, since a fault of the glost says nothing of ware that is still green."""
    groups = []
    for x in looked:
        if x.seen != seen:
            continue
        firing = x.links.firings.get("bisque" if seen == BISQUE else "glost", "") if seen in (BISQUE, GLOST) else ""
        links = {Link.TOOL: x.links.form, Link.MOULD: x.links.mould, Link.FIRING: firing,
                 Link.GLAZE: x.links.glaze if seen == GLOST else ""}  # fmt: skip
        groups.append(Group(x.pieces, x.faults, {k: v for k, v in links.items() if v}))
    return groups


class _Names:
    """What the links of offenders are called."""

    def __init__(self, studio: Studio, walk: Walk) -> None:
        self.forms = dict(Form.objects.filter(studio=studio).values_list("public_id", "name"))
        self.glazes = dict(Glaze.objects.filter(studio=studio).values_list("public_id", "name"))
        self.kilns = dict(Kiln.objects.filter(studio=studio).values_list("public_id", "name"))
        rows = Mould.objects.filter(studio=studio).values_list("public_id", "number", "form__name")
        self.moulds = {mould: (number, form) for mould, number, form in rows}
        self.firings = walk.firings

    def of(self, link: Link, name: str) -> str:
        if link is Link.MOULD:
            number, form = self.moulds.get(name, (0, ""))
            return _("mould %(n)d of %(form)s") % {"n": number, "form": form}
        if link is Link.FIRING:
            kiln, at = self.firings[name]
            day = formats.date_format(local(at), "j F")
            return _("%(kiln)s, packed on %(day)s") % {"kiln": self.kilns.get(kiln, ""), "day": day}
        if link is Link.GLAZE:
            return _("glaze %(name)s") % {"name": self.glazes.get(name, "")}
        return _("%(form)s and its profile tool") % {"form": self.forms.get(name, "")}


def _repeat(o: Offender, names: _Names) -> Repeat:
    said = {"fault": str(name_of(o.fault)), "what": names.of(o.link, o.name), "n": o.faulty, "of": o.pieces,
            "m": o.others_faulty, "others": o.others}  # fmt: skip
    text = _("%(what)s: %(fault)s on %(n)d of %(of)d, elsewhere on %(m)d of %(others)d.") % said
    within = next((n for n in (10_000, 1000, 100, 20) if o.false_alarm <= 1 / n), 20)
    sure = _("By mere chance less than 1 time in %(n)s, having looked at everything.") % {"n": within}
    cause = "; ".join(str(c) for c in (cause_of(o.fault), likely_cause("", o.link)) if c)
    return Repeat(text, sure, cause)
