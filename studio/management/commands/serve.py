"""`manage.py serve`: the web server alone, for a machine where something else watches over it."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandParser

from studio.bootstrap.errors import StartError
from studio.bootstrap.locks import FileLock
from studio.datafolder import RUNNING_LOCK
from studio.serve import ready
from studio.serve.signals import exit_on_signals

# The server drops these headers otherwise, since anybody may send them.
BELIEVE_PROXY = {
    "trusted_proxy": "*",
    "trusted_proxy_count": 1,
    "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto"},
}


class Command(BaseCommand):
    help = "Bring the data folder up to date and serve the pages in this process until it is stopped."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        """The address and the number of threads."""
        parser.add_argument("--host", default="127.0.0.1")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--threads", type=int, default=4)
        parser.add_argument("--supervised", action="store_true", help="Set by “demo”, which holds the folder's lock.")

    def handle(self, *args: Any, **options: Any) -> None:
        """Serve; ends on SIGINT and SIGTERM."""
        import waitress

        from studio.wsgi import application

        exit_on_signals()
        lock = FileLock(settings.DATA / RUNNING_LOCK, shared=True)
        if not options["supervised"] and not lock.acquire(wait=False):
            raise StartError("This data folder is in use by “demo” or “restore” at the moment.")
        if not options["supervised"]:
            ready.bring_up_to_date(self.stdout.write)
        try:
            server = waitress.create_server(
                application,
                host=options["host"],
                port=options["port"],
                threads=options["threads"],
                ident=None,
                **(BELIEVE_PROXY if settings.BEHIND_PROXY else {}),
            )
        except OSError as error:
            raise StartError(
                f"Port {options['port']} cannot be used on {options['host']} ({error.strerror}). "
                "Choose another one with --port."
            ) from error
        server.run()
