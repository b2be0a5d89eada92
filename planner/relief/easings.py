"""Things that would ease a studio's weeks: a mould, a few boards, an hour, a morning, a load in another kiln.

Each easing is a change of the scenario. What it is worth is never guessed: the eased scenario is planned again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from planner.dispatch.calendar import Gaps
from planner.relief.words import day_of, length
from planner.scenario import Cast, Form, Kiln, Mould, Person, Scenario, Shelving, Span, Window

DAY = 1440
BOARDS = 5
# A working mould as it is poured: common practice, no source. Used where the scenario describes none of the form.
POUR, LIFT_AFTER, LIFT, DRY, USES = 45, Window(45, 240), 10, 8 * DAY, 90
EVENING, MORNING = (19 * 60, 21 * 60), (9 * 60, 13 * 60)  # minutes of the day


@dataclass(frozen=True)
class Easing:
    """``code`` with its things, counts and minutes; ``apply`` makes the eased scenario. ``cause``: what it shortens."""

    code: str
    cause: str
    things: dict[str, str]
    counts: dict[str, int]
    minutes: dict[str, int]
    text: str
    apply: Callable[[Scenario], Scenario]


def boards(rack: str, more: int = BOARDS) -> Easing:
    """``more`` ware boards on one rack."""

    def apply(s: Scenario) -> Scenario:
        return replace(s, racks=replace(s.racks, **{rack: getattr(s.racks, rack) + more}))

    text = f"{more} more boards on the {rack} rack"
    return Easing("boards", "boards", {"rack": rack}, {"boards": more}, {}, text, apply)


def owned_mould(scenario: Scenario, form: Form, more: int = 1) -> Easing:
    """``more`` moulds of ``form`` that were there already, dry now and as worn as the most worn one."""
    uses = min((m.uses_left for m in scenario.moulds if m.form == form.id and m.uses_left), default=USES)

    def apply(s: Scenario) -> Scenario:
        ids = _new_ids(s, f"{form.id}+", more)
        return replace(s, moulds=(*s.moulds, *(Mould(i, form.id, 0, uses) for i in ids)))

    name = form.name or form.id
    text = f"one more {name} mould, dry today" if more == 1 else f"{more} more {name} moulds, dry today"
    return Easing("mould", "moulds", {"form": form.id}, {"moulds": more}, {}, text, apply)


def poured_mould(scenario: Scenario, form: Form, more: int = 1) -> Easing:
    """``more`` moulds of ``form`` poured as soon as there are hands for it, and dried."""
    like = next((c for c in scenario.casts if c.form == form.id), None)

    def apply(s: Scenario) -> Scenario:
        ids = _new_ids(s, f"{form.id}+", more)
        return replace(s, casts=(*s.casts, *(_cast(i, form, like) for i in ids)))

    name = form.name or form.id
    dry = like.dry if like else DRY
    text = f"{more} more {name} mould{'s' if more > 1 else ''}, poured now and dry {length(dry)} later"
    return Easing("pour", "moulds", {"form": form.id}, {"moulds": more}, {"dry": dry}, text, apply)


def _cast(id_: str, form: Form, like: Cast | None) -> Cast:
    if like is not None:
        return replace(like, id=id_, name=None, required=True, poured=None)
    model = f"model-{form.id}"[:80]
    return Cast(id_, form.id, POUR, LIFT_AFTER, LIFT, DRY, USES, (model,), 0, True, None)


def more_hours(scenario: Scenario, person: Person, span: Span, code: str) -> Easing:
    """``person`` there over ``span`` as well, for which :func:`is_away` holds."""

    def apply(s: Scenario) -> Scenario:
        return replace(s, people=tuple(_with(p, span) if p.id == person.id else p for p in s.people))

    name, day = person.name or person.id, day_of(scenario, span.a)
    words = {"hour": "an hour more on", "evening": "the evening of", "morning": "the morning of"}[code]
    text = f"{words} {day} for {name} ({length(span.b - span.a)})"
    minutes = {"from": span.a, "until": span.b}
    return Easing(code, "hands", {"person": person.id}, {"minutes": span.b - span.a}, minutes, text, apply)


def _with(p: Person, span: Span) -> Person:
    return replace(p, hours=_spans(Gaps.joined([*p.hours, span], 1 << 40)))


def _spans(gaps: Gaps) -> tuple[Span, ...]:
    return tuple(Span(a, b) for a, b in zip(gaps.a, gaps.b, strict=True))


def other_kiln(kiln: Kiln, start: int, end: int) -> Easing:
    """Room for one load in another kiln of the same size and programs, there over ``[start, end)``."""

    def apply(s: Scenario) -> Scenario:
        id_ = _new_ids(s, f"{kiln.id}+", 1)[0]
        closed = [(a, b) for a, b in ((-1, start), (end, max(end, s.horizon) + 10 * DAY)) if a < b]
        other = replace(kiln, id=id_, name=None, free_at=0, closed=tuple(Span(a, b) for a, b in closed))
        forms = tuple(
            replace(f, bisque=_taken(f.bisque, kiln.id, id_), glost=_taken(f.glost, kiln.id, id_)) for f in s.forms
        )
        return replace(s, kilns=(*s.kilns, other), forms=forms)

    text = f"one load in another kiln like {kiln.name or kiln.id}"
    return Easing("firing", "kiln", {"kiln": kiln.id}, {"loads": 1}, {"from": start, "until": end}, text, apply)


def _taken(shelving: Shelving, kiln: str, other: str) -> Shelving:
    if kiln not in shelving.per_shelf:
        return shelving
    return replace(shelving, per_shelf={**shelving.per_shelf, other: shelving.per_shelf[kiln]})


def open_kiln(scenario: Scenario, kiln: Kiln, span: Span) -> Easing:
    """``kiln`` free for the studio over one of the spans in which it is closed."""

    def apply(s: Scenario) -> Scenario:
        kilns = (replace(k, closed=tuple(x for x in k.closed if x != span)) if k.id == kiln.id else k for k in s.kilns)
        return replace(s, kilns=tuple(kilns))

    text = f"kiln {kiln.name or kiln.id} free from {day_of(scenario, max(0, span.a))} on, when it is taken otherwise"
    return Easing("kiln_open", "kiln", {"kiln": kiln.id}, {}, {"from": span.a, "until": span.b}, text, apply)


def any_start(kiln: Kiln) -> Easing:
    """``kiln`` lit at any hour."""

    def apply(s: Scenario) -> Scenario:
        return replace(s, kilns=tuple(replace(k, start_spans=None) if k.id == kiln.id else k for k in s.kilns))

    return Easing("any_start", "kiln", {"kiln": kiln.id}, {}, {}, f"kiln {kiln.name or kiln.id} lit at any hour", apply)


def one_load(kiln: Kiln) -> int:
    """Minutes in which any program has room once, and where that can be, none twice."""
    lengths = [kiln.load + p.fire + p.cool + kiln.unload for p in kiln.programs]
    return max(2 * min(lengths) - 1, max(lengths))


def kiln_easings(s: Scenario, start: int) -> Iterator[Easing]:
    """What a studio could do about its kilns from ``start`` on. (Never: cooling shorter.)"""
    for k in s.kilns:
        if k.programs:
            yield other_kiln(k, start, start + one_load(k))
        spans = [x for x in k.closed if x.b > 0 and x.a < s.horizon]
        if spans:
            yield open_kiln(s, k, max(spans, key=lambda x: min(x.b, s.horizon) - max(x.a, 0)))
        if k.start_spans is not None:
            yield any_start(k)


def saturdays(s: Scenario) -> Iterator[Span]:
    """Saturday mornings within the horizon."""
    weekday = datetime.fromisoformat(s.start).weekday()
    for day in range((s.horizon + s.midnight_offset) // DAY + 1):
        if (weekday + day) % 7 == 5:
            span = at_day(s, day, MORNING)
            if span is not None:
                yield span


def at_day(s: Scenario, day: int, clock: tuple[int, int]) -> Span | None:
    """The minutes from one time of a local day to another, if they lie ahead and within the horizon."""
    begin = day * DAY - s.midnight_offset
    a, b = begin + clock[0], begin + clock[1]
    return Span(a, b) if a >= 0 and b <= s.horizon else None


def is_away(p: Person, span: Span) -> bool:
    """Whether the person is not there in any minute of ``span``, nor has offered to be."""
    return all(b <= span.a or span.b <= a for a, b in (*p.hours, *p.extra))


def morning_easings(s: Scenario, most: int = 1) -> Iterator[Easing]:
    """For each person the first ``most`` Saturday mornings off."""
    for p in s.people:
        off = [x for x in saturdays(s) if is_away(p, x)]
        for span in off[:most]:
            yield more_hours(s, p, span, "morning")


def evening_easing(s: Scenario, p: Person, day: int) -> Easing | None:
    """An evening of a day on which the person is there, after the day's hours."""
    span = at_day(s, day, EVENING)
    return more_hours(s, p, span, "evening") if span is not None and is_away(p, span) else None


def hour_easing(s: Scenario, p: Person, day: int) -> Easing | None:
    """An hour after the person's last one of that day."""
    begin = day * DAY - s.midnight_offset
    ends = [b for a, b in p.hours if begin <= a < begin + DAY]
    if not ends:
        return None
    span = Span(max(ends), max(ends) + 60)
    return more_hours(s, p, span, "hour") if span.a >= 0 and span.b <= s.horizon and is_away(p, span) else None


def working_days(s: Scenario, p: Person) -> list[int]:
    """Local days ahead on which the person is there."""
    return sorted({s.day(a) for a, b in p.hours if b > 0 and a < s.horizon})


def _new_ids(s: Scenario, stem: str, count: int) -> list[str]:
    used = {*s.mould, *s.cast, *s.kiln}
    stem = stem[:70]
    names = (f"{stem}{n}" for n in range(1, 10_000))
    return [name for name, _ in zip((x for x in names if x not in used), range(count), strict=False)]
