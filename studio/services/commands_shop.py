"""Commands that edit the workshop: stations, racks, programs, kilns, glazes, tools, moulds to pour, other work."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio.defaults import CAST
from studio.models import (
    Cast,
    Form,
    Glaze,
    Job,
    Kiln,
    KilnProgram,
    KilnStart,
    Person,
    Program,
    Rack,
    Stage,
    Station,
    Tool,
)
from studio.services import shelving
from studio.services.answers import Answer, Refused
from studio.services.commands import OWNERS, command
from studio.services.commands_air import NO_READING
from studio.services.context import Context, minute_of, moment_of
from studio.services.fields import (
    choice,
    clock,
    flag,
    ident,
    ids,
    instant,
    listed,
    optional,
    read_payload,
    rows,
    settle,
    text,
    whole,
    window,
    words,
)
from studio.services.saving import VERSION_READ, edit_spec, replace_children, retiring, save
from studio.services.weather import air_now, note_air
from studio.translate.allowing import SURE
from studio.translate.tuning import MORE

WEEKDAY = whole(0, 6)
MINUTES = whole(1, 14 * 1440)


@command("studio_save", {"name": text(), "time_zone": text(64), "units": choice(("metric", "us")),
                         "week": choice(("damp", "ordinary", "dry")), "enough": optional(choice(tuple(SURE))),
                         "version": VERSION_READ},
         roles=OWNERS)  # fmt: skip
def studio_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """Name, time zone, units, the week's climate and, where it is said, how sure of enough pieces it wants to be."""
    from zoneinfo import available_timezones

    if data["time_zone"] not in available_timezones():
        raise Refused(_("This time zone is not known."), errors={"time_zone": _("Choose one, such as Europe/London.")})
    version = data.pop("version")
    was = air_now(ctx)
    if data["week"] != ctx.studio.week:
        data |= NO_READING
    if data["enough"] is None:
        del data["enough"]
    ctx.edit(ctx.studio, version, data)
    note_air(ctx, was)
    return ctx.done(_("Saved."))


@command("choices_save", {"matters": optional(words, [])}, roles=OWNERS)
def choices_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """What matters more than usual in this studio's plans; those not named matter as usual."""
    unknown = [m for m in data["matters"] if m not in MORE]
    if unknown:
        raise Refused(_("This is not among what can matter more."), errors={"matters": _("Choose from the list.")})
    ctx.studio.matters = {"more": [m for m in MORE if m in data["matters"]]}
    ctx.touch(ctx.studio)
    return ctx.done(_("Kept. The next plan goes by it."))


@command("station_save", {**edit_spec("station"), "name": text(), "kinds": optional(words, [])}, roles=OWNERS)
def station_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """A machine, wheel or bench and the kinds of work done there."""
    row = save(ctx, Station, "station", data, {"name": data["name"], "kinds": data["kinds"]})
    return ctx.done(_("%(name)s is saved.") % {"name": row.name}, station=row.public_id)


@command("rack_save", {**edit_spec("rack"), "name": text(), "use": choice(Rack.Use.values), "boards": whole(0, 10_000)},
         roles=OWNERS)  # fmt: skip
def rack_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """A rack or cupboard and the ware boards it takes."""
    row = save(ctx, Rack, "rack", data, {k: data[k] for k in ("name", "use", "boards")})
    return ctx.done(_("%(name)s is saved.") % {"name": row.name}, rack=row.public_id)


@command("program_save", {**edit_spec("program"), "name": text(), "stage": choice(Stage.values)}, roles=OWNERS)
def program_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """A firing that the studio knows by name."""
    if data["program"]:
        found = ctx.find(Program, data["program"], name="program")
        if found.stage != data["stage"] and KilnProgram.objects.filter(program=found).exists():
            raise Refused(
                _("Kilns fire this already. Make a new firing for the other stage instead."),
                errors={"stage": _("Cannot be changed any more.")},
            )
    row = save(ctx, Program, "program", data, {"name": data["name"], "stage": data["stage"]})
    return ctx.done(_("%(name)s is saved.") % {"name": row.name}, program=row.public_id)


GLAZE = {**edit_spec("glaze"), "name": text(), "fixed_min": optional(whole(0, 480), 25),
         "programs": optional(ids, [])}  # fmt: skip


@command("glaze_save", GLAZE, roles=OWNERS)
def glaze_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """A glaze, the minutes it takes to get ready, and the firings it may be fired in."""
    programs = ctx.find_all(Program, data["programs"], name="programs")
    if any(p.stage != Stage.GLOST for p in programs):
        raise Refused(_("A glaze is fired in a glost."), errors={"programs": _("Choose glost firings only.")})
    row = save(ctx, Glaze, "glaze", data, {k: data[k] for k in ("name", "fixed_min")})
    row.programs.set(programs)
    return ctx.done(_("%(name)s is saved.") % {"name": row.name}, glaze=row.public_id)


TOOL = {**edit_spec("tool"), "name": text(), "setup_min": whole(0, 480), "recheck_min": whole(0, 120),
        "check_after": optional(whole(50, 100_000))}  # fmt: skip


@command("tool_save", TOOL, roles=OWNERS)
def tool_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """A profile tool, the minutes it takes to mount and to check it, and the pressings until its edge is looked at."""
    values = {k: data[k] for k in ("name", "setup_min", "recheck_min")}
    values |= {"check_after": data["check_after"]} if data["check_after"] else {}
    row = save(ctx, Tool, "tool", data, values)
    return ctx.done(_("%(name)s is saved.") % {"name": row.name}, tool=row.public_id)


KILN_PROGRAM = {"program": ident, "fire_min": MINUTES, "cool_min": whole(0, 14 * 1440), "kwh": whole(0, 10_000)}
KILN_START = {"weekday": WEEKDAY, "starts": clock, "ends": clock}
KILN = {**edit_spec("kiln"), "name": text(), "stack_mm": whole(50, 5000), "shelf_mm": whole(5, 100),
        "shelves": whole(1, 100), "load_min": whole(1, 600), "unload_min": whole(1, 600),
        "shelf_kind": shelving.shelf_kind}  # fmt: skip


@command("kiln_save", KILN, roles=OWNERS)
def kiln_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """A kiln, its shelves, what its firings take, and when it may be lit.

    ``programs`` is a list of records (or the repeated fields ``program``, ``fire_min``, ``cool_min``, ``kwh``),
    ``start_spans`` one of ``weekday``, ``starts``, ``ends``; left out, they stay as they are.
    """
    parts = _kiln_parts(ctx)
    values = {k: data[k] for k in KILN if k not in ("kiln", "version")}
    row = save(ctx, Kiln, "kiln", data, values)
    if parts["programs"] is not None:
        keeps = set(KilnProgram.objects.filter(kiln=row, keeps=True).values_list("program", flat=True))
        told = [{**p, "keeps": p["program"].pk in keeps} for p in parts["programs"]]
        replace_children(row, KilnProgram, "kiln", told)
    if parts["start_spans"] is not None:
        replace_children(row, KilnStart, "kiln", parts["start_spans"])
    shelving.count_for_kiln(ctx, row)
    return ctx.done(_("%(name)s is saved.") % {"name": row.name}, kiln=row.public_id)


def _kiln_parts(ctx: Context) -> dict[str, list[dict[str, Any]] | None]:
    p = ctx.payload
    flat = {}
    if "programs" not in p and "program" in p:
        flat["programs"] = rows(p, KILN_PROGRAM)
    if "start_spans" not in p and "weekday" in p:
        flat["start_spans"] = rows(p, KILN_START)
    spec = {"programs": optional(listed(KILN_PROGRAM, most=20)), "start_spans": optional(listed(KILN_START, most=50))}
    got = read_payload({**p, **flat}, spec)
    if p.get("start_spans") == [] or flat.get("start_spans") == []:
        got["start_spans"] = []
    for line in got["programs"] or []:
        line["program"] = ctx.find(Program, line["program"], name="programs")
    if any(s["ends"] <= s["starts"] for s in got["start_spans"] or []):
        raise Refused(_("A stretch has to end after it starts."), errors={"start_spans": _("Look at the times.")})
    if got["programs"] and len({line["program"].pk for line in got["programs"]}) < len(got["programs"]):
        raise Refused(_("Each firing once, please."), errors={"programs": _("One is there twice.")})
    return got


CAST_SPEC = {
    **edit_spec("cast"), "form": ident, "pour_min": optional(MINUTES, CAST.pour_min),
    "lift_after": optional(window, list(CAST.lift_after)), "lift_min": optional(MINUTES, CAST.lift_min),
    "dry_min": optional(whole(60, 60 * 1440), CAST.dry_min), "uses": optional(whole(1, 1000), CAST.uses),
    "holds": optional(words, []), "cost": optional(whole(0, 100_000), 3), "required": optional(flag, False),
    "count": optional(whole(1, 20), 1), "begin": optional(flag, False),
}  # fmt: skip


@command("cast_save", CAST_SPEC, roles=OWNERS)
def cast_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """A working mould that could be poured, or ``count`` of them; they share the model and frame of the form.

    ``begin`` leads to the first one's casting session.
    """
    form = ctx.find(Form, data["form"], name="form")
    values = {k: data[k] for k in ("pour_min", "lift_after", "lift_min", "dry_min", "uses", "cost", "required")}
    values |= {"form": form, "holds": data["holds"] or [f"model {form.public_id}"]}
    if data["cast"] and data["cast"] in ctx.state.casts:
        raise Refused(_("This mould is poured already; it cannot be changed any more."))
    many = [save(ctx, Cast, "cast", data, values) for _i in range(1 if data["cast"] else data["count"])]
    go = ctx.path(f"moulds/cast/{many[0].public_id}/") if data["begin"] else None
    return ctx.done(_("Saved: it can be poured now."), go=go, casts=[c.public_id for c in many])


JOB = {
    **edit_spec("job"), "name": text(), "minutes": whole(1, 1440), "person": optional(ident),
    "station": optional(ident), "weekday": optional(WEEKDAY), "starts": optional(clock), "ends": optional(clock),
    "not_before": optional(instant), "not_after": optional(instant),
}  # fmt: skip


@command("job_save", JOB)
def job_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """Other work: every week between two times of a day, or once between two moments."""
    values = _job_times(ctx, data)
    values |= {"name": data["name"], "minutes": data["minutes"], "person": None, "station": None}
    if data["person"]:
        values["person"] = ctx.find(Person, data["person"], name="person")
    if data["station"]:
        values["station"] = ctx.find(Station, data["station"], name="station")
    row = save(ctx, Job, "job", data, values)
    return ctx.done(_("%(name)s is saved.") % {"name": row.name}, job=row.public_id)


def _job_times(ctx: Context, data: dict[str, Any]) -> dict[str, Any]:
    weekly = data["weekday"] is not None
    first, last = ("starts", "ends") if weekly else ("not_before", "not_after")
    a, b = data[first], data[last]
    if a is None or b is None:
        missing = first if a is None else last
        raise Refused(
            _("Say when: a weekday with two times, or two moments."), errors={missing: _("Please fill this in.")}
        )
    if not weekly:
        a, b = settle(a, ctx.zone), settle(b, ctx.zone)
        room = minute_of(b) - minute_of(a)
        a, b = moment_of(minute_of(a)), moment_of(minute_of(b))
    else:
        room = (b.hour - a.hour) * 60 + b.minute - a.minute
    if room < data["minutes"]:
        raise Refused(
            _("The work takes longer than the time it has."), errors={last: _("Later, or fewer minutes above.")}
        )
    none = dict.fromkeys(("weekday", "starts", "ends", "not_before", "not_after"))
    return none | {first: a, last: b} | ({"weekday": data["weekday"]} if weekly else {})


for _kind, _key, _model in (
    ("station_retire", "station", Station), ("rack_retire", "rack", Rack), ("glaze_retire", "glaze", Glaze),
    ("kiln_retire", "kiln", Kiln), ("program_retire", "program", Program), ("tool_retire", "tool", Tool),
    ("cast_retire", "cast", Cast), ("job_retire", "job", Job),
):  # fmt: skip
    retiring(_kind, _key, _model)
