"""The drying cupboard: its own air, and whose moulds dry in it."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio.models import Form
from studio.services.answers import Answer, Refused
from studio.services.commands import OWNERS, command
from studio.services.context import Context
from studio.services.fields import flag, ids, optional, whole
from studio.services.readings import degrees, in_tenths_c
from studio.services.saving import VERSION_READ
from studio.translate.air import cupboard_words, plaster_warning
from studio.translate.mould_words import change_words, readiness
from studio.translate.moulds_water import waters_of
from studio.units import degree

CUPBOARD = {**degrees("warmth", 0, 60), "humidity_pct": optional(whole(5, 98)), "forms": optional(ids, []),
            "none": optional(flag, False), "version": VERSION_READ}  # fmt: skip


@command("cupboard_save", CUPBOARD, roles=OWNERS)
def cupboard_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """A drying cupboard at so many degrees and so humid, and the ``forms`` whose moulds dry in it; or ``none``."""
    warmth, humidity = in_tenths_c(data, "warmth"), data["humidity_pct"]
    if data["none"]:
        warmth, humidity, data["forms"] = None, None, []
    elif warmth is None or humidity is None:
        name = f"warmth_{degree()}" if warmth is None else "humidity_pct"
        raise Refused(_("How warm and how humid is it in there?"), errors={name: _("Please fill this in.")})
    chosen = {f.pk for f in ctx.find_all(Form, data["forms"], name="forms")}
    before = readiness(waters_of(ctx.studio, ctx.state), ctx.minute)
    ctx.edit(ctx.studio, data["version"], {"cupboard_tenths_c": warmth, "cupboard_humidity_pct": humidity})
    for form in Form.objects.filter(studio=ctx.studio):
        if form.in_cupboard != (form.pk in chosen):
            form.in_cupboard = form.pk in chosen
            ctx.touch(form)
    after = readiness(waters_of(ctx.studio, ctx.state), ctx.minute)
    said = [cupboard_words(ctx.studio), plaster_warning(ctx.studio), change_words(before, after, ctx.minute)]
    return ctx.done(" ".join(s for s in said if s))
