"""R07 and R08: firings, and whether a load fits its kiln."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from fractions import Fraction
from math import ceil
from typing import NamedTuple

from planner.checks.violation import Violation
from planner.facts import NOW, Facts, Kilnful
from planner.rules import Rule
from planner.scenario import Form, Kiln


def _broken(text: str, kilnful: Kilnful, **things: str) -> Violation:
    return Violation(Rule.R07, f"{kilnful.firing.id}: {text}", {"firing": kilnful.firing.id} | things)


def firing(facts: Facts) -> Iterator[Violation]:
    """R07: one load at a time, lit when it may be, the right ware, opened cool; present loads are drawn."""
    for kilnful in facts.kilnfuls:
        if kilnful.present:
            yield from _present(facts, kilnful)
        else:
            yield from _names(kilnful)
            yield from _times(kilnful)
            yield from _ware(facts, kilnful)
    yield from _present_drawn(facts)
    yield from _one_load(facts)


def _present(facts: Facts, kilnful: Kilnful) -> Iterator[Violation]:
    given = kilnful.firing
    if given.program is not None or given.load is not None or given.fire is not None or given.pieces:
        yield _broken("is in the kiln already; it takes no program, load, fire or pieces", kilnful)
    early = facts.opens(given.kiln) - kilnful.unload.start if kilnful.unload else 0
    if early > 0:
        yield _broken(f"opened {early} min too early", kilnful)


def left_out(facts: Facts, kiln: Kiln) -> bool:
    """Whether the load now in the kiln cannot be drawn within the plan's time."""
    return facts.opens(kiln.id) + kiln.unload > facts.scenario.horizon


def _present_drawn(facts: Facts) -> Iterator[Violation]:
    listed = Counter(k.firing.kiln for k in facts.kilnfuls if k.present)
    for kiln_id in facts.present:
        kiln = facts.scenario.kiln.get(kiln_id)
        if kiln is None:
            continue
        things = {"firing": NOW + kiln_id, "kiln": kiln_id}
        if left_out(facts, kiln):
            if listed[kiln_id]:
                text = f"{NOW}{kiln_id}: opens too late to be drawn within the plan's time"
                yield Violation(Rule.R07, text, things)
        elif listed[kiln_id] != 1:
            text = f"{NOW}{kiln_id}: the load now in kiln {kiln_id} is drawn {listed[kiln_id]} times"
            yield Violation(Rule.R07, text, things)


def _names(kilnful: Kilnful) -> Iterator[Violation]:
    given = kilnful.firing
    if given.id.startswith(NOW):
        yield _broken("is no load now in a kiln", kilnful)
    if kilnful.kiln is None:
        yield _broken(f"there is no kiln {given.kiln}", kilnful, kiln=given.kiln)
    elif kilnful.program is None:
        yield _broken(f"kiln {given.kiln} has no program {given.program}", kilnful, kiln=given.kiln)
    if given.load is None:
        yield _broken("has no load task", kilnful)
    if given.fire is None:
        yield _broken("has no minute to be lit", kilnful)


def _times(kilnful: Kilnful) -> Iterator[Violation]:
    kiln, program, fire = kilnful.kiln, kilnful.program, kilnful.firing.fire
    if kiln is None:
        return
    if fire is not None:
        if kilnful.load is not None and fire < kilnful.load.end:
            yield _broken(f"lit {kilnful.load.end - fire} min before it is loaded", kilnful)
        if kiln.start_spans is not None and not any(a <= fire < b for a, b in kiln.start_spans):
            yield _broken(f"may not be lit at {fire}", kilnful, kiln=kiln.id)
        if program is not None and kilnful.unload is not None:
            early = fire + program.fire + program.cool - kilnful.unload.start
            if early > 0:
                yield _broken(f"opened {early} min too early", kilnful)
    if kilnful.load is None:
        return
    if kiln.free_at is not None and kilnful.load.start < kiln.free_at:
        early = kiln.free_at - kilnful.load.start
        yield _broken(f"loaded {early} min before kiln {kiln.id} is free", kilnful, kiln=kiln.id)
    if kilnful.unload is not None:
        for a, b in kiln.closed:
            if kilnful.load.start < b and a < kilnful.unload.end:
                yield _broken(f"stands in kiln {kiln.id} while it is closed {a}-{b}", kilnful, kiln=kiln.id)


def _ware(facts: Facts, kilnful: Kilnful) -> Iterator[Violation]:
    program = kilnful.program
    if program is None:
        return
    for source in dict.fromkeys(p.source for p in kilnful.pieces):
        if program.stage == "bisque":
            if source not in facts.green:
                yield _broken(f"{source} is no green ware", kilnful, source=source)
            continue
        glazed = facts.glazed.get(source)
        if glazed is None:
            yield _broken(f"{source} is no glazed ware", kilnful, source=source)
            continue
        glaze = facts.scenario.glaze.get(glazed.glaze)
        if glaze is not None and program.id not in glaze.programs:
            yield _broken(f"{glaze.id} may not be fired with {program.id}", kilnful, source=source, glaze=glaze.id)


class Stay(NamedTuple):
    """From load start to unload end; ``end`` is ``None`` for a load that is never drawn."""

    start: int
    end: int | None
    firing: str


def stays(facts: Facts) -> dict[str, list[Stay]]:
    """What is in each kiln from when to when, in order."""
    found: dict[str, list[Stay]] = defaultdict(list)
    for kiln_id in facts.present:
        drawn = [k.out for k in facts.kilnfuls if k.present and k.firing.kiln == kiln_id and k.out is not None]
        found[kiln_id].append(Stay(min([0, *drawn]), drawn[0] if drawn else None, NOW + kiln_id))
    for k in facts.kilnfuls:
        if not k.present and k.load is not None:
            found[k.firing.kiln].append(Stay(k.load.start, k.out, k.firing.id))
    for group in found.values():
        group.sort(key=lambda s: s.start)
    return found


def _one_load(facts: Facts) -> Iterator[Violation]:
    for kiln_id, group in stays(facts).items():
        last: Stay | None = None
        for stay in group:
            if last is not None and (last.end is None or stay.start < last.end):
                text = f"{stay.firing}: loaded while {last.firing} is in kiln {kiln_id}"
                yield Violation(Rule.R07, text, {"firing": stay.firing, "other": last.firing, "kiln": kiln_id})
            if last is None or (last.end is not None and (stay.end is None or stay.end > last.end)):
                last = stay


def kiln_load(facts: Facts) -> Iterator[Violation]:
    """R08: the load fits the shelves and props and reaches no limit that is known not to fit."""
    for kilnful in facts.kilnfuls:
        if kilnful.present or kilnful.kiln is None or kilnful.stage is None:
            continue
        counts: Counter[str] = Counter()
        for part in kilnful.pieces:
            if part.form is not None and part.count > 0:
                counts[part.form] += part.count
        for text in misfits(kilnful.kiln, kilnful.stage, counts, facts.scenario.form):
            yield Violation(Rule.R08, f"{kilnful.firing.id}: {text}", {"firing": kilnful.firing.id})


def misfits(kiln: Kiln, stage: str, counts: Mapping[str, int], forms: Mapping[str, Form]) -> Iterator[str]:
    """Why a load of ``counts`` (pieces by form) does not fit the kiln at that stage; nothing if it does."""
    stranger = [f for f in counts if kiln.id not in forms[f].shelving(stage).per_shelf]
    if stranger:
        yield from (f"kiln {kiln.id} cannot take {f}" for f in stranger)
        return
    height, shelves = stack_needed(kiln, stage, counts, forms)
    if height > kiln.stack_mm or shelves > kiln.shelves:
        yield f"needs {height} mm of {kiln.stack_mm} and {shelves} shelves of {kiln.shelves}"
    for limit in kiln.limits:
        if limit.stage == stage and all(counts.get(f, 0) >= n for f, n in limit.counts.items()):
            known = ", ".join(f"{n} {f}" for f, n in limit.counts.items())
            yield f"{known} are known not to fit kiln {kiln.id}"


def stack_needed(kiln: Kiln, stage: str, counts: Mapping[str, int], forms: Mapping[str, Form]) -> tuple[int, int]:
    """Millimetres of stack and shelves that a load needs (R08).

    The tallest ware fills shelves first, and lower ware fills up what is left of a taller shelf. 12 bowls (20 a
    shelf, 100 mm), 8 beakers (16 a shelf, 75 mm) and 30 saucers (20 a shelf, 40 mm) on 20 mm shelves fill 0.6, 1.1 and
    2.6 shelves, so one shelf opens at each clearance: 120 + 95 + 60 = 275 mm and 3 shelves.
    """
    by_clearance: dict[int, Fraction] = defaultdict(Fraction)
    for form_id, n in counts.items():
        shelving = forms[form_id].shelving(stage)
        by_clearance[shelving.clearance_mm] += Fraction(n, shelving.per_shelf[kiln.id])
    height, shelves, filled = 0, 0, Fraction(0)
    for clearance in sorted(by_clearance, reverse=True):
        filled += by_clearance[clearance]
        height += (ceil(filled) - shelves) * (clearance + kiln.shelf_mm)
        shelves = ceil(filled)
    return height, shelves
