"""More days than the scenario tells of: what is not known repeats by weekday."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from planner.dispatch.calendar import Gaps
from planner.scenario import Kiln, Person, Scenario, Span, Station

DAY = 1440


def longer(scenario: Scenario, days: int) -> Scenario:
    """``scenario`` with ``days`` more days.

    Hours, a station's closed times and a kiln's starting times on a day that is not given are those of the last given
    day with the same weekday. If nobody is there in the last given week, the week before it is repeated. With fewer
    than seven days given, a weekday not among them has the times of the last day with somebody there, and a weekend
    has none. Extra hours are not repeated (nobody has offered them), nor is a kiln's ``closed``.
    """
    pattern = _Pattern(scenario, days)
    return replace(
        scenario,
        horizon=scenario.horizon + days * DAY,
        people=tuple(pattern.person(p) for p in scenario.people),
        stations=tuple(pattern.station(s) for s in scenario.stations),
        kilns=tuple(pattern.kiln(k) for k in scenario.kilns),
    )


class _Pattern:
    """For each day to add, the given day that it repeats."""

    def __init__(self, scenario: Scenario, days: int) -> None:
        self._midnight = scenario.midnight_offset
        self._weekday = datetime.fromisoformat(scenario.start).weekday()
        self._end = scenario.horizon + days * DAY
        hours = [span for p in scenario.people for span in p.hours]
        self._known = max([scenario.horizon, *(b for _, b in hours)])
        self._busy = {(a + self._midnight) // DAY for a, _ in hours}
        whole = range(1 if self._midnight else 0, (self._known + self._midnight) // DAY) or range(1)
        idle = len(whole) > 7 and not self._busy & set(whole[-7:])
        self._given = whole[:-7] if idle else whole

    def _like(self, day: int) -> int | None:
        same = [d for d in self._given if (day - d) % 7 == 0]
        if same:
            return same[-1]
        weekend = (self._weekday + day) % 7 >= 5
        return None if weekend else max((d for d in self._given if d in self._busy), default=None)

    def _more(self, spans: tuple[Span, ...]) -> list[Span]:
        """What ``spans`` repeat in the days that are not known."""
        out = []
        for day in range((self._known + self._midnight) // DAY, (self._end + self._midnight) // DAY + 1):
            like = self._like(day)
            if like is None:
                continue
            begin, shift = like * DAY - self._midnight, (day - like) * DAY
            for a, b in spans:
                a, b = max(a, begin) + shift, min(b, begin + DAY) + shift
                a, b = max(a, self._known), min(b, self._end)
                if a < b:
                    out.append(Span(a, b))
        return out

    def person(self, p: Person) -> Person:
        hours = _joined([*p.hours, *self._more(p.hours)])
        for a, b in p.extra:
            hours.cut(a, b)
        return replace(p, hours=_spans(hours))

    def station(self, s: Station) -> Station:
        return replace(s, closed=_spans(_joined([*s.closed, *self._more(s.closed)])))

    def kiln(self, k: Kiln) -> Kiln:
        if k.start_spans is None:
            return k
        return replace(k, start_spans=_spans(_joined([*k.start_spans, *self._more(k.start_spans)])))


def _joined(spans: list[Span]) -> Gaps:
    return Gaps.joined(spans, 1 << 40)


def _spans(gaps: Gaps) -> tuple[Span, ...]:
    return tuple(Span(a, b) for a, b in zip(gaps.a, gaps.b, strict=True))
