"""Commands that edit the people and their time."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio.models import BlockedTime, DayOff, Kiln, Person, Station, WeeklyHours
from studio.services.answers import NOT_ALLOWED, Answer, Refused
from studio.services.commands import OWNER, OWNERS, command
from studio.services.context import Context
from studio.services.fields import (
    clock,
    date,
    flag,
    ident,
    ids,
    listed,
    optional,
    read_payload,
    rows,
    text,
    whole,
    words,
)
from studio.services.saving import VERSION, VERSION_READ, edit_spec, replace_children, retiring, save

WEEKDAY = whole(0, 6)
HOURS_LINE = {"weekday": WEEKDAY, "starts": clock, "ends": clock, "evening": optional(flag, False)}


@command("person_save", {**edit_spec("person"), "name": text(), "skills": optional(words)}, roles=OWNERS)
def person_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """A person and the kinds of work they do; no list = all of them."""
    row = save(ctx, Person, "person", data, {"name": data["name"], "skills": data["skills"]})
    return ctx.done(_("%(name)s is saved.") % {"name": row.name}, person=row.public_id)


@command("hours_save", {"person": ident, "version": VERSION_READ})
def hours_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """The weekly hours of a person: ``hours`` as records, or repeated ``weekday``, ``starts``, ``ends``, ``evening``.

    A maker may set their own hours, an owner everybody's.
    """
    person = ctx.find(Person, data["person"], name="person")
    _own_or_owner(ctx, person)
    lines = _hours(ctx)
    ctx.edit(person, data["version"], {})
    replace_children(person, WeeklyHours, "person", lines)
    return ctx.done(_("The hours of %(name)s are saved.") % {"name": person.name})


def _hours(ctx: Context) -> list[dict[str, Any]]:
    p = ctx.payload
    flat = p if "hours" in p else {"hours": [r for r in rows(p, HOURS_LINE) if r.get("starts") or r.get("ends")]}
    lines = read_payload(flat, {"hours": listed(HOURS_LINE, most=100)})["hours"]
    lines.sort(key=lambda h: (h["weekday"], h["starts"]))
    for before, after in zip([None, *lines], lines, strict=False):
        if after["ends"] <= after["starts"]:
            raise Refused(_("Work has to end after it starts."), errors={"hours": _("Look at the times.")})
        if before and before["weekday"] == after["weekday"] and after["starts"] < before["ends"]:
            raise Refused(_("Two stretches of one day overlap."), errors={"hours": _("Look at the times.")})
    return lines


def _own_or_owner(ctx: Context, person: Person) -> None:
    if ctx.member.role != OWNER and ctx.member.person_id != person.pk:
        raise Refused(_("You can change your own time; for others, please ask an owner."), status=NOT_ALLOWED)


@command("day_off", {"person": optional(ident), "first": date, "last": optional(date)})
def day_off(ctx: Context, data: dict[str, Any]) -> Answer:
    """Whole days away, both dates included; without a person one's own."""
    person = ctx.find(Person, data["person"], name="person") if data["person"] else ctx.person
    if person is None:
        raise Refused(_("Say who is away."), errors={"person": _("Choose one from the list.")})
    _own_or_owner(ctx, person)
    first, last = data["first"], data["last"] or data["first"]
    if last < first:
        raise Refused(_("The last day comes before the first."), errors={"last": _("A later day, please.")})
    row = DayOff.objects.create(studio=ctx.studio, person=person, first=first, last=last)
    return ctx.done(_("%(name)s is away on these days.") % {"name": person.name}, day_off=row.public_id)


@command("day_off_remove", {"day_off": ident})
def day_off_remove(ctx: Context, data: dict[str, Any]) -> Answer:
    """Back at work on days that were marked as away."""
    row = ctx.find(DayOff, data["day_off"], name="day_off")
    _own_or_owner(ctx, row.person)
    name = row.person.name
    row.delete()
    return ctx.done(_("%(name)s works on these days.") % {"name": name})


BLOCKED = {
    **edit_spec("blocked"), "name": text(), "weekday": optional(WEEKDAY), "date": optional(date), "starts": clock,
    "ends": clock, "people": optional(ids, []), "stations": optional(ids, []), "kilns": optional(ids, []),
}  # fmt: skip


@command("blocked_save", BLOCKED, roles=OWNERS)
def blocked_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """Teaching, office, a fair: time taken from people, stations or kilns, weekly or on one date."""
    if (data["weekday"] is None) == (data["date"] is None):
        raise Refused(_("Choose a weekday or one date."), errors={"date": _("One of the two, please.")})
    if data["ends"] <= data["starts"]:
        raise Refused(_("It has to end after it starts."), errors={"ends": _("A later time, please.")})
    links = {
        "people": ctx.find_all(Person, data["people"], name="people"),
        "stations": ctx.find_all(Station, data["stations"], name="stations"),
        "kilns": ctx.find_all(Kiln, data["kilns"], name="kilns"),
    }
    if not any(links.values()):
        raise Refused(_("Say who or what is taken."), errors={"people": _("Choose at least one.")})
    values = {k: data[k] for k in ("name", "weekday", "date", "starts", "ends")}
    row = save(ctx, BlockedTime, "blocked", data, values)
    for name, found in links.items():
        getattr(row, name).set(found)
    return ctx.done(_("%(name)s is saved.") % {"name": row.name}, blocked=row.public_id)


@command("me_save", {"name": text(), "version": VERSION})
def me_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """One's own name on the plan."""
    if ctx.person is None:
        raise Refused(_("Your login is not tied to a person of this studio. Please ask an owner."))
    ctx.edit(ctx.person, data["version"], {"name": data["name"]})
    return ctx.done(_("Saved."))


retiring("person_retire", "person", Person)
retiring("blocked_retire", "blocked", BlockedTime)
