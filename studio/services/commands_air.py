"""What the air is like where moulds and ware dry: a kind of week in one tap, or what instruments show."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio.services.answers import Answer, Refused
from studio.services.commands import command
from studio.services.context import Context
from studio.services.fields import choice, optional, whole
from studio.services.weather import air_now, note_air
from studio.translate.air import air_words
from studio.translate.mould_words import change_words, readiness
from studio.translate.moulds_water import waters_of

NO_READING = {"air_tenths_c": None, "air_humidity_pct": None}


@command("week_set", {"week": choice(("damp", "ordinary", "dry"))})
def week_set(ctx: Context, data: dict[str, Any]) -> Answer:
    """Damp, ordinary or dry week, in one tap and for everybody."""
    moulds = _air_changes(ctx, NO_READING | data)
    said = _("From now on it is reckoned with this kind of week: %(week)s.") % {"week": ctx.studio.get_week_display()}
    return ctx.done(f"{said} {moulds}")


def _air_changes(ctx: Context, changes: dict[str, Any]) -> str:
    """Change the studio's air; what that does to the moulds today."""
    before = readiness(waters_of(ctx.studio, ctx.state), ctx.minute)
    was = air_now(ctx)
    for name, value in changes.items():
        setattr(ctx.studio, name, value)
    ctx.touch(ctx.studio)
    note_air(ctx, was)
    return change_words(before, readiness(waters_of(ctx.studio, ctx.state), ctx.minute), ctx.minute)


AIR = {"temperature_c": optional(whole(0, 50)), "temperature_f": optional(whole(32, 122)),
       "humidity_pct": whole(5, 98)}  # fmt: skip


@command("air_set", AIR)
def air_set(ctx: Context, data: dict[str, Any]) -> Answer:
    """What a thermometer and a hygrometer show where moulds and ware dry; it holds until the next reading."""
    celsius, fahrenheit = data["temperature_c"], data["temperature_f"]
    if (celsius is None) == (fahrenheit is None):
        raise Refused(_("How warm is it?"), errors={"temperature_c": _("Enter the temperature.")})
    tenths = celsius * 10 if celsius is not None else round((fahrenheit - 32) / 1.8 * 10)
    moulds = _air_changes(ctx, {"air_tenths_c": tenths, "air_humidity_pct": data["humidity_pct"]})
    return ctx.done(" ".join([air_words(ctx.studio), moulds, _("The next plan goes by it.")]))
