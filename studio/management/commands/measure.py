"""`manage.py measure`: what pages, record, bridge and planner cost, on a demo that is thrown away."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from studio.measuring import throwaway
from studio.measuring.asked import asked_costs
from studio.measuring.crack import CrackCost, crack_cost
from studio.measuring.machine import machine
from studio.measuring.pages import TIMES, PageCost, page_costs
from studio.measuring.units import UnitCost, unit_costs

MOST_MS, MOST_BYTES = 200, 100_000


class Command(BaseCommand):
    help = "Measure pages and parts on a demo in a throw-away folder, and print one table."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        """Where the demo lies meanwhile."""
        parser.add_argument("--data", metavar="DIR", help="A new folder that is kept (default: one that is removed).")

    def handle(self, *args: Any, **options: Any) -> None:
        """Measure in a process of its own."""
        if not throwaway.is_apart():
            named = os.environ.get("STUDIO_DATA")
            sys.exit(throwaway.run_apart(["measure"], Path(named) if named else None))
        studio, user = throwaway.demo(seconds=8)
        pages = page_costs(studio, user, self._note)
        self._note("a mould cracks")
        cracked = crack_cost(studio, user)
        self._note("a day is asked for")
        asked = list(asked_costs(studio, user))
        self._note("parts")
        units = [*asked, *unit_costs(studio, user)]
        self.stdout.write(table(pages, cracked, units))

    def _note(self, words: str) -> None:
        self.stderr.write(f"… {words}")


def table(pages: list[PageCost], cracked: CrackCost, units: list[UnitCost]) -> str:
    """All figures as one table in markdown, with a line on the machine."""
    lines = [
        f"{machine()}. Pages: {TIMES} loads each, the first with cold caches; sent: the page with its style, scripts "
        "and icon, compressed, headers included.",
        "",
        "| what | median | most | queries | sent |",
        "| --- | ---: | ---: | ---: | ---: |",
    ]
    lines += [_page_line(p) for p in pages]
    lines.append(f"| “A mould cracked” to the new plan on the page, {cracked.searched} s of search, "
                 f"{'valid' if cracked.valid else 'NOT VALID'} | {cracked.seconds:.1f} s | | | |")  # fmt: skip
    lines += [f"| {u.name} | {u.median:.0f} ms | | | |" for u in units]
    over = [p.name for p in pages if p.median > MOST_MS or p.sent > MOST_BYTES]
    verdict = ", ".join(over) or "none"
    return "\n".join([*lines, "", f"Pages over {MOST_MS} ms or {MOST_BYTES // 1000} kB: {verdict}."])


def _page_line(p: PageCost) -> str:
    return f"| {p.name} | {p.median:.0f} ms | {p.most:.0f} ms | {p.queries} | {p.sent / 1000:.0f} kB |"
