"""Commands for a studio's first hour: common practice to start from, each in one tap and all of it open to change."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio import units
from studio.defaults import BOARDS, KILNS, KilnDraft
from studio.models import Kiln, KilnProgram, Person, Program, Rack, Station, WeeklyHours
from studio.services import shelving
from studio.services.answers import Answer, Refused
from studio.services.commands import OWNERS, command
from studio.services.context import Context
from studio.services.fields import choice, flag, optional, text

STATIONS = {"machine": (gettext_lazy("Jigger and jolley"), ["press"]), "wheel": (gettext_lazy("Wheel"), ["turn"])}
RACKS = {
    Rack.Use.DAMP: gettext_lazy("Damp cupboard"), Rack.Use.DRYING: gettext_lazy("Drying rack"),
    Rack.Use.GLAZED: gettext_lazy("Glazed ware"),
}  # fmt: skip
# Half days of Monday to Friday, with a break at noon.
MORNING, AFTERNOON = (dt.time(8, 0), dt.time(12, 30)), (dt.time(13, 0), dt.time(17, 0))
WEEKS = {"full": (MORNING, AFTERNOON), "mornings": (MORNING,), "afternoons": (AFTERNOON,), "none": ()}

PERSON = {"name": text(), "week": optional(choice(WEEKS), "full"), "me": optional(flag, False)}


@command("start_person", PERSON, roles=OWNERS)
def start_person(ctx: Context, data: dict[str, Any]) -> Answer:
    """A person with usual hours from Monday to Friday; ``me`` ties one's own login to it."""
    person = Person.objects.create(studio=ctx.studio, name=data["name"])
    hours = [WeeklyHours(studio=ctx.studio, person=person, weekday=day, starts=a, ends=b)
             for day in range(5) for a, b in WEEKS[data["week"]]]  # fmt: skip
    WeeklyHours.objects.bulk_create(hours)
    if data["me"]:
        ctx.member.person = person
        ctx.touch(ctx.member)
    return ctx.done(_("%(name)s is in the book, with hours that can be changed.") % {"name": person.name},
                    person=person.public_id)  # fmt: skip


@command("start_station", {"what": choice(STATIONS)}, roles=OWNERS)
def start_station(ctx: Context, data: dict[str, Any]) -> Answer:
    """The machine, or a wheel to turn feet on."""
    name, kinds = STATIONS[data["what"]]
    row = Station.objects.create(studio=ctx.studio, name=str(name), kinds=kinds)
    return ctx.done(_("%(name)s is saved.") % {"name": row.name}, station=row.public_id)


@command("start_racks", {}, roles=OWNERS)
def start_racks(ctx: Context, data: dict[str, Any]) -> Answer:
    """A damp cupboard, a drying rack and room for glazed ware, as far as there is none yet."""
    there = set(Rack.objects.filter(studio=ctx.studio, retired_at=None).values_list("use", flat=True))
    new = [Rack(studio=ctx.studio, name=str(name), use=use, boards=BOARDS[use])
           for use, name in RACKS.items() if use not in there]  # fmt: skip
    if not new:
        raise Refused(_("There is a rack of each kind already."))
    Rack.objects.bulk_create(new)
    return ctx.done(_("Usual racks are in the book; change their boards to yours."))


@command("start_kiln", {"size": choice(KILNS), "name": optional(text())}, roles=OWNERS)
def start_kiln(ctx: Context, data: dict[str, Any]) -> Answer:
    """A kiln of a usual size with its bisque and glost."""
    draft = KILNS[data["size"]]
    sizes = {k: getattr(draft, k) for k in ("stack_mm", "shelf_mm", "shelves", "load_min", "unload_min", "shelf_kind")}
    kiln = Kiln.objects.create(studio=ctx.studio, name=data["name"] or str(draft.name), **sizes)
    _programs(ctx, kiln, draft)
    shelving.count_for_kiln(ctx, kiln)
    return ctx.done(_("%(name)s is saved.") % {"name": kiln.name}, kiln=kiln.public_id)


def _programs(ctx: Context, kiln: Kiln, draft: KilnDraft) -> None:
    """Its firings, called by their tops; a firing of that name and stage that the studio knows is the same one."""
    for p in draft.programs:
        same = {"studio": ctx.studio, "name": units.said(p.name), "stage": p.stage, "retired_at": None}
        program = Program.objects.filter(**same).first() or Program.objects.create(**same)
        KilnProgram.objects.create(
            studio=ctx.studio, kiln=kiln, program=program, fire_min=p.fire_min, cool_min=p.cool_min, kwh=p.kwh
        )
