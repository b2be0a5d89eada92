"""Ask for the first login of an empty studio, or take it from flags and the environment."""

from __future__ import annotations

import getpass
import os
import sys
from collections.abc import Callable
from pathlib import Path

from django.core.exceptions import ValidationError

from studio.bootstrap.errors import StartError
from studio.models import Studio
from studio.services.founding import found_studio

PASSWORD_VARIABLE = "STUDIO_PASSWORD"
NO_TERMINAL = (
    "An empty studio needs its first login, and there is no terminal to ask at. Give all three: "
    "--studio NAME --user NAME, and the password in the variable STUDIO_PASSWORD."
)


def ensure(studio: str | None, user: str | None, time_zone: str | None, say: Callable[[str], object]) -> None:
    """Found the studio unless the folder has one. Raises StartError with a sentence."""
    present = Studio.objects.order_by("pk").first()
    if present is not None:
        if present.is_demo:
            raise StartError(
                "This data folder holds the demo studio. Put your own into another folder: --empty --data ~/my-studio"
            )
        return
    password = os.environ.get(PASSWORD_VARIABLE)
    if not (studio and user and password) and not sys.stdin.isatty():
        raise StartError(NO_TERMINAL)
    zone = time_zone or computer_zone()
    say("Your own studio: three questions, then the pages guide you on.")
    try:
        _found(studio or _ask("The studio's name: "), zone, user or _ask("Your name to log in with: "), password)
    except EOFError as error:
        raise StartError(NO_TERMINAL) from error
    say(f"Made, with the time zone {zone} (it can be changed on the studio's page).")


def _found(studio: str, zone: str, user: str, given_password: str | None) -> None:
    while True:
        password = given_password or _ask_password()
        try:
            found_studio(name=studio, time_zone=zone, user_name=user, password=password)
        except ValidationError as error:
            said = " ".join(error.messages)
            if given_password or "password" not in said.lower():
                raise StartError(f"That did not work: {said}") from error
            print(said)
        else:
            return


def _ask(question: str) -> str:
    while True:
        answer = input(question).strip()
        if answer:
            return answer


def _ask_password() -> str:
    while True:
        password = getpass.getpass("A password of at least ten characters: ")
        if password == getpass.getpass("The same once more: "):
            return password
        print("The two differ; please type it again.")


def computer_zone() -> str:
    """This computer's time zone by its name; Europe/London when it cannot be told."""
    named = os.environ.get("TZ", "").lstrip(":")
    if "/" in named and not named.startswith("/"):
        return named
    try:
        target = Path("/etc/localtime").resolve().as_posix()
    except OSError:
        target = ""
    _before, found, zone = target.partition("/zoneinfo/")
    return zone if found and "/" in zone else "Europe/London"
