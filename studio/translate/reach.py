"""How many days a plan has to look ahead so that what is ordered can be finished in it."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from math import ceil

from studio.models import FormTimings, OrderLine
from studio.record.state import State
from studio.translate.rows import Rows
from studio.translate.shelf import shares_of
from studio.translate.tuning import AFTER_DUE_DAYS, DAY, LEAST_DAYS, MOST_DAYS, TO_FINISH

WEEK = 7
WORKING = 5  # days a week: on each of them a mould is pressed about once
SLACK = 1.5  # people have other work too, and kilns wait until they are full; common practice, no source


def days_ahead(rows: Rows, state: State, today: dt.date) -> int:
    """Whole days: past the last due day, and long enough for all that is missing, however late it is already.

    What is missing takes the way of one piece from ball to box (``TO_FINISH.none``) and the queue before it: the hands
    it needs against the hours there are, or the pressings it needs of the fewest moulds, whichever is longer.
    Never less than ``LEAST_DAYS``, never more than ``MOST_DAYS``: a small computer has to plan them.
    """
    shares = shares_of(state, rows.lines).lines
    missing = {x: n for x in rows.lines if (n := shares[x.public_id].missing + shares[x.public_id].stock) > 0}
    if not missing:
        return LEAST_DAYS
    due = (max(x.order.due for x in missing) - today).days + 1
    queue = max(_hands(missing, rows), _moulds(missing, rows, state))
    chain = TO_FINISH.none // DAY + ceil(SLACK * queue)
    return min(max(due + AFTER_DUE_DAYS, chain + AFTER_DUE_DAYS, LEAST_DAYS), MOST_DAYS)


def _hands(missing: dict[OrderLine, int], rows: Rows) -> float:
    """Days for the work on the missing pieces, with all the ordinary hours that people have."""
    seconds = sum(n * _seconds(t[-1]) for x, n in missing.items() if (t := rows.timings.get(x.form.public_id)))
    there = {p.pk for p in rows.people}
    week = sum(_length(h.starts, h.ends) for h in rows.hours if h.person_id in there and not h.evening)
    return WEEK * seconds / 60 / week if week else 0.0


def _seconds(t: FormTimings) -> int:
    """Hands for one piece, from the ball to the box."""
    return t.press_s + t.release_s + t.glaze_s + t.finish_s + sum(s["each_s"] for s in t.steps)


def _length(starts: dt.time, ends: dt.time) -> int:
    return (ends.hour - starts.hour) * 60 + ends.minute - starts.minute


def _moulds(missing: dict[OrderLine, int], rows: Rows, state: State) -> float:
    """Days until the form with the fewest moulds for its pieces has been pressed often enough."""
    wanted: Counter[str] = Counter()
    for line, n in missing.items():
        wanted[line.form.public_id] += n
    gone = {m.id for m in state.moulds.values() if m.gone is not None}
    there = Counter(m.form.public_id for m in rows.moulds if m.retired_at is None and m.public_id not in gone)
    pressings = max((ceil(n / there[form]) for form, n in wanted.items() if there[form]), default=0)
    return pressings * WEEK / WORKING
