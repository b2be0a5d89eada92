"""Looking closer at plans while nobody waits for anything: how sure their dates are, and what would help.

What a plan lacks is seen from its own row, so nothing is lost when a worker goes: another one looks again.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db import transaction
from django.db.models import F, Q

from studio.models import Plan, PlanRun

LEASE = dt.timedelta(minutes=3)
AGAIN = dt.timedelta(minutes=10)  # a plan whose studio goes on recording is looked at again no sooner
RECENT = dt.timedelta(hours=12)  # a plan that nobody decides on is looked at no longer
MOST_TRIES = 3


@transaction.atomic
def claim_look(*, now: dt.datetime) -> Plan | None:
    """A plan of which it is not known yet how sure it is, or what would help; for the next minutes it is the caller's.

    Plans in use come before those that wait for a decision; of these only how sure they are is asked.
    """
    used = Q(is_current=True)
    waits = Q(accepted_at=None, left_at=None, made_at__gt=now - RECENT, sure__isnull=True)
    lacks = Q(sure__isnull=True) | Q(helps__isnull=True) | Q(helps__done=False)
    stale = Q(looked_seq__lt=F("studio__next_seq") - 1)
    rows = Plan.objects.filter(waits | (used & (lacks | stale)), look_tries__lt=MOST_TRIES)
    free = rows.filter(Q(look_until=None) | Q(look_until__lt=now)).select_related("studio").defer("scenario")
    row = free.order_by("-is_current", "-pk").first()
    if row is None:
        return None
    held = Plan.objects.filter(pk=row.pk).filter(Q(look_until=None) | Q(look_until__lt=now))
    if not held.update(look_until=now + LEASE, look_tries=F("look_tries") + 1):
        return None
    row.refresh_from_db(fields=["look_until", "look_tries"])
    return row


def note_look(*, plan: Plan, now: dt.datetime, ended: bool = False, **found: Any) -> None:
    """Keep what was ``found`` (sure, helps, looked_seq) of a plan; ``ended``: nothing is left to look for by now."""
    if ended:
        found |= {"look_tries": 0, "look_until": now + AGAIN}
    Plan.objects.filter(pk=plan.pk).update(**found)


def let_go(*, plan: Plan) -> None:
    """Somebody waits for something else: the plan is looked at again afterwards."""
    Plan.objects.filter(pk=plan.pk).update(look_until=None, look_tries=0)


def somebody_waits() -> bool:
    """Whether a run waits for a worker."""
    return PlanRun.objects.filter(state=PlanRun.State.WAITING).exists()
