"""Load the demo: the studio as a person would set it up, then ten days of its record, all through the one door."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.db import transaction

from studio.defaults import BOARDS, KILNS
from studio.demo import tables
from studio.demo.calendar import Calendar
from studio.demo.hands import Hands
from studio.demo.story import tell
from studio.models import Member, Studio
from studio.services.commands import SECRET
from studio.services.commands_members import accept_invitation
from studio.services.founding import login_without_password, open_studio

FIRST = -9  # the working day on which the book was begun


def load_demo(*, now: dt.datetime, user: User | None = None, time_zone: str = "Europe/London") -> Studio:
    """The demo studio with its dates around ``now`` (aware), owned by ``user`` (or a login of its own, which has no
    password yet); without a plan, see :func:`studio.demo.plan_demo`.

    All of it or nothing. Takes a few seconds.
    """
    with transaction.atomic():
        calendar = Calendar(now, ZoneInfo(time_zone))
        owner = user or login_without_password(name=tables.LOGIN)
        studio = open_studio(name=tables.STUDIO, time_zone=time_zone, owner=owner, is_demo=True)
        hands = Hands(studio, owner, calendar)
        set_up(hands)
        _members(hands)
        take_orders(hands)
        tell(hands)
    studio.refresh_from_db()
    return studio


def _members(hands: Hands) -> None:
    """Who is who on the plan: the owner is tied to a person, a second login is invited and joins."""
    owner = Member.objects.get(studio=hands.studio, user=hands.owner)
    hands.do("member_save", member=owner.public_id, version=owner.version, role="owner", person=hands.ids[tables.OWNER])
    token = hands.do("invite", role="maker", person=hands.ids[tables.MAKER])[SECRET]
    hands.second = login_without_password(name=tables.SECOND_LOGIN)
    accept_invitation(token=token, user=hands.second, now=hands.clock)


def set_up(hands: Hands) -> None:
    """People, workshop, forms and moulds."""
    hands.clock = hands.calendar.at(FIRST, "08:00")
    for name, hours in tables.HOURS.items():
        skills = tables.HELPER_SKILLS if name == tables.HELPER else None
        hands.ids[name] = hands.do("person_save", name=name, skills=skills)["person"]
        lines = [dict(zip(("weekday", "starts", "ends", "evening"), h, strict=True)) for h in hours]
        hands.do("hours_save", person=hands.ids[name], version=1, hours=lines)
    hands.ids["wheel"] = hands.do("station_save", name="Wheel", kinds=["turn"])["station"]
    hands.ids["jolley"] = hands.do("station_save", name="Jigger and jolley", kinds=["press"])["station"]
    for use, name in (("damp", "Damp cupboard"), ("drying", "Drying rack"), ("glazed", "Glazed ware")):
        hands.do("rack_save", name=name, use=use, boards=BOARDS[use])
    _kilns(hands)
    for name in tables.GLAZES:
        glaze = {"name": name, "programs": [hands.ids["Glost 1240 °C"]]}
        hands.ids[name] = hands.do("glaze_save", **glaze)["glaze"]
    for name, kind, width, moulds in tables.FORMS:
        old = tables.OLD_MOULDS.get(name, (0, 0))
        form = {"name": name, "shape": kind, "fired_mm": width, "handle": kind == "mug", "moulds": moulds - old[0]}
        hands.ids[name] = hands.do("form_new", **form)["form"]
        if old[0]:
            hands.do("mould_add", form=hands.ids[name], count=old[0], uses_before=old[1])
    hands.do("cast_save", form=hands.ids["Dinner plate"], count=2, cost=60)
    _clay_and_plaster(hands)
    _weekly(hands)


def _clay_and_plaster(hands: Hands) -> None:
    """What stood there as the book was begun: clay in bags, plaster, and what a mould of each form takes."""
    hands.do("clay_in", clay_name=tables.CLAY, kg=225, how="delivered")
    day = hands.calendar.day(FIRST)
    for kg, weeks in ((25, 20), (25, 5)):
        hands.do("plaster_in", kg=kg, made=(day - dt.timedelta(weeks=weeks)).isoformat())
    for form, ml in tables.MOULD_ML.items():
        hands.do("mould_mix", form=hands.ids[form], ml=ml)


def _kilns(hands: Hands) -> None:
    for program in KILNS["large"].programs:
        saved = hands.do("program_save", name=str(program.name), stage=program.stage)
        hands.ids[str(program.name)] = saved["program"]
        hands.do("program_ramps", program=saved["program"], version=1, ramps=tables.RAMPS[program.stage])
    for key, draft in KILNS.items():
        programs = [
            {"program": hands.ids[str(p.name)], "fire_min": p.fire_min, "cool_min": p.cool_min, "kwh": p.kwh}
            for p in draft.programs
        ]
        sizes = {k: getattr(draft, k) for k in ("stack_mm", "shelf_mm", "shelves", "load_min", "unload_min")}
        kiln = hands.do("kiln_save", name=str(draft.name), shelf_kind=draft.shelf_kind, programs=programs, **sizes)
        hands.ids[key] = kiln["kiln"]
        hands.do("kiln_plate", kiln=kiln["kiln"], version=1, power_kw=tables.POWER_KW[key], open_c=100)
    hands.do("kwh_price", version=Studio.objects.get(pk=hands.studio.pk).version, price="0.27", money="£")


def _weekly(hands: Hands) -> None:
    """Other work, and the evening on which the wheel is taken."""
    for name, minutes, weekday, starts, ends, person in tables.JOBS:
        who = hands.ids[person] if person else None
        hands.do("job_save", name=name, minutes=minutes, weekday=weekday, starts=starts, ends=ends, person=who)
    class_ = {"name": "Evening class", "weekday": 2, "starts": "18:00", "ends": "21:00"}
    hands.do("blocked_save", **class_, people=[hands.ids[tables.OWNER]], stations=[hands.ids["wheel"]])


def take_orders(hands: Hands) -> None:
    """The order book; ``hands.lines`` by customer, form and glaze, the earliest first."""
    hands.clock = hands.calendar.at(FIRST, "09:00")
    for days, customer, weight, note, lines in tables.ORDERS:
        due = hands.calendar.today + dt.timedelta(days=days)
        rows = [{"form": hands.ids[f], "glaze": hands.ids[g], "qty": n} for f, g, n in lines]
        order = hands.do(
            "order_new", customer_name=customer, due=due.isoformat(), weight=weight, note=note, lines=rows
        )
        for (form, glaze, _n), line in zip(lines, order["lines"], strict=True):
            hands.lines.setdefault((form, glaze), []).append(line)
        hands.orders.append(order["order"])
