"""Why an order is late, why ware is given up, why there is no plan, why the record does not add up: in words.

The planner and the record say it as codes with things and numbers; only here do they become sentences.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from planner.plan import Reason
from studio import words
from studio.words import Text

When = Callable[[int], datetime]  # from a minute of the plan to local time
Named = Callable[[str, str], str]  # from a role ("form", "kiln", …) and an id to a name

LATE: dict[str, Text] = {
    "too_soon": gettext_lazy(
        "pressing, drying and two firings take until %(soonest)s at the best; it was asked for before that"
    ),
    "kiln": gettext_lazy("its last pieces come out of the kiln too late"),
    "moulds": gettext_lazy("too few %(form)s moulds are dry early enough"),
    "boards": gettext_lazy("there are too few ware boards"),
    "hands": gettext_lazy("there are too few hours of work"),
    "drying": gettext_lazy("the ware is not dry early enough"),
    "not_finished": gettext_lazy("some pieces are still on their way where this plan ends"),
}
OTHER: dict[str, Text] = {
    "spoiled_in_mould": gettext_lazy(
        "%(pieces)s × %(form)s are given up: they should be out of their moulds by %(until)s, and nobody can be there. "
        "If they will be good for longer, say so and make the plan again."
    ),
    "spoiled_leather_hard": gettext_lazy(
        "%(pieces)s × %(form)s are given up: they are too hard to work on after %(until)s. If they are wrapped and "
        "good for longer, say so and make the plan again."
    ),
    "spoiled_cast": gettext_lazy(
        "The mould poured for %(form)s is given up: nobody can lift it between %(from)s and %(until)s."
    ),
    "nobody_with_skill": gettext_lazy("Nobody does %(kind)s. Give somebody that skill in the studio’s people."),
    "unload_no_hands": gettext_lazy(
        "%(kiln)s can be opened from %(opens)s, but nobody who draws a kiln is there for %(n_minutes)s afterwards."
    ),
    "release_no_hands": gettext_lazy(
        "%(form)s in its moulds can come out from %(from)s, but nobody who does that is there for %(n_minutes)s."
    ),
    "lift_window": gettext_lazy(
        "The mould for %(form)s must be poured and lifted %(lift_from)s to %(lift_until)s later, and nobody is there "
        "for both."
    ),
    "job_window": gettext_lazy(
        "%(job)s takes %(n_minutes)s between %(from)s and %(until)s, and nobody is free for that long. Give it more "
        "time, or somebody more hours."
    ),
    "shared_model": gettext_lazy(
        "%(casts)s moulds need the same model or frame, and there is no time for all of them."
    ),
    "core_no_room": gettext_lazy(
        "There is no room for what must be done: it has to fall between %(earliest)s and %(latest)s, and nobody who "
        "can do it is there for %(n_work)s at a stretch."
    ),
    "core_conflict": gettext_lazy(
        "%(things)s pieces of work that must be done between %(from)s and %(to)s do not fit beside each other "
        "(%(n_work)s in all). Give somebody more hours, or one of them more time."
    ),
}
LENGTHS = ("lift_from", "lift_until")  # minutes that are waits, not points of time


def why_late(reason: Reason, *, when: When, named: Named) -> str:
    """The cause of a late order, as the end of a sentence."""
    return str(LATE.get(reason.code, LATE["hands"])) % _values(reason, when, named)


def why(reason: Reason, *, when: When, named: Named) -> str:
    """Any other reason, as a sentence of its own; one that is not known here stands as the planner put it."""
    if reason.code in LATE:
        return why_late(reason, when=when, named=named)
    text = OTHER.get(reason.code)
    return str(text) % _values(reason, when, named) if text is not None else reason.text


class _Blank(dict[str, str]):
    def __missing__(self, key: str) -> str:
        return "…"


def _values(reason: Reason, when: When, named: Named) -> Mapping[str, str]:
    values = _Blank({role: named(role.rstrip("0123456789"), thing) for role, thing in reason.things.items()})
    if "kind" in reason.things:
        values["kind"] = str(words.kind_of(reason.things["kind"]).group)
    for name, minute in reason.minutes.items():
        values[name] = words.span(minute) if name in LENGTHS else words.half_day_at(when(minute))
    for name, n in reason.counts.items():
        values[name] = str(n)
        values[f"n_{name}"] = words.span(n)
    return values


@dataclass(frozen=True)
class Mend:
    """What does not add up, and how to mend it."""

    what: str
    how: str


_TAKE_BACK = gettext_lazy("If it was a slip, take it back. If it is right, record what is missing before it.")
TROUBLES: dict[str, tuple[Text, Text]] = {
    "no_such_ware": (gettext_lazy("It speaks of ware that is not on record."), _TAKE_BACK),
    "other_stage": (
        gettext_lazy("The ware was not at that stage then: it was %(stage)s."),
        gettext_lazy("Record the step between, or take this back."),
    ),
    "more_than_there_are": (
        gettext_lazy("It says %(said)s pieces, and only %(there)s were there."),
        gettext_lazy("Take it back and record it with the right count."),
    ),
    "fewer_than_there_are": (
        gettext_lazy("It says %(said)s pieces, and %(there)s were there: the others are counted as still there."),
        gettext_lazy("Take it back and record it with the right count, or record the rest as lost."),
    ),
    "id_used": (gettext_lazy("It was given a name that is taken already."), gettext_lazy("Take it back.")),
    "mould_gone": (
        gettext_lazy("The mould was %(how)s before."),
        gettext_lazy("If the mould is still in use, take back that it was put away; else take this back."),
    ),
    "mould_filled": (
        gettext_lazy("The mould was still filled with other ware."),
        gettext_lazy("Record that the earlier ware was taken out, or take this back."),
    ),
    "mould_elsewhere": (
        gettext_lazy("A mould that was emptied belongs to other ware."),
        gettext_lazy("Nothing else is wrong: look whether the right moulds stand as empty."),
    ),
    "step_done_before": (
        gettext_lazy("This step was done on this ware before."),
        gettext_lazy("Take one of the two back."),
    ),
    "kiln_full": (
        gettext_lazy("The kiln was still full of another load."),
        gettext_lazy("Record that the earlier load was drawn, or take this back."),
    ),
    "no_such_firing": (
        gettext_lazy("It speaks of a load that is not on record."),
        gettext_lazy("Record the packing of the kiln, or take this back."),
    ),
    "lit_after_drawing": (
        gettext_lazy("The kiln was drawn before it was lit."),
        gettext_lazy("Take one of them back."),
    ),
    "drawn_unlit": (
        gettext_lazy("The kiln was drawn and nobody recorded that it was lit."),
        gettext_lazy("The ware counts as fired. If it was not, take this back."),
    ),
    "not_in_this_kiln": (gettext_lazy("Pieces are named as lost that were not in this kiln."), _TAKE_BACK),
    "other_form": (gettext_lazy("Ware of another form is among it."), gettext_lazy("Take it back and record it anew.")),
    "sent_more_than_sorted": (
        gettext_lazy("%(said)s pieces were sent off and only %(there)s were sorted."),
        gettext_lazy("Record the sorting of the others, or take this back and send the right number."),
    ),
    "no_such_cast": (
        gettext_lazy("It speaks of a poured mould that is not on record."),
        gettext_lazy("Record that it was poured, or take this back."),
    ),
    "no_such_glaze_batch": (
        gettext_lazy("It speaks of a batch of glaze that is not on record."),
        gettext_lazy("Record its mixing, or take this back."),
    ),
    "no_such_bag": (
        gettext_lazy("It speaks of a bag of plaster that is not on record."),
        gettext_lazy("Record that the bag came, or take this back."),
    ),
    "no_such_clay": (
        gettext_lazy("It speaks of a batch of clay that is not on record."),
        gettext_lazy("Record that the clay came or was pugged, or take this back."),
    ),
    "correction_cannot_be": (
        gettext_lazy("A correction gives values that cannot be; the first ones count."),
        gettext_lazy("Correct it again, or take the correction back."),
    ),
    "unknown_kind": (gettext_lazy("It is of a kind that this version does not know."), gettext_lazy("Take it back.")),
    "wrong_form": (gettext_lazy("Something in it is missing or cannot be."), gettext_lazy("Take it back.")),
}


def mend(code: str, things: Mapping[str, str], counts: Mapping[str, int]) -> Mend:
    """A trouble of the record in words, with the way out."""
    what, how = TROUBLES.get(code, (gettext_lazy("It does not fit what was recorded before."), _TAKE_BACK))
    values = _Blank({**things, **{k: str(n) for k, n in counts.items()}})
    if "stage" in things:
        values["stage"] = words.stage(things["stage"])
    if "how" in things:
        values["how"] = _("cracked") if things["how"] == "cracked" else _("put away")
    return Mend(str(what) % values, str(how) % values)
