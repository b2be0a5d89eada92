"""Faults counted, and what they have in common: the Pareto of a studio's faults and its repeat offenders."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from planner.craft.chances import hypergeometric_tail
from planner.craft.ranges import OutOfRange, within

MOST_PIECES = 1_000_000


class Link(StrEnum):
    """What a piece went through that can be to blame."""

    FORM = "form"
    MOULD = "mould"
    TOOL = "tool setting"
    CLAY = "clay batch"
    RECIPE = "glaze"
    GLAZE = "glaze batch"
    FIRING = "firing"
    SHELF = "shelf"


@dataclass(frozen=True, slots=True)
class Bar:
    """A fault of the Pareto picture: its count, its share of all faults and the share with all bars before it."""

    fault: str
    count: int
    share: float
    running: float


def pareto(counts: Mapping[str, int]) -> list[Bar]:
    """Faults by falling count (then by name) with their running share. Those with no count are left out.

    The Pareto analysis of quality control (Juran); counts of 0 and above.
    """
    if any(n < 0 for n in counts.values()):
        raise OutOfRange("a fault was counted less than no times: give counts of 0 and above")
    whole, running, bars = sum(counts.values()), 0, []
    for fault, n in sorted(counts.items(), key=lambda item: (-item[1], item[0])):
        if n:
            running += n
            bars.append(Bar(fault, n, n / whole, running / whole))
    return bars


def vital_few(bars: Sequence[Bar], share: float = 0.8) -> list[Bar]:
    """The first bars that together make up at least ``share`` (0 to 1) of all faults."""
    within(share, 0, 1, "a share of the faults")
    before = [0.0, *(b.running for b in bars)]
    return [b for b, so_far in zip(bars, before, strict=False) if so_far < share]


def adjusted(p_values: Sequence[float]) -> list[float]:
    """Chances of a fluke corrected for having looked often, in the order given: Benjamini and Hochberg 1995.

    Calling all those up to q offenders makes a share q of false alarms among the calls, on average. Valid for tests
    that are independent or lean the same way; each value from 0 to 1.
    """
    for p in p_values:
        within(p, 0, 1, "a chance")
    order = sorted(range(len(p_values)), key=lambda i: -p_values[i])
    out, least = [0.0] * len(p_values), 1.0
    for from_end, i in enumerate(order):
        least = min(least, p_values[i] * len(p_values) / (len(p_values) - from_end))
        out[i] = least
    return out


@dataclass(frozen=True)
class Group:
    """Pieces that went the same way: their number, how many show each fault, and what they went through."""

    pieces: int
    faults: Mapping[str, int]
    links: Mapping[Link, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        within(self.pieces, 0, MOST_PIECES, "the pieces of a group", "pieces")
        for fault, n in self.faults.items():
            if not 0 <= n <= self.pieces:
                raise OutOfRange(f"{n} of {self.pieces} pieces with “{fault}”: count each piece once")


@dataclass(frozen=True, slots=True)
class Offender:
    """A link whose pieces show a fault more often than the others do, beyond what is likely a fluke.

    ``faulty`` of its ``pieces`` against ``others_faulty`` of ``others``; ``fluke``: the chance of at least so many if
    it were no worse than the rest; ``false_alarm``: the same, corrected for all the links looked at.
    """

    fault: str
    link: Link
    name: str
    faulty: int
    pieces: int
    others_faulty: int
    others: int
    fluke: float
    false_alarm: float


def offenders(groups: Iterable[Group], false_alarms: float = 0.05, least: int = 3) -> list[Offender]:
    """Repeat offenders: fault and link that go together, the surest first.

    For each fault and each link the exact one-sided hypergeometric chance (Fisher) of as many faulty pieces among the
    link's as were found, of all pieces for which that kind of link is known; then corrected by ``adjusted`` over all
    of them. Named are those at or below ``false_alarms`` (0.001 to 0.5) with at least ``least`` faulty pieces.
    Pieces are taken one by one; ware that fails together in one firing can so look surer than it is, and links that
    always went together share the blame.
    """
    within(false_alarms, 0.001, 0.5, "the share of false alarms")
    tests = list(_tests(list(groups)))
    corrected = adjusted([t.fluke for t in tests])
    found = [
        Offender(t.fault, t.link, t.name, t.faulty, t.pieces, t.others_faulty, t.others, t.fluke, q)
        for t, q in zip(tests, corrected, strict=True)
        if q <= false_alarms and t.faulty >= least
    ]
    return sorted(found, key=lambda o: (o.false_alarm, o.fluke, o.fault, o.link, o.name))


def _tests(groups: Sequence[Group]) -> Iterator[Offender]:
    """One test for each fault and each link that not all pieces share."""
    for link in Link:
        pieces: Counter[str] = Counter()
        faulty: dict[str, Counter[str]] = defaultdict(Counter)
        for g in groups:
            if link in g.links:
                pieces[g.links[link]] += g.pieces
                for fault, n in g.faults.items():
                    faulty[fault][g.links[link]] += n
        whole = sum(pieces.values())
        for fault, by_name in faulty.items():
            bad = sum(by_name.values())
            for name, n in sorted(pieces.items()):
                if 0 < n < whole and bad:
                    k = by_name[name]
                    fluke = hypergeometric_tail(k, whole, bad, n)
                    yield Offender(fault, link, name, k, n, bad - k, whole - n, fluke, fluke)
