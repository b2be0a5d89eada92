"""Trial pressings of a form: ball, spare, the wall where it was cut and measured, what was changed, the verdict."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from planner.craft.ranges import OutOfRange
from planner.craft.trial import Trial
from studio import units
from studio.models import Form
from studio.queries.asking import in_words
from studio.services.answers import Answer, Refused
from studio.services.commands import command
from studio.services.context import Context
from studio.services.fields import Fault, Reader, choice, flag, ident, number, optional, text, whole

PLACES = ("foot", "wall", "rim")
LEAST_MM, MOST_MM = 0.5, 50.0


def tenths(each_mm: float) -> Reader:
    """A thickness in a unit of so many mm, with decimals, as whole tenths of a millimetre."""

    def read(value: Any) -> int:
        mm = number(value) * each_mm
        if not LEAST_MM <= mm <= MOST_MM:
            lo, hi = f"{LEAST_MM / each_mm:.3g}", f"{MOST_MM / each_mm:.3g}"
            raise Fault(_("Enter a thickness from %(lo)s to %(hi)s.") % {"lo": lo, "hi": hi})
        return round(mm * 10)

    return read


SECTIONS = tuple(f"{place}{end}" for end in ("", "_wanted") for place in PLACES)
TRIAL = {
    "form": ident, "ball_g": whole(10, 20_000), "spare_g": whole(0, 18_000), "filled": optional(flag, False),
    "stop": optional(text(40), ""), "changed": optional(text(200), ""), "verdict": choice(("again", "good")),
    **dict.fromkeys(SECTIONS, optional(tenths(1))),
    **dict.fromkeys((f"{s}_inch" for s in SECTIONS), optional(tenths(units.MM_PER_INCH))),
}  # fmt: skip


@command("trial_pressed", TRIAL)
def trial_pressed(ctx: Context, data: dict[str, Any]) -> Answer:
    """One trial pressing; thicknesses come in mm (``foot``) or inches (``foot_inch``), and may be left out."""
    form = ctx.find(Form, data["form"], name="form")
    try:
        Trial(data["ball_g"], data["spare_g"])
    except OutOfRange as fault:
        raise Refused(in_words(fault), errors={"spare_g": _("Less than the ball weighed.")}) from None
    if data["verdict"] == "good" and not data["filled"]:
        raise Refused(
            _("A pressing that did not fill the mould is not the one to keep."),
            errors={"verdict": _("Tick that it filled the mould, or try again.")},
        )
    sections = {s: data[s] if data[s] is not None else data[f"{s}_inch"] for s in SECTIONS}
    own = {k: data[k] for k in ("ball_g", "spare_g", "filled", "stop", "changed", "verdict")}
    ctx.fact("trial", {"form": form.public_id, "tool": form.tool.public_id, **own, **sections})
    said = {"form": form.name, "ball": units.weight(data["ball_g"]), "spare": units.weight(data["spare_g"])}
    return ctx.done(_("Trial pressing of %(form)s: ball %(ball)s, spare %(spare)s.") % said)
