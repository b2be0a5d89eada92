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
from studio.models import OrderLine
from studio.models.orders import MOST_SPARE_DAYS
from studio.queries.cards import Names
from studio.queries.late import naming
from studio.queries.plans import Live
from studio.translate.tuning import DAY

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
    days: int = 0  # by so many it would have to be planned earlier to be sure nine times in ten

    @property
    def ticks(self) -> tuple[bool, ...]:
        """Ten marks, of which as many are full as times in ten it is ready."""
        return tuple(i < self.n for i in range(TEN))


@dataclass(frozen=True)
class Offer:
    """What makes a line sure nine times in ten: in all so many days before its day, so many pieces more."""

    days: int
    pieces: int
    text: str


def offer_of(row: OrderLine, sure: Sure | None) -> Offer | None:
    """What is offered for a line beyond what it has; None if it is sure, or nothing helps."""
    if sure is None:
        return None
    days = max(0, min(sure.days, MOST_SPARE_DAYS - row.spare_days))
    said = []
    if days:
        said.append(ngettext("Plan it %(n)d day earlier", "Plan it %(n)d days earlier", days) % {"n": days})
    if sure.more:
        more = ngettext("Start %(n)d piece more", "Start %(n)d pieces more", sure.more) % {"n": sure.more}
        said.append(more)
    if not said:
        return None
    text = said[0] if len(said) == 1 else _("%(one)s and %(other)s") % {"one": said[0], "other": _lower(said[1])}
    return Offer(row.spare_days + days, row.spare_pieces + sure.more, text)


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


@dataclass(frozen=True)
class SureLine:
    """A line of a plan with how sure it is."""

    customer: str
    name: str
    qty: int
    due: date
    sure: Sure
    row: OrderLine | None = None  # of a plan in use, so that it can be made surer
    offer: Offer | None = None


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
    days = -(-int(said["slack"]) // DAY) if unsure and said["slack"] else 0
    return Sure(n, text, day, int(said["more"]) if short else 0, short and not said["more"], days)


def sure_lines(live: Live, names: Names, *, in_use: bool = True) -> tuple[SureLine, ...]:
    """The lines of a plan, the least sure first; of one ``in_use`` with what would make them surer."""
    known = [(x, sure) for x, sure in sure_of(live.row).items() if x in live.scenario.order]
    known = sorted(known, key=lambda x: (x[1].n, live.scenario.order[x[0]].due))[:MOST_LINES]
    ids = [x for x, _sure in known] if in_use else []
    found = OrderLine.objects.filter(studio=live.row.studio_id, public_id__in=ids) if ids else ()
    rows = {r.public_id: r for r in found}
    return tuple(_sure_line(x, sure, live, names, rows.get(x)) for x, sure in known)


def _sure_line(line: str, sure: Sure, live: Live, names: Names, row: OrderLine | None) -> SureLine:
    order = live.scenario.order[line]
    return SureLine(names.customer(line), names.form(order.form), order.qty, live.when(order.due).date(), sure, row,
                    None if row is None else offer_of(row, sure))  # fmt: skip


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
