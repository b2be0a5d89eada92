"""From the command line to the environment's Python, and there to the command."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from studio.bootstrap.environment import RUN, TEST, Environment, ensure
from studio.bootstrap.errors import StartError
from studio.serve.lifeline import hold_if_asked

PROJECT = Path(__file__).resolve().parents[2]
# These work on the code alone, so they neither need nor make a data folder.
WITHOUT_DATA = {"", "check", "help", "--help", "--version", "test", "makemigrations", "makemessages", "compilemessages",
                "measure", "pictures"}  # these two make a folder of their own


def main(argv: list[str]) -> int:
    """Run one command line and return its exit code; each foreseeable failure is one sentence and code 1."""
    try:
        argv = take_data_folder(argv)
        command = argv[1] if len(argv) > 1 else ""
        if not os.environ.get("STUDIO_NO_VENV") and not _inside(Environment(PROJECT), command):
            return _continue_inside(argv)
        return _run(argv, command)
    except StartError as error:
        print(error, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130


def take_data_folder(argv: list[str]) -> list[str]:
    """Move `--data DIR` from the line into STUDIO_DATA, since the settings are read before any command is."""
    rest: list[str] = []
    words = iter(argv)
    for word in words:
        name, equals, value = word.partition("=")
        if name != "--data" or "test" in argv[1:2]:
            rest.append(word)
            continue
        folder = value if equals else next(words, "")
        if not folder:
            raise StartError("--data needs the folder's name, for example: --data ~/pottery-data")
        os.environ["STUDIO_DATA"] = str(Path(folder).expanduser().resolve())
    return rest


def _inside(environment: Environment, command: str) -> bool:
    """Make the environment when needed; True when this very interpreter is the environment's."""
    inside = Path(sys.prefix).resolve() == environment.folder.resolve()
    if inside and os.name == "nt" and not environment.ready(_purpose(command)):
        raise StartError("The packages are out of date. Start this command with the system's Python: py manage.py …")
    ensure(environment, _purpose(command))
    return inside


def _purpose(command: str) -> str:
    return TEST if command == "test" else RUN


def _continue_inside(argv: list[str]) -> int:  # noqa: RET503 (exec does not return)
    python = str(Environment(PROJECT).python)
    line = [python, str(PROJECT / "manage.py"), *argv[1:]]
    if os.name == "nt":
        # Windows has no exec that keeps the console, so this process stays as the parent.
        return subprocess.call(line)
    sys.stdout.flush()
    sys.stderr.flush()
    os.execv(python, line)


def _run(argv: list[str], command: str) -> int:
    sys.path.insert(0, str(PROJECT))
    if command == "test":
        from tests.lanes.run import main as run_tests

        return run_tests(argv[2:])
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
    try:
        from django.core.management import execute_from_command_line
    except ImportError as error:
        raise StartError(
            "STUDIO_NO_VENV is set, but the packages are missing here: pip install -r requirements.txt, "
            "or unset it and let the tool make its own environment."
        ) from error
    if command not in WITHOUT_DATA:
        from studio.datafolder import prepare

        os.umask(0o077)  # a database beside the owner's other files is nobody else's to read
        prepare(Path(os.environ.get("STUDIO_DATA") or PROJECT / "data"))
    hold_if_asked()
    execute_from_command_line(argv)
    return 0
