"""The one command, as a person types it: it comes up, keeps its data, survives deaths, and leaves nothing behind."""

from __future__ import annotations

import gzip
import html
import http.cookiejar
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from studio.serve.supervise import web_answers
from tests.platform.commands import PROJECT, clean_environment, manage
from tests.platform.test_serve import alive, wait_for

pytestmark = [
    pytest.mark.one_lane,
    pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="finding the children needs /proc"),
]
EMPTY = ("--empty", "--studio", "Clay End", "--user", "ann")
PASSWORD = "soft soap and suds"


class Running:
    """A started command whose output is gathered as it comes."""

    def __init__(self, *arguments: str, **extra: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, str(PROJECT / "manage.py"), *arguments],
            env=clean_environment(STUDIO_NO_VENV="1", PYTHONUNBUFFERED="1", **extra),
            cwd="/",
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        self.lines: list[str] = []
        self._reader = threading.Thread(target=self._read)
        self._reader.start()

    def __enter__(self) -> Running:
        return self

    def __exit__(self, *error: object) -> None:
        self.end()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.append(line)

    @property
    def said(self) -> str:
        return "".join(self.lines)

    def wait_until_said(self, words: str, seconds: float = 60) -> None:
        assert wait_for(lambda: words in self.said or self.process.poll() is not None, seconds), self.said
        assert words in self.said, self.said

    def end(self, number: int = signal.SIGTERM) -> float:
        """Send the signal and return the seconds until the command has ended and its output is closed."""
        began = time.monotonic()
        if self.process.poll() is None:
            self.process.send_signal(number)
        try:
            self.process.wait(timeout=20)
        except subprocess.TimeoutExpired:
            self.process.kill()
            raise
        self._reader.join(timeout=20)
        assert self.process.stdout is not None
        self.process.stdout.close()
        return time.monotonic() - began


@pytest.fixture
def port() -> int:
    """A port that was free a moment ago."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture
def demo(data: Path, port: int) -> Iterator[Running]:
    """The tool on a studio of one's own, ready."""
    with Running("demo", "--data", str(data), "--port", str(port)) as running:
        running.wait_until_said("Stop it with Ctrl-C")
        yield running


def children(pid: int) -> dict[str, int]:
    """The living children of a process: the tool's command of each, and its id."""
    found = {}
    for folder in Path("/proc").iterdir():
        if not folder.name.isdigit() or not alive(int(folder.name)):
            continue
        try:
            parent = int((folder / "stat").read_text("utf-8").rpartition(")")[2].split()[1])
            words = (folder / "cmdline").read_text("utf-8").split("\0")
        except OSError:
            continue
        if parent == pid:
            found[next((word for word in words if word in ("serve", "planworker")), folder.name)] = int(folder.name)
    return found


def get(port: int, path: str, host: str = "127.0.0.1") -> tuple[int, str]:
    request = urllib.request.Request(f"http://127.0.0.1:{port}{path}", headers={"Host": host})
    try:
        with urllib.request.urlopen(request, timeout=10) as answer:
            return answer.status, answer.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, error.read().decode()


def test_an_empty_studio_comes_up_with_the_words_a_person_needs(tmp_path: Path, port: int) -> None:
    line = ("demo", "--data", str(tmp_path / "data"), "--port", str(port), *EMPTY)
    with Running(*line, STUDIO_PASSWORD=PASSWORD) as demo:
        demo.wait_until_said("Stop it with Ctrl-C")
        assert f"On this computer:  http://127.0.0.1:{port}/" in demo.said
        assert get(port, "/health/") == (200, "ok\n")
        status, page = get(port, "/")
        assert status == 200 and "<h1>" in page
        stylesheet = re.search(r'href="(/static/studio/[\w.-]+\.css)"', page)
        assert stylesheet and re.search(r"\.[0-9a-f]{12}\.css$", stylesheet[1])
        assert get(port, stylesheet[1])[0] == 200
        assert get(port, "/", host="elsewhere.example")[0] == 400
        assert get(port, "/", host=f"localhost:{port}")[0] == 200
        assert (tmp_path / "data" / "studio.sqlite3").stat().st_mode & 0o077 == 0
        web = children(demo.process.pid)["serve"]
        assert not re.search("ortools|numpy|pandas", Path(f"/proc/{web}/maps").read_text("utf-8"))
        assert demo.end() < 3


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_when_it_is_stopped_every_child_is_gone_within_three_seconds(demo: Running, number: int) -> None:
    pids = children(demo.process.pid)
    assert "serve" in pids
    assert demo.end(number) < 3
    assert demo.process.returncode == 0
    assert not any(alive(pid) for pid in pids.values())
    assert "Stopped. Everything recorded is kept." in demo.said
    assert "Traceback" not in demo.said


def test_when_it_is_killed_outright_its_children_go_too(demo: Running) -> None:
    pids = children(demo.process.pid)
    demo.end(signal.SIGKILL)
    assert wait_for(lambda: not any(alive(pid) for pid in pids.values()), 3)


@pytest.mark.parametrize("name", ["serve", "planworker"])
def test_a_child_that_is_killed_comes_back(demo: Running, port: int, name: str) -> None:
    assert wait_for(lambda: name in children(demo.process.pid))
    before = children(demo.process.pid)[name]
    os.kill(before, signal.SIGKILL)
    assert wait_for(lambda: children(demo.process.pid).get(name, before) != before)
    assert "(code -9); starting it again" in demo.said

    def answers() -> bool:
        try:
            return get(port, "/health/")[0] == 200
        except OSError:
            return False

    assert wait_for(answers)


def test_a_second_start_keeps_the_data_and_takes_about_a_second(demo: Running, port: int, tmp_path: Path) -> None:
    second = manage("demo", "--data", str(tmp_path / "data"))
    assert second.returncode == 1
    assert second.stderr.startswith("The tool is running on the data in") and len(second.stderr.splitlines()) == 1
    demo.end()
    key = (tmp_path / "data" / "secret-key.txt").read_text("utf-8")
    with Running("demo", "--data", str(tmp_path / "data"), "--port", str(port)) as again:
        again.wait_until_said("Stop it with Ctrl-C")
        assert "Loading" not in again.said
    assert (tmp_path / "data" / "secret-key.txt").read_text("utf-8") == key


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--empty",), "there is no terminal to ask at"),
        (("--empty", "--fresh"), "use one of them"),
        ((*EMPTY, "--time-zone", "Nowhere/Land"), "“Nowhere/Land” is no time zone"),
        (("--port", "99999"), "ports go from 1 to 65535"),
        (("--host", "203.0.113.1"), "can be used on 203.0.113.1"),
    ],
)
def test_what_does_not_work_is_one_sentence(tmp_path: Path, arguments: tuple[str, ...], words: str) -> None:
    done = manage("demo", "--data", str(tmp_path / "data"), *arguments, STUDIO_PASSWORD=PASSWORD)
    assert done.returncode == 1
    assert words in done.stderr and len(done.stderr.splitlines()) == 1


def test_a_weak_first_password_is_refused(tmp_path: Path) -> None:
    done = manage("demo", "--data", str(tmp_path / "data"), *EMPTY, STUDIO_PASSWORD="potter")
    assert done.returncode == 1
    assert "too short" in done.stderr


def test_a_taken_port_is_named(tmp_path: Path) -> None:
    with socket.socket() as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen()
        taken = holder.getsockname()[1]
        done = manage("demo", "--data", str(tmp_path / "data"), "--host", "127.0.0.1", "--port", str(taken))
    assert done.returncode == 1
    assert done.stderr.startswith(f"Port {taken} cannot be used on 127.0.0.1 (Address already in use).")


def test_a_fresh_demo_never_puts_somebodys_own_studio_aside(demo: Running, tmp_path: Path) -> None:
    demo.end()
    done = manage("demo", "--data", str(tmp_path / "data"), "--fresh")
    assert done.returncode == 1
    assert "holds a studio that is not the demo" in done.stderr
    assert (tmp_path / "data" / "studio.sqlite3").exists()


@pytest.mark.parametrize(("believed", "expected"), [("1", True), ("0", False)])
def test_a_proxy_in_front_is_believed_only_when_told(data: Path, port: int, believed: str, expected: bool) -> None:
    """An answer over HTTPS carries Strict-Transport-Security, one over plain HTTP does not (RFC 6797, 7.2)."""
    line = ("serve", "--data", str(data), "--port", str(port))
    with Running(*line, STUDIO_HTTPS="1", STUDIO_BEHIND_PROXY=believed):
        forwarded = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.9"}
        request = urllib.request.Request(f"http://127.0.0.1:{port}/health/", headers=forwarded)
        assert wait_for(lambda: web_answers("127.0.0.1", port), 30)
        with urllib.request.urlopen(request, timeout=10) as answer:
            assert ("Strict-Transport-Security" in answer.headers) is expected


class Visitor:
    """Somebody with a browser's manners and no script: cookies, compression, links."""

    def __init__(self, port: int) -> None:
        self.root = f"http://127.0.0.1:{port}"
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar()))

    def fetch(self, path: str, form: dict[str, str] | None = None) -> tuple[str, int, float]:
        """The text of an answer, the bytes that were sent for it, and the seconds it took."""
        data = urllib.parse.urlencode(form).encode() if form is not None else None
        request = urllib.request.Request(self.root + path, data, {"Accept-Encoding": "gzip"})
        began = time.monotonic()
        with self.opener.open(request, timeout=20) as answer:
            sent = answer.read()
            took = time.monotonic() - began
            packed = answer.headers.get("Content-Encoding") == "gzip"
        return (gzip.decompress(sent) if packed else sent).decode(errors="replace"), len(sent), took

    def log_in(self, name: str, password: str) -> str:
        """The page after the login."""
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', self.fetch("/login/")[0])
        assert token
        form = {"csrfmiddlewaretoken": token[1], "username": name, "password": password}
        return self.fetch("/login/", form)[0]

    def walk(self, page: str, most: int = 80) -> dict[str, tuple[int, float]]:
        """Follow every link to a page of the studio; by path the bytes of a first load, all in, and the seconds."""
        found: dict[str, tuple[int, float]] = {}
        parts: dict[str, int] = {}
        waiting = studio_links(page)
        while waiting and len(found) < most:
            path = waiting.pop(0)
            if path in found:
                continue
            text, size, took = self.fetch(path)
            for part in set(re.findall(r'(?:src|href)="(/static/[^"]+)"', text)):
                parts[part] = parts.get(part) or self.fetch(part)[1]
                size += parts[part]
            found[path] = (size, took)
            waiting += studio_links(text)
        return found


def studio_links(page: str) -> list[str]:
    """The addresses of the studio's pages that a page links to."""
    return [html.unescape(path) for path in re.findall(r'href="(/s/[^"#]*)', page)]


def test_the_demo_studio_is_loaded_whole_or_not_at_all_and_then_kept(tmp_path: Path, port: int) -> None:
    line = ("demo", "--data", str(tmp_path / "data"), "--port", str(port))
    with Running(*line) as broken_off:
        broken_off.wait_until_said("Loading the demo studio")
        time.sleep(1)
        assert broken_off.end() < 1
        assert "Traceback" not in broken_off.said
        assert "The next start begins this part anew." in broken_off.said

    with Running(*line) as first:
        first.wait_until_said("Stop it with Ctrl-C", 120)
        login = re.search(r"Log in as  (\S+)  with the password  (\S+)", first.said)
        assert login and "could not be planned" not in first.said
        assert login[2] == (tmp_path / "data" / "demo-login.txt").read_text("utf-8").strip()
        visitor = Visitor(port)
        page = visitor.log_in(login[1], login[2])
        assert "Today" in page and 'name="password"' not in page
        pages = visitor.walk(page)
        assert len(pages) >= 5
        assert {path: size for path, (size, _took) in pages.items() if size > 100_000} == {}
        slowest = max(pages, key=lambda path: pages[path][1])
        print(f"{len(pages)} pages, heaviest {max(size for size, _took in pages.values())} bytes all in,")
        print(f"slowest {slowest}: {pages[slowest][1] * 1000:.0f} ms with the network of this machine")
        pids = children(first.process.pid)
        assert not re.search("ortools|numpy|pandas", Path(f"/proc/{pids['serve']}/maps").read_text("utf-8"))
        assert first.end() < 3
        assert not any(alive(pid) for pid in pids.values())

    with Running(*line) as second:
        second.wait_until_said("Stop it with Ctrl-C")
        assert "Loading" not in second.said and login[0] in second.said
