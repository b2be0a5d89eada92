"""How sure the days of a plan are, and what would help: what a worker found, in pictures and words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio import easings, models
from studio.queries.cards import Names
from studio.queries.late import naming
from studio.queries.plans import Live

TEN = 10
SURE = 0.9
MOST_LINES = 8


@dataclass(frozen=True)
class Sure:
    """How sure one line of an order is of its day. ``n`` times in ten; ``day`` is sure nine times in ten."""

    n: int
    text: str
    day: date | None
    more: int
    short: bool  # too many may be lost, and pressing more now comes too late

    @property
    def ticks(self) -> tuple[bool, ...]:
        """Ten marks, of which as many are full as times in ten it is ready."""
        return tuple(i < self.n for i in range(TEN))


@dataclass(frozen=True)
class SureLine:
    """A line of a plan with how sure it is."""

    customer: str
    name: str
    qty: int
    due: date
    sure: Sure


@dataclass(frozen=True)
class Rests:
    """What the chances of a plan rest on: tasks of the record that were timed, pieces followed, since a day."""

    tasks: int
    pressings: int
    pieces: int
    since: date | None


def rests_of(row: models.Plan) -> Rests | None:
    """None while nobody has looked at the plan."""
    said = row.rests
    if not said:
        return None
    since = timezone.localtime(datetime.fromisoformat(said["since"])).date() if said["since"] else None
    return Rests(int(said["tasks"]), int(said["pressings"]), int(said["pieces"]), since)


def sure_of(row: models.Plan) -> dict[str, Sure]:
    """By order line, what is known of a plan; nothing while nobody has looked."""
    return {line: _sure(said) for line, said in (row.sure or {}).items()}


def _sure(said: Mapping[str, Any]) -> Sure:
    on = float(said["on"])
    n = min(max(round(TEN * on), 1), TEN - 1) if 0.05 <= on <= 0.95 else round(TEN * on)
    text = _("ready on its day nearly always") if on > 0.95 else _("ready on its day hardly ever") if on < 0.05 else (
        ngettext("ready on its day %(n)s time in 10", "ready on its day %(n)s times in 10", n) % {"n": n}
    )
    unsure = n < TEN * SURE
    short = unsure and said["enough"] < SURE
    day = date.fromisoformat(said["day"]) if said["day"] and unsure else None
    return Sure(n, text, day, int(said["more"]) if short else 0, short and not said["more"])


def sure_lines(live: Live, names: Names) -> tuple[SureLine, ...]:
    """The lines of a plan, the least sure first."""
    found = []
    for line, sure in sure_of(live.row).items():
        order = live.scenario.order.get(line)
        if order is not None:
            found.append(SureLine(names.customer(line), names.form(order.form), order.qty, live.when(order.due).date(),
                                  sure))  # fmt: skip
    return tuple(sorted(found, key=lambda x: (x.sure.n, x.due)))[:MOST_LINES]


def helps(live: Live, names: Names) -> tuple[str, ...]:
    """What would help most, in sentences; nothing while nobody has looked."""
    named = naming(live, names)
    return tuple(_help(h, live, named, names) for h in (live.row.helps or {}).get("items", ()))


def _help(h: Mapping[str, Any], live: Live, named: Any, names: Names) -> str:
    what = easings.easing(
        h["code"], h["things"], h["counts"], h["minutes"], when=live.when, named=named, text=h["text"].split(":")[0]
    )
    return _("%(what)s: %(gain)s.") % {"what": what, "gain": "; ".join(_gains(h, names))}


def _gains(h: Mapping[str, Any], names: Names) -> list[str]:
    found = []
    rescued = [names.customer(line) for line in h["rescued"] if names.customer(line)]
    if h["rescued"]:
        n = len(h["rescued"])
        told = ngettext("%(n)d order line in time", "%(n)d order lines in time", n) % {"n": n}
        found.append(f"{told} ({', '.join(dict.fromkeys(rescued))})" if rescued else told)
    days = round(h["piece_minutes"] / 1440)
    if days > 0:
        found.append(ngettext("%(n)d piece a day sooner", "%(n)d pieces a day sooner, all told", days) % {"n": days})
    if h["finished"] > 0:
        found.append(ngettext("%(n)d piece more", "%(n)d pieces more", h["finished"]) % {"n": h["finished"]})
    return found or [_("a little sooner")]
