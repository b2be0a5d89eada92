"""The arguments of ``python -m planner bench``; nothing else, so that other commands load nothing of it."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
FOLDER, PROOFS = FIXTURES / "bench", FIXTURES / "proofs"
MOST_PIECES = 100_000
MOST_STUDIOS = 100_000
T = TypeVar("T")


def _list(text: str, one: Callable[[str], T]) -> tuple[T, ...]:
    return tuple(one(part.strip()) for part in text.split(",") if part.strip())


def _pieces(text: str) -> int:
    value = int(text)
    if not 1 <= value <= MOST_PIECES:
        raise argparse.ArgumentTypeError(f"{text} is not within 1 and {MOST_PIECES} pieces")
    return value


def _studios(text: str) -> int:
    value = int(text)
    if not 1 <= value <= MOST_STUDIOS:
        raise argparse.ArgumentTypeError(f"{text} is not within 1 and {MOST_STUDIOS} studios")
    return value


def _seasons(text: str) -> tuple[int, ...]:
    return () if text == "none" else _list(text, _pieces)


def add_arguments(
    bench: argparse.ArgumentParser, seconds: Callable[[str], float], workers: Callable[[str], int]
) -> None:
    """The arguments of the command; ``seconds`` and ``workers`` read those as the other commands do."""

    def several(text: str) -> tuple[float, ...]:
        values = tuple(sorted({x for x in _list(text, seconds) if x > 0}))
        if not values:
            raise argparse.ArgumentTypeError(f"{text} names no seconds above 0, such as 1,5,20,60")
        return values

    bench.add_argument("--seconds", type=several, help="when to look at the search (default 1,5,20,60)")
    bench.add_argument("--only", type=lambda t: _list(t, str), help="sizes or names, such as tiny,small-201")
    bench.add_argument("--quick", action="store_true", help="tiny studios, a few seconds each, no repairs")
    bench.add_argument(
        "--random", type=_studios, metavar="N", help="N random studios instead: first plans, one in ten searched"
    )
    bench.add_argument(
        "--disruptions", type=_studios, metavar="N", help="N random disruptions instead: mended, and planned afresh"
    )
    bench.add_argument("--proofs", action="store_true", help="ten tiny studios instead: what is proven in 10 s")
    bench.add_argument("--folder", type=Path, help="where SIZE-NAME.json scenarios are")
    bench.add_argument("--apart", action="store_true", help="a run of its own for each of the seconds")
    bench.add_argument("--seeds", type=lambda t: _list(t, int), default=(0,), help="search with each (default 0)")
    bench.add_argument("--workers", type=workers, default=2, help="searches side by side (default 2)")
    bench.add_argument("--repair-seconds", type=seconds, help="to mend a plan (default 2, of disruptions 10)")
    bench.add_argument("--no-repairs", action="store_true", help="measure no repairs")
    bench.add_argument("--growth", type=_seasons, help="pieces of the seasons, or none (default 50 to 5000)")
    bench.add_argument("--json", type=Path, metavar="FILE", help="write all figures there too")
