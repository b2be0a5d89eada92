"""Commands about firings: what was read off one, how a program is set, what the kiln draws and what a kWh costs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from studio import units, words
from studio.defaults import MOST_RAMPS
from studio.models import Kiln, KilnProgram, Program
from studio.queries.cards import local
from studio.queries.plans import current_plan
from studio.record.state import FiringState
from studio.services.answers import NOT_FOUND, Answer, Refused
from studio.services.commands import OWNERS, command
from studio.services.commands_record import FIRING, firing_of
from studio.services.commands_wrong import ask_again
from studio.services.context import Context, minute_of
from studio.services.fields import (
    flag,
    ident,
    instant,
    listed,
    optional,
    read_payload,
    rows,
    settle,
    text,
    whole,
)
from studio.services.readings import AFTER, METER, check_meter, degrees, in_tenths_c, tenths, told_after
from studio.services.saving import VERSION_READ
from studio.translate.firings import LEAST_TOP_C, known_of, opens_at, reckoned_minutes, segments_of

LONGEST_H = 200
EARLY = 30  # minutes that a drawing may stand in the plan before the kiln is cool, without another plan for it

READ = {
    **FIRING, "off": optional(instant), "off_now": optional(flag, False), **degrees("read", 0, 1300),
    "meter_before": METER, **AFTER,
}  # fmt: skip


@command("fired", READ)
def fired(ctx: Context, data: dict[str, Any]) -> Answer:
    """What somebody read off a firing, while it goes on or after it was drawn; all of it may be left out but one.

    ``off``: when its top and the hold there were over, or ``off_now``; ``read_c``: how hot it is now; ``top_c``: the
    hottest it got; ``cone`` with ``bend``; the meter before and after, or ``kwh``. Temperatures may come in °F.
    """
    firing = firing_of(ctx, data["firing"], data["kiln"])
    before = {"off": _off(ctx, data, firing), "read_tenths_c": in_tenths_c(data, "read"),
              "meter_before": data["meter_before"]}  # fmt: skip
    said = {k: v for k, v in before.items() if v is not None} | told_after(data)
    if not said:
        raise Refused(_("Say at least one thing that you read off it."))
    check_meter(firing, said)
    ctx.fact("fired", {"firing": firing.id, **said})
    opens = _opens(ctx, ctx.state.firings[firing.id])
    if opens is None:
        return ctx.done(_("Noted."))
    message = _("Noted. Do not open before %(when)s, and read the kiln itself.") % {"when": words.around(local(opens))}
    if not _drawn_too_early(ctx, firing, opens):
        return ctx.done(message)
    asked = ask_again(ctx, "kiln", True)
    return ctx.done(f"{message} {_('The plan draws it before that: a new one is worked on.')}", **asked)


def _off(ctx: Context, data: dict[str, Any], firing: FiringState) -> int | None:
    off = ctx.minute if data["off_now"] else minute_of(settle(data["off"], ctx.zone)) if data["off"] else None
    if off is None:
        return None
    if off > ctx.minute:
        raise Refused(_("That moment is still to come."), errors={"off": _("When it was, please.")})
    if firing.lit is not None and off <= firing.lit:
        lit = {"when": words.around(local(firing.lit))}
        raise Refused(_("It was lit %(when)s: it went off after that.") % lit, errors={"off": _("Look at the time.")})
    return off


def _opens(ctx: Context, firing: FiringState) -> int | None:
    """From when a firing that is still in and hot may be opened, by all that is known now."""
    row = KilnProgram.objects.filter(
        studio=ctx.studio, kiln__public_id=firing.kiln, program__public_id=firing.program
    ).select_related("kiln", "program").first()  # fmt: skip
    told = opens_at(firing, known_of(row, ctx.state.firings.values())) if row is not None else None
    return told[1] if firing.drawn is None and told is not None and told[1] > ctx.minute else None


def _drawn_too_early(ctx: Context, firing: FiringState, opens: int) -> bool:
    """Whether the plan in use draws it so long before ``opens`` that it is worth another plan."""
    live = current_plan(ctx.studio)
    if live is None:
        return False
    tasks = [f.unload for f in live.plan.firings if f.id in (firing.id, f"now:{firing.kiln}")]
    starts = [minute_of(live.when(live.plan.task[t].start)) for t in tasks if t not in ctx.state.done_tasks]
    return any(start < opens - EARLY for start in starts)


RAMP = {
    "rate_c": optional(tenths(1, 2000)), "rate_f": optional(tenths(1, 2000, each=units.C_PER_F)),
    **degrees("target", 0, 1400), "hold_min": optional(whole(0, 6000), 0),
}  # fmt: skip


@command("program_ramps", {"program": ident, "version": VERSION_READ}, roles=OWNERS)
def program_ramps(ctx: Context, data: dict[str, Any]) -> Answer:
    """How a firing is set: ``ramps``, a list of records or the repeated fields of them; none takes them off."""
    given = ctx.payload["ramps"] if "ramps" in ctx.payload else rows(ctx.payload, RAMP)
    ramps = read_payload({"ramps": given}, {"ramps": optional(listed(RAMP, most=MOST_RAMPS), [])})["ramps"]
    kept = [_ramp(i, line) for i, line in enumerate(ramps)]
    program = ctx.find(Program, data["program"], name="program")
    _check_ramps(kept)
    ctx.edit(program, data["version"], {"ramps": kept})
    return ctx.done(_("%(name)s is saved.") % {"name": program.name})


def _ramp(i: int, line: Mapping[str, Any]) -> dict[str, int]:
    rate = line["rate_c"] if line["rate_c"] is not None else line["rate_f"]
    found = {"rate": rate, "target": in_tenths_c(line, "target"), "hold": line["hold_min"]}
    missing = [k for k, v in found.items() if v is None]
    if missing:
        errors = {f"ramps.{i}.{k}_{units.degree()}": _("Please fill this in.") for k in missing}
        raise Refused(_("Each step needs how fast it heats, and to what."), errors=errors)
    return found


def _check_ramps(kept: list[dict[str, int]]) -> None:
    """Refuse what is no firing."""
    if not kept:
        return
    program = Program(ramps=kept)
    if max(r["target"] for r in kept) < LEAST_TOP_C * 10 or not segments_of(program):
        least = {"least": units.temperature(LEAST_TOP_C)}
        raise Refused(_("No ware is fired below %(least)s: is a step missing?") % least)
    if (reckoned_minutes(program) or 0) > LONGEST_H * 60:
        raise Refused(_("That would take more than %(n)d hours: please look at the steps.") % {"n": LONGEST_H})


PLATE = {"kiln": ident, "version": VERSION_READ, "power_kw": optional(tenths(0.5, 500)), **degrees("open", 40, 120)}


@command("kiln_plate", PLATE, roles=OWNERS)
def kiln_plate(ctx: Context, data: dict[str, Any]) -> Answer:
    """The kiln's power by its plate, and the temperature at which it may be opened."""
    kiln, opens = ctx.find(Kiln, data["kiln"], name="kiln"), in_tenths_c(data, "open")
    if opens is None:
        name = f"open_{units.degree()}"
        raise Refused(_("At what temperature may it be opened?"), errors={name: _("Please fill this in.")})
    ctx.edit(kiln, data["version"], {"power_tenths_kw": data["power_kw"], "open_tenths_c": opens})
    return ctx.done(_("%(name)s is saved.") % {"name": kiln.name})


PRICE = {"version": VERSION_READ, "price": optional(tenths(0, 1000, parts=1000)), "money": optional(text(8), "")}


@command("kwh_price", PRICE, roles=OWNERS)
def kwh_price(ctx: Context, data: dict[str, Any]) -> Answer:
    """What a kWh costs, and in which money; nothing takes it off."""
    ctx.edit(ctx.studio, data["version"], {"kwh_price_thousandths": data["price"], "money": data["money"]})
    return ctx.done(_("Saved."))


@command("firing_keeps", {"kiln": ident, "program": ident, "keeps": flag}, roles=OWNERS)
def firing_keeps(ctx: Context, data: dict[str, Any]) -> Answer:
    """Plan a firing with the figures put in for it, or, once there are enough firings on record, with what they say."""
    found = KilnProgram.objects.filter(
        studio=ctx.studio, kiln__public_id=data["kiln"], program__public_id=data["program"], kiln__retired_at=None
    ).first()  # fmt: skip
    if found is None:
        raise Refused(_("This kiln has no such firing any more. Please open the page again."), status=NOT_FOUND)
    found.keeps = data["keeps"]
    ctx.touch(found)
    if data["keeps"]:
        return ctx.done(_("From now on it is planned with the figures that you put in."))
    return ctx.done(_("From now on it is planned with what the record says."))
