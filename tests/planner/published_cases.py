"""The data of the published examples; :mod:`tests.planner.published` says how they are told."""

from __future__ import annotations

from tests.planner.published import Case, finished_in_order, finishing, flow_shop, flowed, packed, packing


def _numbers(text: str) -> list[int]:
    return [int(x) for x in text.split()]


def _tardy_jobs(source: str, times: str, due: str, lines: list[list[int]], best: int) -> Case:
    p, d = _numbers(times), _numbers(due)
    s = finishing(p, d, [1] * len(p), tardy=1)
    return Case(source, s, finished_in_order(s, lines), best, 3)


def _weighted(source: str, times: str, weight: str, due: str, order: str, best: int) -> Case:
    s = finishing(_numbers(times), _numbers(due), _numbers(weight), late=1)
    return Case(source, s, finished_in_order(s, [_numbers(order)]), best, None)


def _graham(due: int, lines: list[list[int]], best: int) -> Case:
    times = [5, 5, 4, 4, 3, 3, 3]
    s = finishing(times, [due] * 7, [1] * 7, people=3, tardy=1)
    return Case(GRAHAM, s, finished_in_order(s, lines), best, 3)


def _johnson_flow(horizon: int, seconds: float | None) -> Case:
    s = flow_shop([4, 4, 30, 6, 2], [5, 1, 4, 30, 3], horizon)
    return Case(JOHNSON_1954, s, flowed(s, [4, 0, 3, 2, 1]), 0, seconds)


MOORE = "Moore and Hodgson's algorithm (1968): an exercise with ten jobs in an open mathematics corpus"
PINEDO = "Pinedo, Scheduling, chapter on single machines, five jobs (data from memory)"
WT40 = "OR-Library (Beasley), weighted tardiness, 40 jobs, file wt40, instance "
GRAHAM = "Graham, Bounds on Multiprocessing Timing Anomalies (1969), worst case of longest-first (data from memory)"
JOHNSON_1974 = "Johnson et al., Worst-Case Performance Bounds for Simple Packing Algorithms (1974) (data from memory)"
JOHNSON_1954 = "Johnson, Optimal Two- and Three-Stage Production Schedules (1954), five items (data from memory)"

CASES = {
    # In order of due dates, the longest so far thrown out whenever one would be late: jobs 7 (41) and 3 (31) go.
    "ten jobs, number late": _tardy_jobs(
        MOORE,
        "19 23 5 31 17 8 32 41 26 18",
        "48 75 170 215 205 240 85 67 100 95",
        [[0, 1, 9, 8, 2, 4, 3, 5, 6, 7]],
        2,
    ),
    "five jobs, number late": _tardy_jobs(PINEDO, "7 8 4 6 6", "9 17 18 19 21", [[0, 2, 3, 1, 4]], 2),
    # The optimum 913 is from memory, and a local search found it again; not proven here.
    "wt40, first": _weighted(
        WT40 + "1",
        "26 24 79 46 32 35 73 74 14 67 86 46 78 40 29 94 64 27 90 55 35 52 36 69 85 95 14 78 37 86 44 28 39 12 30 68 70"
        " 9 49 50",
        "1 10 9 10 10 4 3 2 10 3 7 3 1 3 10 4 7 7 4 7 5 3 5 4 9 5 2 8 10 4 7 4 9 5 7 7 5 10 1 3",
        "1588 1620 1731 1773 1694 1487 1566 1844 1727 1636 1599 1539 1855 1645 1709 1660 1582 1836 1484 1559 1772 1510"
        " 1512 1795 1522 1509 1598 1658 1826 1628 1650 1833 1627 1528 1541 1497 1481 1446 1579 1814",
        "38 5 33 37 34 22 24 36 35 19 18 21 1 11 25 9 29 16 6 10 4 20 15 14 26 27 23 0 32 8 13 30 2 3 28 17 31 39 7 12",
        913,
    ),
    # 537 is proven (an exact single-machine model).
    "wt40, third": _weighted(
        WT40 + "3",
        "1 49 35 83 75 64 20 84 31 88 27 88 21 32 12 20 26 64 6 11 54 2 21 94 44 19 45 6 61 41 45 86 98 45 66 77 76 64"
        " 31 25",
        "10 4 7 3 6 7 5 10 5 10 2 1 7 7 2 8 3 8 8 8 10 1 1 3 6 7 2 4 6 5 7 4 4 9 5 6 1 9 9 4",
        "1452 1565 1588 1319 1436 1434 1573 1427 1593 1432 1428 1549 1565 1312 1614 1362 1643 1536 1372 1490 1631 1338"
        " 1336 1487 1361 1363 1583 1652 1396 1376 1319 1369 1341 1434 1319 1296 1644 1418 1421 1338",
        "34 35 13 30 9 25 19 24 32 7 39 4 31 28 18 0 5 37 3 21 29 15 33 10 8 6 22 38 17 23 12 26 1 2 20 14 27 16 36 11",
        537,
    ),
    # Three machines, makespan 9 where longest-first gives 11: everything due at 9 can be on time.
    "three people, all due at 9": _graham(9, [[0, 2], [1, 3], [4, 5, 6]], 0),
    # 27 minutes of work and 3 × 8 of hands: one is late at least; without one of 3 minutes the rest fits 5+3, 5+3, 4+4.
    "three people, all due at 8": _graham(8, [[0, 4], [1, 5], [2, 3, 6]], 1),
    # Bin 400, ε = 4: six of 1/2+ε, six of 1/4+2ε, six of 1/4+ε, twelve of 1/4-2ε fill nine bins to the last millimetre
    # (so fewer cannot do); first-fit decreasing needs eleven.
    "nine kiln loads filled to the last millimetre": Case(
        JOHNSON_1974,
        s := packing({"half": (204, 6), "tall": (108, 6), "mean": (104, 6), "low": (92, 12)}, 400, 12),
        packed(s, [{"half": 1, "mean": 1, "low": 1}] * 6 + [{"tall": 2, "low": 2}] * 3),
        9,
        None,
    ),
    # Bins of 30: {15, 15}, {14, 8, 8}, {14, 8, 8} are full; first-fit decreasing puts the 14s together and needs four.
    "three kiln loads filled to the last millimetre": Case(
        "by volume: 90 in bins of 30",
        s := packing({"fifteen": (15, 2), "fourteen": (14, 2), "eight": (8, 4)}, 30, 6),
        packed(s, [{"fifteen": 2}, {"fourteen": 1, "eight": 2}, {"fourteen": 1, "eight": 2}]),
        3,
        None,
    ),
    # 6+4, 6+4, 5+5 in bins of 10.
    "three easy kiln loads": Case(
        "by volume: 30 in bins of 10",
        s := packing({"six": (60, 2), "four": (40, 2), "five": (50, 2)}, 100, 6),
        packed(s, [{"six": 1, "four": 1}, {"six": 1, "four": 1}, {"five": 2}]),
        3,
        3,
    ),
    # Optimal order 5 1 4 3 2, makespan 47: in 47 minutes every batch is saved. With 3 minutes to spare it is asked for.
    "flow shop of five in 47 minutes": _johnson_flow(47, None),
    "flow shop of five in 50 minutes": _johnson_flow(50, 3),
}
# One minute less and a batch has to be given up: the last in Johnson's order, of 4 + 1 minutes.
SHORT_FLOW = flow_shop([4, 4, 30, 6, 2], [5, 1, 4, 30, 3], 46)
