"""One plan against another, in sentences: what a person has to know before using the new one."""

from __future__ import annotations

from django.utils.translation import gettext as _

from studio.changes.first import first
from studio.changes.kilns import firings
from studio.changes.orders import orders, spoiled
from studio.changes.said import Both, Change
from studio.changes.work import evenings, pieces, single, within_days
from studio.queries.plans import Live
from studio.queries.sides import Side

__all__ = ["Change", "changes"]


def changes(before: Live | None, after: Live, done: frozenset[str] = frozenset()) -> list[Change]:
    """What ``after`` changes against ``before``, what hurts first. ``done``: tasks of either that were done already.

    What ``before`` had planned for the time before ``after`` begins counts as gone by, not as changed.
    """
    if before is None:
        return first(after)
    both = Both(Side(before, done, after.start), Side(after, done, after.start))
    parts = (orders, spoiled, pieces, single, firings, evenings, within_days)
    found = [change for part in parts for change in part(both)]
    if all(c.kind == "order_stays" for c in found):
        return [Change("nothing", _("Nothing changes."))]
    return [*found, Change("nothing_else", _("Nothing else changes."))]
