"""The first start on a fresh machine: each thing that can be missing is one sentence, and nothing is left half made.

Each test starts the real manage.py in a copy of what the first start reads. The installer is a stand-in, a program
that says what the real one says, so that no test needs a network; so is, in all tests but one, the module that makes
environments, which would take seconds each time.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import pytest

from studio.bootstrap.environment import RUN, TEST, Environment
from studio.bootstrap.pip_words import explain_failure, quiet_lines
from studio.bootstrap.start import take_data_folder
from tests.platform.commands import PROJECT, clean_environment

pytestmark = pytest.mark.one_lane

# A stand-in for `python -m pip` and, in the environment it makes, for Django: it prints PIP_SAYS and exits with
# PIP_ENDS, after writing one line into PIP_CALLS.
FAKE_PIP = """
import os, sys, time
with open(os.environ["PIP_CALLS"], "a") as calls:
    calls.write(" ".join(sys.argv[1:]) + "\\n")
time.sleep(float(os.environ.get("PIP_SLEEPS", "0")))
print(os.environ.get("PIP_SAYS", ""))
sys.exit(int(os.environ.get("PIP_ENDS", "0")))
"""
FAKE_VENV = """
import pathlib, shutil, sys
folder = pathlib.Path(sys.argv[-1])
shutil.rmtree(folder, ignore_errors=True)
(folder / "bin").mkdir(parents=True)
(folder / "bin" / "python").symlink_to(sys.executable)
(folder / "pyvenv.cfg").write_text(f"home = {pathlib.Path(sys.executable).parent}\\n")
"""
FAKE_DJANGO = """
def execute_from_command_line(argv):
    print("ran", *argv[1:])
"""


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A copy of the files that a start reads, with empty lock files."""
    folder = tmp_path / "project"
    folder.mkdir()
    shutil.copy(PROJECT / "manage.py", folder)
    (folder / "studio").mkdir()
    for name in ("__init__.py", "datafolder.py"):
        shutil.copy(PROJECT / "studio" / name, folder / "studio")
    for name in ("bootstrap", "serve"):
        shutil.copytree(PROJECT / "studio" / name, folder / "studio" / name)
    for name in ("requirements.txt", "requirements-dev.txt"):
        (folder / name).write_text(f"# {name}\n", "utf-8")
    for name, text in (
        ("pip/__main__.py", FAKE_PIP),
        ("venv/__main__.py", FAKE_VENV),
        ("django/core/management.py", FAKE_DJANGO),
    ):
        path = tmp_path / "fakes" / name
        path.parent.mkdir(parents=True)
        path.write_text(text, "utf-8")
        (tmp_path / "fakes" / name.split("/")[0] / "__init__.py").touch()
    return folder


def environment(project: Path, site: str = "", **extra: str) -> dict[str, str]:
    """Variables that put the stand-ins, and `site` as a sitecustomize, before everything else."""
    fakes = project.parent / "fakes"
    if site:
        (fakes / "sitecustomize.py").write_text(textwrap.dedent(site), "utf-8")
    return clean_environment(PYTHONPATH=str(fakes), PIP_CALLS=str(project.parent / "calls"), **extra)


def base_python() -> str:
    """The Python under this environment, which is what a person starts with."""
    return str(getattr(sys, "_base_executable", sys.executable))


def start(project: Path, *arguments: str, site: str = "", **extra: str) -> subprocess.CompletedProcess[str]:
    """The first line a person types."""
    return subprocess.run(
        [base_python(), "manage.py", *arguments],
        cwd=project,
        env=environment(project, site, **extra),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=120,
    )


def calls(project: Path) -> list[str]:
    """How the installer was called."""
    path = project.parent / "calls"
    return path.read_text("utf-8").splitlines() if path.exists() else []


def assert_one_sentence(done: subprocess.CompletedProcess[str], *words: str) -> None:
    """Exit code 1, the words said, no traceback; the only other line may be the announcement of the set-up."""
    assert done.returncode == 1
    lines = [line for line in done.stderr.splitlines() if not line.startswith("Setting up for the first time")]
    assert len(lines) == 1, done.stderr
    for word in words:
        assert word in lines[0]


def assert_nothing_made(project: Path) -> None:
    assert not (project / ".venv").exists()


def test_a_first_start_makes_the_environment_and_the_second_only_looks(project: Path) -> None:
    shutil.rmtree(project.parent / "fakes" / "venv")  # here the real module makes it
    first = start(project, "check")
    assert (first.returncode, first.stdout) == (0, "ran check\n"), first.stderr
    assert "Setting up for the first time" in first.stderr
    (call,) = calls(project)
    assert "--require-hashes --only-binary :all:" in call and call.endswith("requirements.txt")
    began = time.monotonic()
    second = start(project, "check")
    assert (second.stdout, second.stderr) == ("ran check\n", "")
    assert time.monotonic() - began < 2
    assert len(calls(project)) == 1
    (project / "requirements.txt").write_text("# other versions\n", "utf-8")
    assert start(project, "check").returncode == 0
    assert len(calls(project)) == 2


def test_an_environment_without_its_stamp_or_its_python_is_made_again(project: Path) -> None:
    start(project, "check")
    stamp = project / ".venv" / "ready-to-run.json"
    assert json.loads(stamp.read_text("utf-8"))["python"]
    stamp.unlink()
    (project / ".venv" / "left-over").write_text("", "utf-8")
    assert start(project, "check").returncode == 0
    assert not (project / ".venv" / "left-over").exists()
    Environment(project).python.unlink()
    assert start(project, "check").returncode == 0
    assert len(calls(project)) == 3


def test_two_starts_at_once_make_it_once(project: Path) -> None:
    variables = environment(project, PIP_SLEEPS="1")
    line = [base_python(), "manage.py", "check"]
    starts = [
        subprocess.Popen(line, cwd=project, env=variables, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        for _ in range(2)
    ]
    said = [process.communicate(timeout=120) for process in starts]
    assert [process.returncode for process in starts] == [0, 0]
    assert [out for out, _err in said] == ["ran check\n"] * 2
    assert len(calls(project)) == 1
    assert sum("Another start is setting this up" in err for _out, err in said) == 1


@pytest.mark.parametrize("module", ["venv", "ensurepip"])
def test_without_the_module_for_environments(project: Path, module: str) -> None:
    hide = f"""
        import importlib.util
        real = importlib.util.find_spec
        importlib.util.find_spec = lambda name, package=None: None if name == {module!r} else real(name, package)
    """
    done = start(project, "check", site=hide)
    assert_one_sentence(done, module, "sudo apt install python3-venv")
    assert_nothing_made(project)
    assert calls(project) == []


def test_too_old_a_python(project: Path) -> None:
    done = start(project, "check", site="import sys\nsys.version_info = (3, 9, 2, 'final', 0)\n")
    assert_one_sentence(done, "needs Python 3.11 or newer, and this is Python 3.9")
    assert_nothing_made(project)


def test_no_space_is_seen_before_anything_is_written(project: Path) -> None:
    full = """
        import collections, shutil
        usage = collections.namedtuple("usage", "total used free")
        shutil.disk_usage = lambda path: usage(10**9, 10**9, 50 * 1024**2)
    """
    done = start(project, "check", site=full)
    assert_one_sentence(done, "not enough space", "50 MB are free")
    assert_nothing_made(project)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        # What pip 23 to 26 print, shortened.
        (
            "WARNING: Retrying (Retry(total=1)) after connection broken by 'NewConnectionError: Failed to establish a "
            "new connection: [Errno -3] Temporary failure in name resolution'\n"
            "ERROR: No matching distribution found for django==5.2.19",
            "could not be fetched from the network",
        ),
        ("ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device", "no space left"),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE.", "not the one that was locked"),
        ("ERROR: No matching distribution found for ortools==9.15", "not found for this system and this Python"),
        ("Something never seen before", "It was not possible to install what it needs"),
    ],
)
def test_a_failed_install_is_one_sentence_and_leaves_nothing(project: Path, said: str, words: str) -> None:
    done = start(project, "check", PIP_ENDS="1", PIP_SAYS=said)
    assert_one_sentence(done, words)
    assert_nothing_made(project)
    assert start(project, "check").returncode == 0


def test_a_folder_that_cannot_be_written_to(project: Path) -> None:
    # For root every folder can be written to, so a plain file stands where the lock belongs.
    (project / ".venv-lock").mkdir()
    assert_one_sentence(start(project, "check"), "Nothing can be written into the folder")
    assert_nothing_made(project)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_broken_off_start_leaves_nothing(project: Path, number: int) -> None:
    # A shell ignores Ctrl-C for what it runs in the background, and the tests may run there.
    heard = "import signal\nsignal.signal(signal.SIGINT, signal.default_int_handler)\n"
    process = subprocess.Popen(
        [base_python(), "manage.py", "check"],
        cwd=project,
        env=environment(project, heard, PIP_SLEEPS="30"),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        deadline = time.monotonic() + 60
        while not calls(project) and time.monotonic() < deadline:
            time.sleep(0.05)
        process.send_signal(number)
        _out, err = process.communicate(timeout=30)
    finally:
        process.kill()
    assert process.returncode == 130
    assert "Traceback" not in err
    assert_nothing_made(project)


def test_a_container_that_brings_its_packages_is_left_alone(project: Path) -> None:
    done = start(project, "check", STUDIO_NO_VENV="1")
    assert (done.returncode, done.stdout) == (0, "ran check\n")
    assert_nothing_made(project)
    shutil.rmtree(project.parent / "fakes" / "django")
    assert_one_sentence(start(project, "check", STUDIO_NO_VENV="1"), "pip install -r requirements.txt")


def test_the_test_tools_come_only_with_the_tests(project: Path) -> None:
    (project / "tests" / "lanes").mkdir(parents=True)
    lanes = "def main(arguments):\n    print('tested', *arguments)\n    return 4\n"
    (project / "tests" / "lanes" / "run.py").write_text(lanes, "utf-8")
    start(project, "check")
    assert not Environment(project).ready(TEST)
    done = start(project, "test", "-k", "mould")
    assert (done.returncode, done.stdout) == (4, "tested -k mould\n")
    assert [call.rsplit("/", 1)[1] for call in calls(project)] == ["requirements.txt", "requirements-dev.txt"]
    assert Environment(project).ready(RUN) and Environment(project).ready(TEST)


def test_the_data_folder_is_taken_from_any_command(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("STUDIO_DATA", "")
    assert take_data_folder(["manage.py", "backup", "--data", str(tmp_path), "x"]) == ["manage.py", "backup", "x"]
    assert os.environ["STUDIO_DATA"] == str(tmp_path)
    assert take_data_folder(["manage.py", "demo", f"--data={tmp_path}/b"]) == ["manage.py", "demo"]
    assert os.environ["STUDIO_DATA"] == f"{tmp_path}/b"


def test_a_data_folder_without_a_name_is_asked_for(project: Path) -> None:
    assert_one_sentence(start(project, "demo", "--data"), "--data needs the folder's name")


def test_the_installers_chatter_is_not_passed_on() -> None:
    chatter = "WARNING: Location 'x' is ignored: it is neither a file nor a directory.\n\n[notice] A new release of pip"
    assert list(quiet_lines(chatter + "\nWARNING: real")) == ["WARNING: real"]
    said = explain_failure("do it", "WARNING: Location 'x' is ignored: it is")
    assert said.startswith("It was not possible to do it.")
