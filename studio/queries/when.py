"""When something could be ready: the question, how far the looking is, and the answer in sentences."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio import easings, words
from studio.models import Form, Glaze, PlanRun, Studio
from studio.queries.cards import Names, names_of
from studio.queries.run import NOBODY_CAME, naming_of
from studio.reasons import Named, When
from studio.services.runs import OPEN, gone_words
from studio.translate.question import PROMISE, STOCK, UNKNOWN
from studio.words import pot_mark

MOST_OPTIONS, MOST_EARLIER, MOST_NAMED = 5, 3, 3


@dataclass(frozen=True)
class Offer:
    """A day on which it could be ready, and what that takes or what it would do to others."""

    day: date
    text: str


@dataclass(frozen=True)
class Asked:
    """A question and what is known by now. ``day`` is the first day found that makes no order later."""

    run: PlanRun
    form: Form | None
    glaze: Glaze | None
    qty: int
    looking: bool
    nobody_works: bool = False
    day: date | None = None
    from_stock: int = 0
    to_make: int = 0
    fresh: int = 0  # of them still to be pressed
    all_there: bool = False
    why: tuple[str, ...] = ()
    options: tuple[Offer, ...] = ()
    earlier: tuple[Offer, ...] = ()
    none: tuple[str, ...] = ()  # why there is no day
    message: str = ""

    @property
    def shape(self) -> str:
        return pot_mark(self.form.kind if self.form else "")


def asked(studio: Studio, run_id: str, *, now: datetime) -> Asked | None:
    """The question ``run_id``; None if the studio has none of that id."""
    runs = PlanRun.objects.filter(studio=studio, kind=PlanRun.Kind.WHEN)
    run = runs.filter(public_id=run_id).first() if run_id else None
    if run is None:
        return None
    gone = run.state == PlanRun.State.RUNNING and run.lease_until is not None and run.lease_until < now
    looking = run.state in OPEN and not gone
    waiting = run.state == PlanRun.State.WAITING
    base: dict[str, Any] = {
        "run": run, "qty": run.about.get("qty", 0), "looking": looking,
        "form": Form.objects.filter(studio=studio, public_id=run.about.get("form", "")).first(),
        "glaze": Glaze.objects.filter(studio=studio, public_id=run.about.get("glaze", "")).first(),
        "nobody_works": waiting and not run.result and now - run.asked_at > NOBODY_CAME,
        "message": gone_words() if gone else run.message,
    }  # fmt: skip
    return Asked(**base, **(_told(studio, run.result) if run.result else {}))


def _told(studio: Studio, said: Mapping[str, Any]) -> dict[str, Any]:
    """The answer kept with a run, in words."""
    names = names_of(studio)
    named, when = naming_of(studio, names), _clock(datetime.fromisoformat(said["start"]))
    found: dict[str, Any] = {"from_stock": said["from_stock"], "to_make": said["to_make"], "fresh": said["fresh"]}
    status = said["status"]
    if status == UNKNOWN:
        return found | {"none": (_("The times of this form are not all there yet. Enter them in the studio’s forms."),)}
    if status == STOCK:
        return found | {"day": date.fromisoformat(said["day"]), "all_there": True}
    if status != PROMISE:
        return found | {"none": easings.never(said["reasons"], named)}
    return found | {
        "day": date.fromisoformat(said["day"]),
        "why": easings.waits(said["reasons"], named),
        "options": tuple(_option(o, when, named) for o in said["options"][:MOST_OPTIONS]),
        "earlier": tuple(_earlier(e, names) for e in said["earlier"][:MOST_EARLIER]),
    }


def _clock(start: datetime) -> When:
    return lambda minute: timezone.localtime(start + timedelta(minutes=minute))


def _option(o: Mapping[str, Any], when: When, named: Named) -> Offer:
    what = easings.easing(
        o["code"], o["things"], o["counts"], o["minutes"], when=when, named=named, text=o["text"].split(":")[0]
    )
    text = _("%(what)s: %(sooner)s") % {"what": what, "sooner": easings.sooner(o["sooner"])}
    return Offer(date.fromisoformat(o["day"]), text)


def _earlier(e: Mapping[str, Any], names: Names) -> Offer:
    """Whose orders would be later, the worst first."""
    worst = sorted(e["later"], key=lambda x: -x["minutes"])
    told = [
        _("%(n)s of %(who)s by up to %(span)s") % {
            "n": x["pieces"], "who": names.customer(x["order"]) or _("an order"), "span": words.span(x["minutes"]),
        }
        for x in worst[:MOST_NAMED]
    ]  # fmt: skip
    rest = len(worst) - len(told)
    if rest > 0:
        told.append(ngettext("%(n)d line more", "%(n)d lines more", rest) % {"n": rest})
    text = _("Then other orders are later: %(told)s.") % {"told": words.joined(told)} if told else ""
    return Offer(date.fromisoformat(e["day"]), text)
