"""The demo's last days as they were recorded.

What is pressed in the morning comes out the same afternoon, is wrapped, and gets its leather-hard work on the next
working day: so the story holds over any weekend. Filled moulds stay overnight only between two working days.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from math import exp

from studio.demo import new_form, tables
from studio.demo.hands import Hands

Event = tuple[int, str, Callable[[], object]]  # working day, wall time, what happened
STEPS = {"Bowl 15": ["turn"], "Serving bowl": ["turn"], "Mug": ["fettle", "join"]}


@dataclass(frozen=True)
class Pressing:
    """``name`` of the batch, its form and count, and how many were lost at the work after it."""

    name: str
    form: str
    count: int
    lost: int = 0


# By working day: what was pressed before ten and before half past eleven.
PRESSED: dict[int, tuple[Pressing, ...]] = {
    -8: (Pressing("mugs 1", "Mug", 24, lost=1), Pressing("egg cups 1", "Egg cup", 20)),
    -7: (Pressing("side plates 1", "Side plate", 16, lost=1), Pressing("beakers 1", "Beaker", 24, lost=1)),
    -6: (Pressing("bowls 1", "Bowl 15", 20), Pressing("dinner plates 1", "Dinner plate", 12)),
    -5: (Pressing("mugs 2", "Mug", 24, lost=2), Pressing("soup plates 1", "Soup plate", 12)),
    -4: (Pressing("bowls 2", "Bowl 15", 18, lost=1),),
    -3: (Pressing("dinner plates 2", "Dinner plate", 12, lost=1), Pressing("mugs 3", "Mug", 20)),
    -2: (Pressing("side plates 2", "Side plate", 14), Pressing("egg cups 2", "Egg cup", 20)),
    -1: (Pressing("bowls 3", "Bowl 15", 10),),
}
PRESS_ENDS = ("09:45", "11:40")
OUT_AT = ("15:10", "15:35")  # between 4 and 8 h after: inside the window of every form
WORK_AT = ("09:20", "11:50")  # of the next working day


def tell(hands: Hands) -> None:
    """Record it all, in the order in which it happened, up to now."""
    events: list[Event] = [(-9, "10:00", lambda: _begin(hands))]
    for day, pressings in PRESSED.items():
        for i, pressing in enumerate(pressings):
            events.append((day, PRESS_ENDS[i], partial(_press, hands, pressing)))
            events.append((day, OUT_AT[i], partial(_take_out, hands, pressing)))
            events.append((day + 1, WORK_AT[i], partial(_work, hands, pressing)))
    events += _kiln_events(hands) + _last_hours(hands) + _glaze_events(hands) + _clay_events(hands)
    events += new_form.events(hands)
    events.sort(key=lambda e: (e[0], e[1]))
    for day, clock, happen in events:
        if hands.at(day, clock):
            happen()


def _begin(hands: Hands) -> None:
    """What stood there when the book was begun."""
    for form, count, stage in (("Bowl 15", 24, "bisqued"), ("Dinner plate", 23, "bisqued")):
        hands.batches[form] = hands.do("opening_ware", form=hands.ids[form], count=count, stage=stage)["ware"]
    stock = {"form": hands.ids["Beaker"], "glaze": hands.ids["Oat"], "count": 6, "stage": "fired"}
    hands.do("opening_ware", **stock)


def _press(hands: Hands, p: Pressing, *, covered: bool = False) -> None:
    pressed = {"form": hands.ids[p.form], "count": p.count, "station": hands.ids["jolley"], "covered": covered}
    answer = hands.do_second("pressed", **pressed)
    hands.batches[p.name] = answer["batch"]


def _take_out(hands: Hands, p: Pressing) -> None:
    hands.do_second("taken_out", batch=hands.batches[p.name], wrapped=True)


def _work(hands: Hands, p: Pressing) -> None:
    """All leather-hard work of a batch, one piece after the other; what fails is lost at the first."""
    lost = p.lost
    for step in STEPS.get(p.form, ["fettle"]):
        said = {"count": p.count - lost, "rest": "lost", "why": "rim crack"} if lost else {}
        hands.do("step_done", batch=hands.batches[p.name], step=step, **said)
        lost = 0


def _pack(hands: Hands, kiln: str, program: str, what: dict[str, str]) -> None:
    """Pack what there is of these batches."""
    from studio.queries.state import state_of

    there = state_of(hands.studio).ware
    pieces = [{"batch": b, "count": there[b].count} for b in what.values()]
    answer = hands.do("packed", kiln=hands.ids[kiln], program=hands.ids[program], pieces=pieces)
    hands.batches[f"{kiln} {program}"] = answer["firing"]


def _lit(hands: Hands, program: str, meter: float) -> None:
    hands.do("lit", kiln=hands.ids["large"], meter_before=meter)
    hands.lit[program] = hands.clock


def _read(hands: Hands, program: str, took: int, top_c: int, cone: str) -> None:
    """Off the large kiln's controller, the morning after: when it went off, how hot it was and is, and the cone."""
    off = hands.lit[program] + dt.timedelta(minutes=took)
    hours = (hands.clock - off) / dt.timedelta(hours=1)
    hands.do("fired", kiln=hands.ids["large"], off=off.isoformat(), top_c=top_c, cone=cone,
             read_c=round(20 + (top_c - 20) * exp(-hours / 6.3)))  # fmt: skip


def _glaze(hands: Hands, name: str, form: str, glaze: str, count: int, *, nth: int = 0) -> None:
    line = hands.lines[form, glaze][nth]
    answer = hands.do("glazed", form=hands.ids[form], glaze=hands.ids[glaze], count=count, order=line)
    hands.batches[name] = answer["lot"]


def _kiln_events(hands: Hands) -> list[Event]:
    """Glost, bisque and glost again in the large kiln; the last one may still be in it."""

    def named(*names: str) -> dict[str, str]:
        return {n: hands.batches[n] for n in names}

    bisque, glost = "Bisque 1000 °C", "Glost 1240 °C"
    return [
        (-6, "14:30", lambda: _glaze(hands, "bowl lot", "Bowl 15", "Oat", 24)),
        (-5, "15:00", lambda: _pack(hands, "large", glost, named("bowl lot"))),
        (-5, "16:50", lambda: _lit(hands, glost, 41_208)),
        (-4, "12:10", lambda: _read(hands, glost, 609, 1238, "6")),
        (-3, "08:50", lambda: hands.do("drawn", kiln=hands.ids["large"], meter_after=41_316)),
        (-3, "10:20", lambda: _pack(hands, "large", bisque, named(
            "mugs 1", "egg cups 1", "side plates 1", "beakers 1", "bowls 1"))),
        (-3, "16:40", lambda: _lit(hands, bisque, 41_316)),
        (-2, "12:10", lambda: _read(hands, bisque, 588, 1002, "06")),
        (-3, "16:55", lambda: hands.do("sorted", order=hands.lines["Bowl 15", "Oat"][0], firsts=22, seconds=1, lost=1,
                                       why="crawling")),
        (-2, "13:40", lambda: hands.do("shipped", lines=[{"line": hands.lines["Bowl 15", "Oat"][0], "count": 20}])),
        (-2, "16:00", lambda: _glaze(hands, "plate lot", "Dinner plate", "Soot", 22)),
        (-1, "08:40", lambda: hands.do("drawn", kiln=hands.ids["large"], meter_after=41_380)),
        (-1, "12:20", lambda: _glaze(hands, "mug lot", "Mug", "Oat", 22)),
        (-1, "13:40", lambda: _glaze(hands, "side plate lot", "Side plate", "Tide", 15)),
        (-1, "16:30", lambda: _pack(hands, "large", glost, named("plate lot", "mug lot", "side plate lot"))),
        (-1, "16:55", lambda: _lit(hands, glost, 41_380)),
    ]  # fmt: skip


def _glaze_events(hands: Hands) -> list[Event]:
    """Buckets mixed, tiles looked at, a few pieces weighed, and what the laboratory had found before the book began."""
    ids, events = hands.ids, []
    for glaze, day, clock, litres, hundred, recipe in tables.MIXED:
        mixed = {"glaze": ids[glaze], "bucket_l": litres, "hundred": hundred, "recipe": recipe}
        events.append((day, clock, partial(hands.do, "glaze_mixed", **mixed)))
    for glaze, day, clock, seen, note, verdict in tables.TILES:
        tile = {"glaze": ids[glaze], "seen": seen, "note": note, "verdict": verdict}
        events.append((day, clock, partial(hands.do, "test_tile", **tile)))
    for form, glaze, count, bisqued, glazed in tables.ON_WARE:
        weighed = {"form": ids[form], "glaze": ids[glaze], "count": count, "bisqued_g": bisqued, "glazed_g": glazed}
        events.append((-1, "15:50", partial(hands.do, "glaze_on_ware", **weighed)))
    for glaze, back, tested, number in tables.TESTED:
        on = (hands.calendar.today - dt.timedelta(days=back)).isoformat()
        report = {"on": on, "laboratory": tables.LABORATORY, "tested": tested, "reference": number, "result": "within"}
        events.append((-9, "12:00", partial(hands.do, "food_result", glaze=ids[glaze], **report)))
    return events


def _last_hours(hands: Hands) -> list[Event]:
    """What stands in moulds now: by the hour of the day, and by what day it is."""
    overnight = Pressing("mugs 4", "Mug", 12)
    today = Pressing("side plates 3", "Side plate", 12)
    late = Pressing("bowls 4", "Bowl 15", 10)
    events: list[Event] = []
    if hands.calendar.night_before_today:
        events += [(-1, "16:20", lambda: _press(hands, overnight)), (-1, "16:58", lambda: _cover(hands, overnight)),
                   (0, "08:40", lambda: _take_out(hands, overnight)), (0, "13:30", lambda: _work(hands, overnight))]
    events += [(0, "10:10", lambda: _press(hands, today)), (0, "15:00", lambda: _take_out(hands, today))]
    if hands.calendar.night_after_today:
        events.append((0, "16:10", lambda: _press(hands, late, covered=True)))
    return events


def _clay_events(hands: Hands) -> list[Event]:
    """The reclaim is pugged with new clay; an old mould cracks."""
    return [
        (-5, "16:00", lambda: hands.do("clay_in", kg=40, reclaim_kg=9, how="pugged", water_pct=22)),
        (-2, "16:50", lambda: hands.do("mould_cracked", form=hands.ids["Bowl 15"], replan=False)),
    ]


def _cover(hands: Hands, p: Pressing) -> None:
    hands.do("wrap", batches=[hands.batches[p.name]])
