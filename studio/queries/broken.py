"""Orders taken for a day that the planner told and that a new plan has not ready on it any more: which, and why."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from studio.models import Command, Plan, Studio
from studio.queries.cards import Names
from studio.queries.late import LateOrder
from studio.queries.plans import Live
from studio.translate.taken import Taken, taken_days

NOT_MEANT = ("plan_", "when_")  # commands that change nothing in the book or on the record begin so


def broken_days(studio: Studio, new: Live, names: Names, late: Iterable[LateOrder]) -> tuple[str, ...]:
    """A sentence for each order that was taken for a day told, is new in the plan ``new`` and late in it."""
    behind = {x.line: x for x in late}
    known = _known(studio)
    return tuple(
        _sentence(taken, behind[taken.line], names, moved_on=_moved_on(studio, taken))
        for taken in taken_days(studio)
        if taken.line in behind and taken.line not in known
    )


def _known(studio: Studio) -> set[str]:
    """The lines that the plan in use knows: their day was settled with it."""
    used = Plan.objects.filter(studio=studio, is_current=True).defer("scenario").first()
    return set() if used is None else {o["id"] for o in used.plan["orders"]}


def _moved_on(studio: Studio, taken: Taken) -> bool:
    """Whether anything else was recorded or changed since the day was told."""
    since = taken.run.started_at or taken.run.asked_at
    others = Command.objects.filter(studio=studio, status=200, arrived_at__gte=since)
    for begin in NOT_MEANT:
        others = others.exclude(kind__startswith=begin)
    return others.exclude(kind="order_new", arrived_at=taken.at).exists()


def _sentence(taken: Taken, late: LateOrder, names: Names, *, moved_on: bool) -> str:
    who = names.customer(taken.line) or _("this order")
    said = {"who": who, "day": date_format(taken.day, "l j F"), "why": late.reason}
    text = _("The day told for %(who)s, %(day)s, does not hold any more.") % said
    if late.done is not None:
        text += " " + _("It would be ready on %(then)s.") % {"then": date_format(late.done, "l j F")}
    if late.reason:
        text += " " + _("Why: %(why)s.") % said
    if moved_on:
        return text + " " + _("Other things were recorded or changed after the day was told; it stood on how things "
                              "were before.")  # fmt: skip
    return text + " " + _("Time has gone by since it was told, and work that it counted on was not begun.")
