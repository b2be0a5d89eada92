"""The project's own environment in `.venv`: made once from the hash-locked requirements, then only looked at.

The stamp is written last, so an environment without a matching stamp was never finished and is made again.
"""

from __future__ import annotations

import errno
import hashlib
import importlib.util
import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

from studio.bootstrap.errors import StartError
from studio.bootstrap.locks import FileLock
from studio.bootstrap.pip_words import explain_failure, quiet_lines

SPACE_NEEDED = 900 * 1024 * 1024  # 560 MB installed with the test tools, and the downloads beside it
RUN = "run"
TEST = "test"


@dataclass(frozen=True)
class Environment:
    """The paths of one project's environment."""

    project: Path

    @property
    def folder(self) -> Path:
        return self.project / ".venv"

    @property
    def python(self) -> Path:
        return self.folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")

    def requirements(self, purpose: str) -> Path:
        return self.project / ("requirements-dev.txt" if purpose == TEST else "requirements.txt")

    def stamp(self, purpose: str) -> Path:
        return self.folder / f"ready-to-{purpose}.json"

    def ready(self, purpose: str) -> bool:
        """True when the stamp of this purpose fits the lock file and the Python that the environment stands on."""
        try:
            kept = json.loads(self.stamp(purpose).read_text("utf-8"))
        except (OSError, ValueError):
            return False
        return bool(kept == self.signature(purpose))

    def signature(self, purpose: str) -> dict[str, str]:
        """What a stamp has to say: the lock file's hash and the real interpreter, which goes when Python goes."""
        real = self.python.resolve()
        return {
            "requirements": hashlib.sha256(self.requirements(purpose).read_bytes()).hexdigest(),
            "python": str(real) if real.exists() else "missing",
        }


def ensure(environment: Environment, purpose: str) -> None:
    """Make the environment ready for the purpose (RUN or TEST), unless it is. Raises StartError with a sentence."""
    if environment.ready(purpose):
        return
    lock = FileLock(environment.project / ".venv-lock")
    try:
        if not lock.acquire(wait=False):
            _say("Another start is setting this up at the moment; waiting for it to finish.")
            lock.acquire(wait=True)
    except OSError as error:
        raise StartError(_write_sentence(environment.project, error)) from error
    try:
        if not environment.ready(purpose):
            _make(environment, purpose)
    finally:
        lock.release()


def _make(environment: Environment, purpose: str) -> None:
    _check_modules()
    _check_space(environment.project)
    fresh = not environment.ready(RUN)
    # A stop by SIGTERM unwinds like one by Ctrl-C, so that what is half made goes then too.
    before = signal.signal(signal.SIGTERM, _break_off)
    try:
        if fresh:
            _say("Setting up for the first time: about half a minute, some 400 MB in the folder .venv.")
            _create(environment)
            _install(environment, RUN)
        if purpose == TEST:
            _say("Adding the test tools: about a quarter of a minute.")
            _install(environment, TEST)
    except BaseException as error:
        # A half-made environment is worse than none. A finished one that only lacks the test tools may stay.
        if fresh:
            shutil.rmtree(environment.folder, ignore_errors=True)
        if isinstance(error, OSError):
            raise StartError(_write_sentence(environment.project, error)) from error
        raise
    finally:
        signal.signal(signal.SIGTERM, before)


def _break_off(number: int, frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def _check_modules() -> None:
    missing = [name for name in ("venv", "ensurepip") if importlib.util.find_spec(name) is None]
    if missing:
        version = f"{sys.version_info[0]}.{sys.version_info[1]}"
        raise StartError(
            f"This Python {version} comes without its module “{missing[0]}”, which the set-up needs. "
            "On Debian or Ubuntu: sudo apt install python3-venv. Then start the same command again."
        )


def _check_space(project: Path) -> None:
    free = shutil.disk_usage(project).free
    if free < SPACE_NEEDED:
        raise StartError(
            f"There is not enough space on this disk: the set-up needs about {SPACE_NEEDED // 1024**2} MB "
            f"and {free // 1024**2} MB are free. Make room and start the same command again."
        )


def _create(environment: Environment) -> None:
    if environment.folder.is_symlink():
        environment.folder.unlink()
    base = getattr(sys, "_base_executable", "") or sys.executable
    _run([base, "-m", "venv", "--clear", str(environment.folder)], "make the folder .venv")


def _install(environment: Environment, purpose: str) -> None:
    environment.stamp(purpose).unlink(missing_ok=True)
    command = [str(environment.python), "-m", "pip", "install", "--require-hashes", "--only-binary", ":all:"]
    command += ["--no-input", "--no-cache-dir", "--disable-pip-version-check", "--progress-bar", "off", "--quiet"]
    command += ["--retries", "2", "-r", str(environment.requirements(purpose))]
    _run(command, "install what it needs")
    temporary = environment.stamp(purpose).with_suffix(".new")
    temporary.write_text(json.dumps(environment.signature(purpose)), "utf-8")
    temporary.replace(environment.stamp(purpose))


def _run(command: list[str], doing: str) -> None:
    done = subprocess.run(
        command,
        env=_clean(os.environ),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
    )
    if done.returncode:
        raise StartError(explain_failure(doing, done.stdout))
    for line in quiet_lines(done.stdout):
        _say(line)


def _clean(environ: Mapping[str, str]) -> dict[str, str]:
    """The caller's variables without those that send an install elsewhere or make another Python of this one."""
    elsewhere = {"PIP_TARGET", "PIP_PREFIX", "PIP_ROOT", "PIP_USER", "PIP_REQUIRE_VIRTUALENV", "PYTHONHOME"}
    return {name: value for name, value in environ.items() if name not in elsewhere}


def _write_sentence(project: Path, error: OSError) -> str:
    if error.errno == errno.ENOSPC:
        return "There is no space left on this disk. Make room and start the same command again."
    return (
        f"Nothing can be written into the folder {project} ({error.strerror or error}). The tool keeps its packages "
        "there, in .venv: put the project into a folder of your own and start the same command again."
    )


def _say(sentence: str) -> None:
    print(sentence, file=sys.stderr, flush=True)
