"""One file that is whole, while people work; and back again, with what it replaces kept."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import threading
import time
from contextlib import closing
from pathlib import Path

import pytest
from django.db import connection

from studio import backups
from studio.bootstrap.errors import StartError
from studio.bootstrap.locks import FileLock
from tests.platform.commands import add_studio, manage


def database(folder: Path) -> Path:
    return folder / "studio.sqlite3"


def studios(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as opened:
        return [row[0] for row in opened.execute("SELECT name FROM studio_studio ORDER BY id")]


@pytest.mark.one_lane
def test_a_backup_is_whole_and_for_its_owner_only(data: Path, tmp_path: Path) -> None:
    target = tmp_path / "copy.sqlite3"
    done = manage("backup", str(target), "--data", str(data))
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(f"{target} (") and "checked" in done.stdout
    assert studios(target) == ["Clay End"]
    assert target.stat().st_mode & 0o077 == 0
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".unfinished")] == []


@pytest.mark.one_lane
def test_a_backup_while_somebody_writes_has_both_halves_of_each_record(data: Path, tmp_path: Path) -> None:
    # Each transaction writes the same number into two tables; a torn copy would show two different counts.
    with closing(sqlite3.connect(database(data), isolation_level=None)) as opened:
        opened.execute("PRAGMA journal_mode=WAL")
        opened.execute("CREATE TABLE one (n INTEGER)")
        opened.execute("CREATE TABLE two (n INTEGER)")
    stop = threading.Event()
    written = [0]

    def write() -> None:
        with closing(sqlite3.connect(database(data), isolation_level=None, timeout=20)) as opened:
            while not stop.is_set():
                opened.execute("BEGIN IMMEDIATE")
                opened.execute("INSERT INTO one VALUES (?)", (written[0],))
                opened.execute("INSERT INTO two VALUES (?)", (written[0],))
                opened.execute("COMMIT")
                written[0] += 1
                time.sleep(0.001)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        target = tmp_path / "copy.sqlite3"
        assert manage("backup", str(target), "--data", str(data)).returncode == 0
    finally:
        stop.set()
        writer.join()
    with closing(sqlite3.connect(target)) as copy:
        (one,), (two,) = copy.execute("SELECT count(*) FROM one"), copy.execute("SELECT count(*) FROM two")
    assert one == two and 0 < one[0] <= written[0]


@pytest.mark.one_lane
def test_a_backup_never_replaces_a_file(data: Path, tmp_path: Path) -> None:
    target = tmp_path / "mine"
    target.write_text("mine", "utf-8")
    done = manage("backup", str(target), "--data", str(data))
    assert done.returncode == 1
    assert done.stderr == f"{target} is there already. Name another file; a backup never replaces one.\n"
    assert target.read_text("utf-8") == "mine"


@pytest.mark.one_lane
def test_dated_backups_are_rotated_and_those_before_a_change_are_kept(data: Path) -> None:
    folder = data / "backups"
    for day in range(1, 6):
        (folder / f"studio-2026010{day}-080000.sqlite3").write_text("old", "utf-8")
    (folder / "studio-20260101-080000-before-upgrade.sqlite3").write_text("old", "utf-8")
    (folder / ".unfinished-abc").write_text("a backup that was killed", "utf-8")
    os.utime(folder / ".unfinished-abc", (0, 0))
    assert manage("backup", "--keep", "3", "--data", str(data)).returncode == 0
    names = sorted(path.name for path in folder.iterdir())
    assert names[:3] == [
        "studio-20260101-080000-before-upgrade.sqlite3",
        "studio-20260104-080000.sqlite3",
        "studio-20260105-080000.sqlite3",
    ]
    assert len(names) == 4 and studios(folder / names[3]) == ["Clay End"]


@pytest.mark.one_lane
def test_a_restore_brings_back_the_day_and_keeps_what_it_replaces(data: Path, tmp_path: Path) -> None:
    target = tmp_path / "copy.sqlite3"
    manage("backup", str(target), "--data", str(data))
    add_studio(data, "Wheel Yard")
    done = manage("restore", str(target), "--data", str(data))
    assert done.returncode == 0, done.stderr
    assert studios(database(data)) == ["Clay End"]
    (aside,) = (data / "backups").glob("*-replaced.sqlite3")
    assert f"What was there before is kept in {aside}" in done.stdout
    assert studios(aside) == ["Clay End", "Wheel Yard"]
    assert manage("restore", str(aside), "--data", str(data)).returncode == 0
    assert studios(database(data)) == ["Clay End", "Wheel Yard"]


@pytest.mark.one_lane
def test_a_restore_into_an_empty_folder_is_how_one_moves_house(data: Path, tmp_path: Path) -> None:
    target = tmp_path / "copy.sqlite3"
    manage("backup", str(target), "--data", str(data))
    done = manage("restore", str(target), "--data", str(tmp_path / "new"))
    assert done.returncode == 0, done.stderr
    assert studios(database(tmp_path / "new")) == ["Clay End"]


@pytest.mark.one_lane
def test_no_restore_while_the_tool_runs_on_the_folder_unless_told(data: Path, tmp_path: Path) -> None:
    target = tmp_path / "copy.sqlite3"
    manage("backup", str(target), "--data", str(data))
    running = FileLock(data / "running.lock", shared=True)
    assert running.acquire(wait=False)
    try:
        refused = manage("restore", str(target), "--data", str(data))
        assert refused.returncode == 1
        assert refused.stderr == "The tool is running on this data folder. Stop it first, then restore.\n"
        assert manage("restore", str(target), "--force", "--data", str(data)).returncode == 0
    finally:
        running.release()


def damage(path: Path) -> None:
    content = bytearray(path.read_bytes())
    middle = len(content) // 2
    content[middle : middle + 20_000] = b"\xff" * 20_000
    path.write_bytes(content)


def cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:20_000])


def make_foreign(path: Path) -> None:
    path.unlink()
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE recipes (name TEXT)")


def make_text(path: Path) -> None:
    path.write_text("a shopping list", "utf-8")


def make_newer(path: Path) -> None:
    with closing(sqlite3.connect(path)) as newer:
        newer.execute("INSERT INTO django_migrations (app, name, applied) VALUES ('studio', '9999_later', '2030')")
        newer.commit()


@pytest.mark.one_lane
@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (damage, "is damaged"),
        (cut_short, "is damaged"),
        (make_foreign, "not a backup of this tool"),
        (make_text, "is not a backup of this tool"),
        (make_newer, "a newer version of the tool (studio.9999_later)"),
        (Path.unlink, "cannot be read"),
    ],
)
def test_a_bad_file_changes_nothing(data: Path, tmp_path: Path, spoil: object, words: str) -> None:
    target = tmp_path / "copy.sqlite3"
    manage("backup", str(target), "--data", str(data))
    spoil(target)  # type: ignore[operator]
    before = database(data).read_bytes()
    done = manage("restore", str(target), "--data", str(data))
    assert done.returncode == 1
    assert words in done.stderr and len(done.stderr.splitlines()) == 1
    assert database(data).read_bytes() == before
    assert list((data / "backups").iterdir()) == []


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif("not __import__('os').environ.get('DATABASE_URL')", reason="the PostgreSQL lane runs it")
def test_a_backup_of_postgresql_is_its_own_dump(tmp_path: Path) -> None:
    if shutil.which("pg_dump") is None:
        pytest.skip("pg_dump is not installed")
    assert connection.vendor == "postgresql"
    path = backups.make(tmp_path / "copy.pgdump")
    listed = subprocess.run(["pg_restore", "--list", str(path)], capture_output=True, text=True, check=True)
    assert "studio_studio" in listed.stdout


@pytest.mark.one_lane
def test_a_newer_folder_is_refused_by_the_demo(data: Path) -> None:
    make_newer(database(data))
    done = manage("demo", "--data", str(data))
    assert done.returncode == 1
    assert "written by a newer version of the tool" in done.stderr


@pytest.mark.one_lane
def test_unknown_migrations_are_named() -> None:
    ours = {("studio", "0001_initial"), ("auth", "0001_initial")}
    assert backups.unknown_migrations(ours) == set()
    assert backups.unknown_migrations({*ours, ("studio", "9999_later")}) == {"studio.9999_later"}


@pytest.mark.one_lane
def test_an_empty_folder_has_nothing_to_back_up(tmp_path: Path) -> None:
    done = manage("backup", "--data", str(tmp_path / "data"))
    assert (done.returncode, done.stderr) == (1, f"There is nothing to back up in {tmp_path / 'data'} yet.\n")


@pytest.mark.one_lane
@pytest.mark.django_db
def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(StartError, match="does not exist"):
        backups.make(tmp_path / "no" / "copy.sqlite3")
