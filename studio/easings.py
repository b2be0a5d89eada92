"""What would help a studio, and what its pots wait for: the planner's codes, things and numbers in a potter's words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, ngettext_lazy

from studio import words
from studio.reasons import Named, When
from studio.words import Text

RACKS: dict[str, Text] = {
    "damp": gettext_lazy("in the damp cupboard"),
    "drying": gettext_lazy("on the drying rack"),
    "glazed": gettext_lazy("on the rack for glazed ware"),
}
HOURS: dict[str, Text] = {
    "hour": gettext_lazy("An hour more on %(day)s for %(person)s"),
    "evening": gettext_lazy("The evening of %(day)s for %(person)s (%(span)s)"),
    "morning": gettext_lazy("The morning of %(day)s for %(person)s (%(span)s)"),
}
KILNS: dict[str, Text] = {
    "firing": gettext_lazy("One more load in another kiln like %(kiln)s"),
    "kiln_open": gettext_lazy("%(kiln)s free for you from %(day)s on, when it is taken otherwise"),
    "any_start": gettext_lazy("%(kiln)s lit at any hour"),
}
COUNTED: dict[str, Any] = {
    "mould": ngettext_lazy(
        "%(n)d more mould of %(form)s, dry today", "%(n)d more moulds of %(form)s, dry today", "n"
    ),
    "pour": ngettext_lazy(
        "%(n)d more mould of %(form)s, poured %(pour)s", "%(n)d more moulds of %(form)s, poured %(pour)s", "n"
    ),
    "boards": ngettext_lazy("%(n)d more board %(rack)s", "%(n)d more boards %(rack)s", "n"),
}
WAITS: dict[str, Text] = {
    "moulds": gettext_lazy("%(waited)s for %(form)s moulds to be dry"),
    "boards": gettext_lazy("%(waited)s for room %(rack)s"),
    "kiln": gettext_lazy("%(waited)s for %(kiln)s, which has other loads first"),
    "load": gettext_lazy("%(waited)s for %(kiln)s to be packed or lit"),
    "hands": gettext_lazy("%(waited)s for hands that are busy with other work"),
    "closed": gettext_lazy("%(waited)s of nights and days on which nobody is in"),
}
NEVER: dict[str, Text] = {
    "mould_uses": gettext_lazy(
        "The %(form)s moulds can be pressed %(uses)s more times and %(under_way)s pieces are under way, but "
        "%(asked)s have to be made. Pour more moulds first."
    ),
    "no_bisque_kiln": gettext_lazy(
        "No kiln that bisque fires takes %(form)s. Say in the studio’s forms how many a shelf takes."
    ),
    "no_glost_kiln": gettext_lazy("No kiln that takes %(form)s has a glost firing for this glaze."),
    "nobody_with_skill": gettext_lazy("Nobody who is there does %(kind)s. Give somebody that skill and hours."),
    "not_within": gettext_lazy(
        "No day was found within %(days)s days on which it is ready and no other order is later."
    ),
}
MOST_WAITS = 3


def easing(code: str, things: Mapping[str, str], counts: Mapping[str, int], minutes: Mapping[str, int], *,
           when: When, named: Named, text: str = "") -> str:  # fmt: skip
    """A thing that would help: "2 more moulds of Bowl, poured now"; one not known here as the planner put it."""
    values: dict[str, Any] = {role: named(role, thing) for role, thing in things.items()}
    if "rack" in things:
        values["rack"] = RACKS.get(things["rack"], things["rack"])
    if "from" in minutes:
        values["day"] = words.day(when(max(0, minutes["from"])))
    if {"from", "until"} <= set(minutes):
        values["span"] = words.span(minutes["until"] - minutes["from"])
    values["pour"] = words.half_day_at(when(minutes["pour"])) if "pour" in minutes else _("now")
    if code in COUNTED:
        values["n"] = next(iter(counts.values()), 1)
    said = COUNTED.get(code) or HOURS.get(code) or KILNS.get(code)
    return str(said % values) if said is not None else text.rstrip(".")


def sooner(days: int) -> str:
    """How much sooner: 2 days sooner."""
    return ngettext("%(n)d day sooner", "%(n)d days sooner", days) % {"n": days}


def waits(reasons: Iterable[Mapping[str, Any]], named: Named) -> tuple[str, ...]:
    """Why it is not earlier, in a sentence or two, from reasons as JSON; the longest waits first."""
    told = [r for r in reasons if r["code"] in WAITS and r["code"] != "closed"][:MOST_WAITS]
    found = []
    parts = [str(WAITS[r["code"]]) % _values(r, named) for r in told]
    if parts:
        found.append(_("Its last pieces wait %(parts)s.") % {"parts": words.joined(parts)})
    way = next((r["minutes"].get("way", 0) for r in reasons if r["code"] == "way"), 0)
    closed = next((r["minutes"].get("waited", 0) for r in reasons if r["code"] == "closed"), 0)
    if way and closed:
        found.append(_("Work, setting, drying and firing alone take %(way)s, nights and days off %(closed)s.") % {
            "way": words.span(way), "closed": words.span(closed)})  # fmt: skip
    elif way:
        found.append(_("Work, setting, drying and firing alone take %(way)s.") % {"way": words.span(way)})
    return tuple(found)


def never(reasons: Iterable[Mapping[str, Any]], named: Named) -> tuple[str, ...]:
    """Why there is no day at all, as sentences."""
    return tuple(
        str(NEVER[r["code"]]) % _values(r, named) if r["code"] in NEVER else str(r.get("text", "")) for r in reasons
    )


def _values(reason: Mapping[str, Any], named: Named) -> dict[str, str]:
    values = {role: named(role, thing) for role, thing in reason["things"].items()}
    if "rack" in reason["things"]:
        values["rack"] = str(RACKS.get(reason["things"]["rack"], reason["things"]["rack"]))
    if "kind" in reason["things"]:
        values["kind"] = str(words.kind_of(reason["things"]["kind"]).group)
    values |= {k: words.span(n) for k, n in reason["minutes"].items()}
    return values | {k: str(n) for k, n in reason["counts"].items()}
