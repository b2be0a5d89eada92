"""Children that are started again, never outlive their parent, and are gone in time."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import textwrap
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from studio import network
from studio.bootstrap.errors import StartError
from studio.bootstrap.locks import FileLock
from studio.serve import ports, welcome
from studio.serve.children import Child, stop_all
from studio.serve.supervise import run_until_stopped
from tests.platform.commands import PROJECT

pytestmark = pytest.mark.one_lane


def alive(pid: int) -> bool:
    """True while the process runs; one that has ended but was not waited for counts as gone."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text("utf-8").rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"


def wait_for(condition: Callable[[], object], seconds: float = 10) -> bool:
    """True as soon as the condition holds."""
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if condition():
            return True
        time.sleep(0.02)
    return False


@pytest.fixture
def child(tmp_path: Path) -> Iterator[Callable[..., Child]]:
    """Make children that run a piece of Python and are killed after the test."""
    made: list[Child] = []

    def make(script: str, name: str = "thing") -> Child:
        line = [sys.executable, "-c", textwrap.dedent(script)]
        made.append(Child(name, line, {**os.environ, "PYTHONPATH": str(PROJECT), "OUT": str(tmp_path)}))
        return made[-1]

    yield make
    for one in made:
        one.kill()


SLEEPER = "import time; time.sleep(60)"
STUBBORN = """
    import os, pathlib, signal, time
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    pathlib.Path(os.environ["OUT"], "ready").touch()
    time.sleep(60)
"""
WITH_A_CHILD = """
    import os, pathlib, subprocess, sys, time
    own = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
    pathlib.Path(os.environ["OUT"], "pid.new").write_text(str(own.pid))
    os.replace(os.path.join(os.environ["OUT"], "pid.new"), os.path.join(os.environ["OUT"], "pid"))
    time.sleep(60)
"""


def test_a_dead_child_is_started_again_with_growing_pauses(child: Callable[..., Child]) -> None:
    one = child("raise SystemExit(7)", "planner")
    one.start()
    pauses = []
    now = time.monotonic()
    for _ in range(8):
        assert wait_for(lambda: not one.running)
        news = one.tend(now)
        assert news is not None and news.startswith("The planner ended (code 7); starting it again in ")
        pauses.append(float(news.split()[-2]))
        assert one.tend(now + pauses[-1] - 0.01) is None and not one.running
        now += pauses[-1]
        assert one.tend(now) is None and one.process is not None
    assert pauses == [0.5, 1, 2, 4, 8, 16, 30, 30]


def test_after_a_long_steady_run_the_pauses_begin_anew(child: Callable[..., Child]) -> None:
    one = child(SLEEPER)
    one.start()
    assert one.process is not None
    one.process.kill()
    assert wait_for(lambda: not one.running)
    first = one.tend(time.monotonic())
    assert first is not None and "again in 0.5 s" in first
    one.tend(time.monotonic() + 1)
    assert one.process is not None
    one.process.kill()
    assert wait_for(lambda: not one.running)
    later = one.tend(time.monotonic() + 61)
    assert later is not None and "again in 0.5 s" in later


def test_all_are_gone_in_time_even_a_stubborn_one(child: Callable[..., Child], tmp_path: Path) -> None:
    stubborn, quick = child(STUBBORN), child(SLEEPER)
    stubborn.start()
    quick.start()
    assert wait_for((tmp_path / "ready").exists)
    began = time.monotonic()
    stop_all([stubborn, quick], grace_s=0.5)
    assert time.monotonic() - began < 1.5
    assert not stubborn.running and not quick.running


def test_what_a_child_started_goes_with_it(child: Callable[..., Child], tmp_path: Path) -> None:
    one = child(WITH_A_CHILD)
    one.start()
    assert wait_for((tmp_path / "pid").exists)
    grandchild = int((tmp_path / "pid").read_text("utf-8"))
    assert alive(grandchild)
    assert one.process is not None
    one.process.kill()
    assert wait_for(lambda: not one.running)
    one.tend(time.monotonic())
    assert wait_for(lambda: not alive(grandchild))


def test_children_end_when_their_parent_is_killed_outright(tmp_path: Path) -> None:
    held = "from studio.serve.lifeline import hold_if_asked\nhold_if_asked()\n" + textwrap.dedent(WITH_A_CHILD)
    parent = f"""
        import os, sys, time
        from studio.serve.children import Child
        one = Child("thing", [sys.executable, "-c", {held!r}], os.environ)
        one.start()
        print(one.process.pid, flush=True)
        time.sleep(60)
    """
    process = subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(parent)],
        env={**os.environ, "PYTHONPATH": str(PROJECT), "OUT": str(tmp_path)},
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    child_pid = int(process.stdout.readline())
    assert wait_for((tmp_path / "pid").exists)
    grandchild = int((tmp_path / "pid").read_text("utf-8"))
    process.kill()
    process.wait()
    process.stdout.close()
    assert wait_for(lambda: not alive(child_pid) and not alive(grandchild), 3)


def test_a_server_that_does_not_come_up_ends_the_start_with_a_sentence(child: Callable[..., Child]) -> None:
    greeted: list[int] = []
    with pytest.raises(StartError, match="did not start"):
        run_until_stopped(
            child("raise SystemExit(1)"),
            [],
            threading.Event(),
            answers=lambda: False,
            greet=lambda: greeted.append(1),
            say=print,
        )
    assert greeted == []


def test_the_greeting_waits_for_the_server_and_stopping_ends_all(child: Callable[..., Child]) -> None:
    web, other, stop = child(SLEEPER), child(SLEEPER), threading.Event()
    tries: list[int] = []

    def answers() -> bool:
        tries.append(1)
        return len(tries) == 3

    run_until_stopped(web, [other], stop, answers=answers, greet=stop.set, say=print)
    assert len(tries) == 3
    assert not web.running and not other.running


def test_a_taken_port_is_named_or_passed_over() -> None:
    with socket.socket() as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen()
        taken = holder.getsockname()[1]
        with pytest.raises(StartError, match=rf"Port {taken} cannot be used .* --port {taken + 1}"):
            ports.choose("127.0.0.1", taken)
    assert ports.choose("127.0.0.1", taken) == taken


def test_the_first_free_port_is_chosen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ports, "taken", lambda host, port: "in use" if port < ports.FIRST + 2 else "")
    assert ports.choose("127.0.0.1", None) == ports.FIRST + 2
    monkeypatch.setattr(ports, "taken", lambda host, port: "in use")
    with pytest.raises(StartError, match="No port from 8000 to 8029"):
        ports.choose("127.0.0.1", None)


def test_a_port_that_is_none_is_said() -> None:
    with pytest.raises(StartError, match="ports go from 1 to 65535"):
        ports.choose("127.0.0.1", 70000)


@pytest.mark.parametrize(
    ("host", "network_address", "phone"),
    [
        ("0.0.0.0", "192.168.1.5", "http://192.168.1.5:8000/"),
        ("0.0.0.0", None, None),
        ("127.0.0.1", "192.168.1.5", None),
        ("192.168.7.7", "192.168.1.5", "http://192.168.7.7:8000/"),
        ("fd00::5", None, "http://[fd00::5]:8000/"),
    ],
)
def test_the_phones_address(host: str, network_address: str | None, phone: str | None) -> None:
    assert welcome.phone_address(host, 8000, network_address) == phone


def test_the_code_is_drawn_only_where_it_can_be_shown() -> None:
    drawn = welcome.picture("http://192.168.1.5:8000/", "utf-8", colour=True)
    assert "█" in drawn and drawn.startswith("\x1b[97;40m")
    assert welcome.picture("http://192.168.1.5:8000/", "ascii", colour=False) == ""


def test_only_this_machines_hosts_are_allowed() -> None:
    hosts = network.own_hosts()
    assert {"localhost", "127.0.0.1", "[::1]"} <= set(hosts)
    assert "*" not in hosts and "0.0.0.0" not in hosts
    assert all(address in network.own_addresses() for address in [network.network_address()] if address)


def test_a_lock_is_let_go_when_its_holder_dies(tmp_path: Path) -> None:
    path = tmp_path / "lock"
    hold = f"""
        import time
        from pathlib import Path
        from studio.bootstrap.locks import FileLock
        assert FileLock(Path({str(path)!r})).acquire(wait=False)
        print("held", flush=True)
        time.sleep(60)
    """
    holder = subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(hold)], cwd=PROJECT, stdout=subprocess.PIPE, text=True
    )
    assert holder.stdout is not None and holder.stdout.readline() == "held\n"
    mine = FileLock(path)
    assert not mine.acquire(wait=False)
    holder.send_signal(signal.SIGKILL)
    holder.wait()
    holder.stdout.close()
    assert mine.acquire(wait=False)
    assert not FileLock(path, shared=True).acquire(wait=False)
    mine.release()
    first, second = FileLock(path, shared=True), FileLock(path, shared=True)
    assert first.acquire(wait=False) and second.acquire(wait=False)
    assert not FileLock(path).acquire(wait=False)
    first.release()
    second.release()
