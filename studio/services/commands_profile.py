"""The command that keeps the profile of a form."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from planner.craft.ranges import OutOfRange
from planner.craft.solids import Profile
from studio.models import Form, FormProfile
from studio.queries.asking import in_words
from studio.services.answers import Answer, Refused
from studio.services.commands import OWNERS, command
from studio.services.context import Context
from studio.services.fields import choice, ident
from studio.services.points import Points, read_points

PROFILE = {"form": ident, "size": choice(FormProfile.Size.values)}


@command("profile_save", PROFILE, roles=OWNERS)
def profile_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """The outer and the inner profile of a form, from now on; the one before stays in the book.

    Points come as repeated fields or pasted columns, see :func:`studio.services.points.read_points`.
    """
    form = ctx.find(Form, data["form"], name="form")
    lines = read_points(ctx.payload)
    try:
        profile_of_points(lines["outer"], lines["inner"])
    except OutOfRange as fault:
        said = in_words(fault)
        where = "inner" if "inner" in said and "outer" not in said else "outer"
        raise Refused(said, errors={where: said}) from None
    there = FormProfile.objects.filter(form=form).order_by("valid_from", "pk").last()
    if there is not None and (there.size, there.outer, there.inner) == (data["size"], lines["outer"], lines["inner"]):
        return ctx.done(_("Nothing was changed."))
    FormProfile.objects.create(studio=ctx.studio, form=form, valid_from=ctx.now, size=data["size"], **lines)
    return ctx.done(_("The profile of %(form)s is kept.") % {"form": form.name})


def profile_of_points(outer: Points, inner: Points) -> Profile:
    """Points in hundredths of a millimetre as a profile; raises ``OutOfRange`` for what is none."""
    return Profile(*(tuple((r / 100, z / 100) for r, z in line) for line in (outer, inner)))
