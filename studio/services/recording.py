"""The end of a command that records: its facts go on record, and the answer says what does not add up."""

from __future__ import annotations

from dataclasses import replace

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from studio.models import Fact
from studio.queries.state import state_of
from studio.services.answers import Answer
from studio.services.context import Context
from studio.services.follow import follow_record
from studio.services.record import append_facts


def record(context: Context, answer: Answer) -> Answer:
    """Put the facts of ``context`` on record; ``answer`` with what the state makes of them.

    ``data`` gains ``facts`` (their ids), ``twice`` (the facts that were recorded before) and ``troubles`` (codes).
    """
    append_facts(
        studio=context.studio, facts=context.drafts, command=context.command, now=context.now, person=context.person
    )
    state = state_of(context.studio)
    follow_record(context, state)
    ids = [d.id for d in context.drafts]
    twice = {i: state.twice[i] for i in ids if i in state.twice}
    troubles = [t.code for t in state.troubles if t.fact in ids]
    words = [answer.message, *_twice_words(context, twice)]
    if troubles:
        words.append(_("This does not quite fit what was recorded before; see what does not add up in the record."))
    data = {**answer.data, "facts": ids} | ({"twice": twice} if twice else {})
    return replace(answer, message=" ".join(words), data=data | ({"troubles": troubles} if troubles else {}))


def _twice_words(context: Context, twice: dict[str, str]) -> list[str]:
    """Who recorded it first, for what counts once only."""
    firsts = Fact.objects.filter(studio=context.studio, public_id__in=set(twice.values())).select_related("person")
    return [
        _("%(who)s recorded this already, %(when)s. Your entry is kept and marked; it counts once.")
        % {"who": fact.person or _("Somebody"), "when": said_moment(context, fact)}
        for fact in firsts
    ]


def said_moment(context: Context, fact: Fact) -> str:
    """Day and time of a fact in the studio's own time."""
    return date_format(timezone.localtime(fact.happened_at, context.zone), "l H:i")
