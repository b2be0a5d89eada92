"""Commands about the setting of a form and the edge of a tool."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio import units
from studio.models import Form, Tool
from studio.services.answers import Answer, Refused
from studio.services.commands import OWNERS, command
from studio.services.commands_trial import tenths
from studio.services.context import Context
from studio.services.fields import choice, ident, optional, text, whole
from studio.services.settings import keep_setting

KEEP = {"form": ident, "ball_g": whole(10, 20_000), "stop": optional(text(40), ""), "tool": optional(ident)}


@command("setting_keep", KEEP, roles=OWNERS)
def setting_keep(ctx: Context, data: dict[str, Any]) -> Answer:
    """Press the form with this ball, stop and tool from now on (the tool that it has, where none is named)."""
    form = ctx.find(Form, data["form"], name="form")
    was = (form.tool.public_id, form.ball_g)
    tool = ctx.find(Tool, data["tool"], name="tool") if data["tool"] else form.tool
    there = ctx.state.settings.get(form.public_id)
    new = (tool.public_id, data["ball_g"], data["stop"])
    if there is not None and new == (there.tool, there.ball_g, there.stop) and was == new[:2]:
        raise Refused(_("This is the setting already."))
    ctx.edit(form, form.version, {"tool": tool, "ball_g": data["ball_g"]})
    keep_setting(ctx, form, was, data["stop"])
    said = {"form": form.name, "ball": units.weight(data["ball_g"]), "tool": tool.name}
    return ctx.done(_("%(form)s is pressed with %(tool)s and balls of %(ball)s from now on.") % said)


CHECKED = {
    "tool": ident, "what": choice(("checked", "reground")), "wall": optional(tenths(1)),
    "wall_inch": optional(tenths(units.MM_PER_INCH)),
}  # fmt: skip


@command("tool_checked", CHECKED)
def tool_checked(ctx: Context, data: dict[str, Any]) -> Answer:
    """The edge of a tool was looked at, or given its profile anew; with the wall that it leaves now, if measured."""
    tool = ctx.find(Tool, data["tool"], name="tool")
    forms = Form.objects.filter(studio=ctx.studio, tool=tool).order_by("pk").values_list("public_id", flat=True)
    section = data["wall"] if data["wall"] is not None else data["wall_inch"]
    fact = {"tool": tool.public_id, "what": data["what"], "forms": list(forms), "section": section}
    ctx.fact("tool_checked", fact)
    said = _("%(tool)s is reground: its pressings are counted from here.") if data["what"] == "reground" else _(
        "%(tool)s is checked: its pressings are counted from here.")  # fmt: skip
    return ctx.done(said % {"tool": tool.name})
