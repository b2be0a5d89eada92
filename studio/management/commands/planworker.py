"""`manage.py planworker`: makes the plans that are asked for, until it is stopped."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from studio.serve.signals import stop_on_signals


class Command(BaseCommand):
    help = "Make the plans that are asked for, until stopped. Several may run beside each other."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        """How often to look for work."""
        parser.add_argument("--once", action="store_true", help="Do what waits, then end.")
        parser.add_argument("--poll", type=float, default=0.3, help="Seconds between looks for work.")

    def handle(self, *args: Any, **options: Any) -> None:
        """Work; on SIGINT and SIGTERM keep the best plan so far and end."""
        # Here, so that no web process loads the planner's search.
        from studio.worker import Worker

        stop = stop_on_signals()
        worker = Worker(stop, self._say)
        if options["once"]:
            while not stop.is_set() and worker.once():
                pass
            return
        worker.loop(max(0.05, options["poll"]))

    def _say(self, sentence: str) -> None:
        if self.verbosity:
            self.stdout.write(f"planner: {sentence}")
            self.stdout.flush()

    @property
    def verbosity(self) -> int:
        return getattr(self, "_verbosity", 1)

    def execute(self, *args: Any, **options: Any) -> str | None:
        """As ever, with the verbosity noted."""
        self._verbosity = options.get("verbosity", 1)
        return super().execute(*args, **options)
