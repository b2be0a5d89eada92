"""Faults counted: which are the most, and what goes together with one more often than chance would have it."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from planner.craft.blame import Bar, Offender, offenders, pareto, vital_few
from studio.faults import LOOK, fault_of, name_of
from studio.models import Studio
from studio.queries.fault_links import LinkNames, Ties, groups
from studio.queries.record import minute_of
from studio.record.followed import BISQUE, GLOST, GREEN, OUT, Followed
from studio.record.following import follow
from studio.record.measured import counting
from studio.translate.shown import DAYS_BACK, recent

WIDE, TALL, LEFT = 350, 44, 4  # of the picture: its width, each bar with its words, the margin
SEEN = (OUT, GREEN, BISQUE, GLOST)


@dataclass(frozen=True)
class FaultBar:
    """A bar of the picture, in units of the picture, with its words; ``few``: of those that make up four fifths."""

    name: str
    cause: str
    count: int
    share: int  # per cent of all
    running: int  # per cent with all before
    top: int
    width: int
    few: bool

    @property
    def words_at(self) -> int:
        return self.top + 14

    @property
    def bar_at(self) -> int:
        return self.top + 20


@dataclass(frozen=True)
class Repeat:
    """A repeat offender: what it is, in what counts, how sure, its usual cause and what to look at.

    ``together``: more than one thing went with the same pieces. ``unusual``: the fault seldom comes from there.
    """

    text: str
    sure: str
    cause: str
    look: tuple[str, ...]
    together: bool
    unusual: bool


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

    @property
    def few(self) -> int:
        """How many faults make up four fifths of all."""
        return sum(b.few for b in self.bars)

    @property
    def few_at(self) -> int:
        return TALL * self.few - 3


def faults_of(studio: Studio, now: dt.datetime) -> Faults:
    """Of the last ``DAYS_BACK`` days."""
    walk = followed(studio, now)
    counts: Counter[str] = Counter()
    for looked in walk.looked:
        counts.update(looked.faults)
    bars = pareto(counts)
    few = len(vital_few(bars))
    most = max((b.count for b in bars), default=1)
    shown = tuple(_bar(b, i, most, i < few) for i, b in enumerate(bars))
    return Faults(shown, sum(counts.values()), walk.unnamed, _repeats(studio, walk) if counts else ())


def followed(studio: Studio, now: dt.datetime) -> Followed:
    """The pieces of the last ``DAYS_BACK`` days on their way."""
    last, since = recent(studio), minute_of(now - dt.timedelta(days=DAYS_BACK))
    facts = [] if last is None else [f for f in (*last.before, *last.today) if f.happened > since]
    return follow(counting(facts))


def _bar(bar: Bar, place: int, most: int, few: bool) -> FaultBar:
    width = max(2, round((WIDE - 2 * LEFT) * bar.count / most))
    fault = fault_of(bar.fault)
    return FaultBar(str(fault.name), str(fault.cause), bar.count, round(100 * bar.share), round(100 * bar.running),
                    TALL * place, width, few)  # fmt: skip


def _repeats(studio: Studio, walk: Followed) -> tuple[Repeat, ...]:
    """Those seen at one place are held against each other: a fault of the glost says nothing of green ware."""
    ties = Ties(studio, walk)
    found = [x for seen in SEEN for x in _alike(offenders(groups(walk.looked, seen, ties)))]
    names = LinkNames(studio, walk, ties) if found else None
    rows = [_repeat(same, names) for same in found if names is not None]
    return tuple(sorted(rows, key=lambda r: r.unusual))


def _alike(found: Iterable[Offender]) -> list[list[Offender]]:
    """Those with one fault and the very same counts went through the same pieces: nothing tells them apart."""
    same: dict[tuple[object, ...], list[Offender]] = {}
    for o in found:
        same.setdefault((o.fault, o.faulty, o.pieces, o.others_faulty, o.others), []).append(o)
    return list(same.values())


def _repeat(same: list[Offender], names: LinkNames) -> Repeat:
    """What its usual cause is tied to stands first."""
    o, fault = same[0], fault_of(same[0].fault)
    same = sorted(same, key=lambda x: not fault.lies_with(x.link))
    what = " / ".join(names.of(x.link, x.name) for x in same)
    said = {"fault": str(name_of(o.fault)), "what": what, "n": o.faulty, "of": o.pieces, "m": o.others_faulty,
            "others": o.others}  # fmt: skip
    text = _("%(what)s: %(fault)s on %(n)d of %(of)d, elsewhere on %(m)d of %(others)d.") % said
    within = next((n for n in (10_000, 1000, 100, 20) if o.false_alarm <= 1 / n), 20)
    sure = _("By mere chance less than 1 time in %(n)s, having looked at everything.") % {"n": within}
    usual = bool(fault.look_at) and not any(fault.lies_with(x.link) for x in same)
    return Repeat(text, sure, str(fault.cause), tuple(str(LOOK[x.link]) for x in same), len(same) > 1, usual)
