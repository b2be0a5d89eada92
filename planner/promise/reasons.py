"""Why the promised date is not earlier, and why there is none: codes with things, minutes and counts."""

from __future__ import annotations

from collections.abc import Iterator

from planner.facts import Facts
from planner.plan import Plan, Reason
from planner.relief.chains import chain_of, unavoidable
from planner.relief.words import DAY, length, minutes_by_cause
from planner.scenario import Form, Glaze, Order, Scenario


def why_not_earlier(scenario: Scenario, order: Order, plan: Plan) -> tuple[Reason, ...]:
    """What the order's last pieces wait for in ``plan``, the longest first, and last the time that nothing shortens.

    Codes ``moulds``, ``boards``, ``kiln``, ``load``, ``hands``, ``closed`` and ``way``.
    """
    facts = Facts(scenario, plan)
    chain = chain_of(facts, order)
    form = scenario.form[order.form]
    things = {"form": form.id}
    found = []
    for code, words, minutes in minutes_by_cause(facts, order):
        if minutes < 60:
            continue
        more = {k: v for x in chain if x.code == code for k, v in x.things.items() if k in ("kiln", "rack")}
        loads = len({x.things["firing"] for x in chain if x.code == code and "firing" in x.things})
        counts = {"moulds": sum(m.form == form.id for m in scenario.moulds)} if code == "moulds" else {}
        counts |= {"loads": loads} if loads else {}
        text = f"The last pieces wait {length(minutes)} {words}."
        found.append(Reason(code, things | more, {"waited": minutes}, counts, text))
    way = unavoidable(chain)
    by_code: dict[str, int] = {}
    for link in chain:
        by_code[link.code] = by_code.get(link.code, 0) + link.minutes
    shown = {k: by_code[k] for k in ("work", "setting", "leather", "drying", "firing", "glaze_drying") if k in by_code}
    text = f"Work, setting, drying and firing take {length(way)} of the {length(chain[-1].end if chain else 0)}."
    return (*found, Reason("way", things, {"way": way} | shown, {}, text))


def impossible(s: Scenario, order: Order) -> tuple[Reason, ...]:
    """Proofs that no plan however long can make the order from clay, nor from what there is."""
    if _there(s, order) >= order.qty:
        return ()
    worn = worn_out(s, order, owed=0)
    return (*worn, *_missing(s, s.form[order.form], s.glaze[order.glaze]))


def _there(s: Scenario, order: Order) -> int:
    """Pieces of the form under way."""
    return sum(w.count for w in s.wip if w.form == order.form)


def worn_out(s: Scenario, order: Order, owed: int) -> tuple[Reason, ...]:
    """The moulds do not last for the order and the ``owed`` pieces of the form beside it."""
    form, there = s.form[order.form], _there(s, order)
    uses = sum(m.uses_left for m in s.moulds if m.form == form.id) + sum(c.uses for c in s.casts if c.form == form.id)
    if uses + there >= order.qty + owed:
        return ()
    text = f"The {form.name or form.id} moulds can be pressed {uses} more times and {there} pieces are under way; "
    text += f"{order.qty} are asked for" + (f" and {owed} owed already." if owed else ".")
    counts = {"uses": uses, "under_way": there, "asked": order.qty} | ({"owed": owed} if owed else {})
    return (Reason("mould_uses", {"form": form.id}, {}, counts, text),)


def _missing(s: Scenario, form: Form, glaze: Glaze) -> Iterator[Reason]:
    name, things = form.name or form.id, {"form": form.id}
    if not any(p.stage == "bisque" for k in s.kilns if k.id in form.bisque.per_shelf for p in k.programs):
        yield Reason("no_bisque_kiln", things, {}, {}, f"No kiln that bisque fires takes a {name}.")
    wanted = set(glaze.programs)
    if not any(p.id in wanted for k in s.kilns if k.id in form.glost.per_shelf for p in k.programs):
        text = f"No kiln that takes a {name} has a glost firing for the glaze {glaze.name or glaze.id}."
        yield Reason("no_glost_kiln", things | {"glaze": glaze.id}, {}, {}, text)
    kinds = ["press", "release", *(x.kind for x in form.steps), "load", "unload", "glaze", "finish"]
    for kind in kinds:
        if not any(p.can(kind) and p.hours + p.extra for p in s.people):
            yield Reason("nobody_with_skill", things | {"kind": kind}, {}, {}, f"Nobody is there who does {kind}.")


def not_within(s: Scenario, order: Order, days: int) -> tuple[Reason, ...]:
    """No date was found in the days looked at, and what is known of why."""
    name = s.form[order.form].name or order.form
    text = f"{order.qty} of {name}: no date found within {days} days that makes no present order later."
    counts = {"asked": order.qty, "days": days}
    reason = Reason("not_within", {"form": order.form}, {"looked": days * DAY}, counts, text)
    owed = sum(o.qty for o in s.orders if o.form == order.form)
    return (reason, *worn_out(s, order, owed))
