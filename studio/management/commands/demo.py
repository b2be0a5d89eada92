"""`manage.py demo`: everything in one go, from an empty folder to pages on a phone."""

from __future__ import annotations

import os
import sys
import time
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandParser
from django.db import connections
from django.utils import timezone

from studio import network
from studio.bootstrap.errors import StartError
from studio.bootstrap.locks import FileLock
from studio.datafolder import RUNNING_LOCK
from studio.serve import demo_data, first_user, ports, ready, welcome
from studio.serve.children import Child
from studio.serve.signals import end_at_once_on_signals, stop_on_signals
from studio.serve.supervise import run_until_stopped, web_answers

NO_PHONES = "Phones cannot reach it: no network was found, or --host keeps it to this computer.\n"


class Command(BaseCommand):
    help = "Make the data folder, load a believable studio on first use, and serve it to this computer and phones."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        """Where the data lies, where the pages are served, and what is in it at first."""
        parser.add_argument("--data", metavar="DIR", help="The folder for all data (default: data, beside manage.py).")
        parser.add_argument("--host", default="0.0.0.0", help="Where to listen; 127.0.0.1 keeps phones out.")
        parser.add_argument("--port", type=int, help=f"Default: {ports.FIRST}, or the next free one.")
        parser.add_argument("--fresh", action="store_true", help="Load the demo studio anew, with dates around today.")
        parser.add_argument("--empty", action="store_true", help="No demo: your own studio, from its first login on.")
        parser.add_argument("--studio", help="With --empty: the studio's name.")
        parser.add_argument("--user", help="With --empty: the first login's name.")
        parser.add_argument("--time-zone", help="With --empty: for example Europe/London (default: this computer's).")

    def handle(self, *args: Any, **options: Any) -> None:
        """Run until stopped. Every refusal is a StartError with a sentence."""
        started = time.monotonic()
        end_at_once_on_signals()
        lock = FileLock(settings.DATA / RUNNING_LOCK)
        if not lock.acquire(wait=False):
            raise StartError(
                f"The tool is running on the data in {settings.DATA} already. Use that one, stop it first, "
                "or name another folder with --data."
            )
        port = ports.choose(options["host"], options["port"])
        self._prepare_data(options)
        login = demo_data.login()
        note = demo_data.age_note(timezone.now())
        connections.close_all()
        stop = stop_on_signals()
        web, worker = _children(options["host"], port)

        def greet() -> None:
            self._greet(options, port, login, note)
            self.stdout.write(f"Ready after {time.monotonic() - started:.0f} s. Stop it with Ctrl-C.\n")
            self.stdout.flush()

        run_until_stopped(
            web, [worker], stop, answers=lambda: web_answers(options["host"], port), greet=greet, say=self._say
        )
        self._say("Stopped. Everything recorded is kept.")

    def _prepare_data(self, options: dict[str, Any]) -> None:
        if options["fresh"] and options["empty"]:
            raise StartError("--fresh loads the demo studio anew and --empty is without it: use one of them.")
        if options["fresh"] or demo_data.broke_off():
            demo_data.set_aside(self._say)
        ready.bring_up_to_date(self._say)
        if options["empty"]:
            first_user.ensure(options["studio"], options["user"], options["time_zone"], self._say)
        else:
            demo_data.ensure(timezone.now(), self._say)

    def _greet(self, options: dict[str, Any], port: int, login: tuple[str, str] | None, note: str) -> None:
        host = options["host"]
        public = welcome.public_address(os.environ.get("STUDIO_HOSTS", ""), https=settings.HTTPS)
        phone = welcome.phone_address(host, port, network.network_address())
        if public:
            self.stdout.write(f"\nThrough the proxy in front:  {public}\n")
        else:
            self.stdout.write(f"\nOn this computer:  {welcome.local_address(host, port)}\n")
            self.stdout.write(f"On a phone in the same network:  {phone}\n" if phone else NO_PHONES)
        if public or phone:
            encoding = getattr(sys.stdout, "encoding", None) or "ascii"
            self.stdout.write(welcome.picture(public or phone or "", encoding, colour=self.stdout.isatty()))
        if login:
            self.stdout.write(f"Log in as  {login[0]}  with the password  {login[1]}\n")
        if note:
            self.stdout.write(note + "\n")

    def _say(self, sentence: str) -> None:
        self.stdout.write(sentence)
        self.stdout.flush()


def _children(host: str, port: int) -> tuple[Child, Child]:
    manage = str(settings.PROJECT / "manage.py")
    environment = {**os.environ, "STUDIO_DATA": str(settings.DATA), "PYTHONUNBUFFERED": "1"}
    # What a person names comes first, and our own look whether the server answers is never turned away.
    named = [name for name in environment.get("STUDIO_HOSTS", "").split(",") if name] or network.own_hosts()
    environment["STUDIO_HOSTS"] = ",".join([*named, *(welcome.own_host(host) or ["127.0.0.1"])])
    web = [sys.executable, manage, "serve", "--supervised", "--host", host, "--port", str(port)]
    return Child("web server", web, environment), Child(
        "planner", [sys.executable, manage, "planworker"], environment
    )
