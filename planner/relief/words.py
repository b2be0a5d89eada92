"""Lengths of time, days and chains in plain English."""

from __future__ import annotations

from datetime import datetime, timedelta

from planner.facts import Facts
from planner.relief.chains import Link, chain_of, unavoidable, waits_of
from planner.scenario import Order, Scenario

DAY = 1440
MOST_CAUSES = 3


def length(minutes: int) -> str:
    """``minutes`` in words, rounded to what matters: 40 min, 5 h, 3 days."""
    if minutes < 90:
        return f"{minutes} min"
    if minutes < 2160:
        return f"{round(minutes / 60)} h"
    days = round(minutes / DAY * 2) / 2
    return f"{days:g} days"


def day_of(scenario: Scenario, minute: int) -> str:
    """The local day of ``minute``: Tuesday 1 December."""
    at = datetime.fromisoformat(scenario.start) + timedelta(minutes=minute)
    return f"{at:%A} {at.day} {at:%B}"


def pieces(n: int) -> str:
    return "1 piece" if n == 1 else f"{n} pieces"


def minutes_by_cause(facts: Facts, order: Order) -> list[tuple[str, str, int]]:
    """``(code, words, minutes)`` of what the last pieces of ``order`` waited for, the longest first.

    Nights and weekends are told apart from waits in working hours: code ``closed``.
    """
    chain = chain_of(facts, order)
    return [(code, _cause(facts, order, chain, code), n) for code, n in waits_of(chain).items()]


def chain_text(facts: Facts, order: Order) -> str:
    """What held up the last pieces of ``order``, in one or two sentences; empty if none is finished."""
    chain = chain_of(facts, order)
    if not chain:
        return ""
    causes = [c for c in minutes_by_cause(facts, order) if c[0] != "closed" and c[2] >= 60][:MOST_CAUSES]
    closed = sum(n for code, n in waits_of(chain).items() if code == "closed")
    plain = unavoidable(chain)
    end = chain[-1].end
    rest = f"{length(plain)} of the {length(end)} until then are work, setting, drying and firing"
    rest += f", {length(closed)} nights and days off." if closed >= 60 else "."
    if not causes:
        return f"Nothing held up its last pieces: {rest}"
    waits = "; ".join(f"{length(n)} {words}" for _, words, n in causes)
    return f"Its last pieces wait {waits}. {rest[0].upper()}{rest[1:]}"


def _cause(facts: Facts, order: Order, chain: tuple[Link, ...], code: str) -> str:
    links = [x for x in chain if x.code == code]
    form = facts.scenario.form[order.form]
    longest = max(links, key=lambda x: x.minutes)
    if code == "moulds":
        owned = sum(m.form == form.id for m in facts.scenario.moulds)
        return f"for {form.name or form.id} moulds to be dry ({owned} in all)"
    if code == "boards":
        return f"for room on the {longest.things['rack']} rack"
    if code in ("kiln", "load"):
        kiln = facts.scenario.kiln[longest.things["kiln"]]
        name = kiln.name or kiln.id
        if code == "kiln":
            n = len({x.things["firing"] for x in links})
            return f"for kiln {name}, which holds {n} other load{'s' if n > 1 else ''} first"
        return f"for kiln {name} to be packed or lit"
    kinds = list(dict.fromkeys(x.kind for x in sorted(links, key=lambda x: -x.minutes)))
    return ("for hands to " if code == "hands" else "until somebody is there to ") + _listed(kinds[:2])


def _listed(kinds: list[str]) -> str:
    said = {"release": "take out", "load": "pack the kiln", "unload": "draw the kiln", "finish": "sort and pack"}
    return " and ".join(said.get(k, k) for k in kinds)
