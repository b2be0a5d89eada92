"""A throw-away PostgreSQL server: its own folder, a socket instead of a port, gone at the end whatever happens."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path
from types import TracebackType
from urllib.parse import quote

# No sync: nothing in it has to outlive the tests.
SERVER_OPTIONS = "-c listen_addresses='' -c fsync=off -c synchronous_commit=off -c full_page_writes=off"
START_LIMIT_S = 60


class NoPostgres(Exception):
    """The server could not be made; the text is the last line it said."""


def find_binaries() -> Path | None:
    """The folder with initdb and pg_ctl, the newest version first; None where no server is installed."""
    versions = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda path: int(path.parent.name), reverse=True)
    on_path = shutil.which("initdb")
    candidates = [*versions, *([Path(on_path).resolve().parent] if on_path else [])]
    whole = [folder for folder in candidates if all((folder / name).exists() for name in ("initdb", "pg_ctl"))]
    return whole[0] if whole else None


class Cluster:
    """`with Cluster(binaries) as cluster:` serves `cluster.url` until the block ends."""

    def __init__(self, binaries: Path) -> None:
        self.binaries = binaries
        self.folder = Path()

    @property
    def url(self) -> str:
        """The address of the cluster's own first database."""
        return f"postgresql://studio@/postgres?host={quote(str(self.folder), safe='')}"

    def __enter__(self) -> Cluster:
        # A short path: a socket's may have 107 characters at most.
        self.folder = Path(tempfile.mkdtemp(prefix="studio-pg-", dir="/tmp" if Path("/tmp").is_dir() else None))
        try:
            if os.geteuid() == 0:
                shutil.chown(self.folder, "postgres", "postgres")
            data = str(self.folder / "data")
            self._as_server("initdb", "-D", data, "-U", "studio", "--auth=trust", "-E", "UTF8", "--no-sync")
            log, options = str(self.folder / "log"), f"{SERVER_OPTIONS} -k {self.folder}"
            self._as_server("pg_ctl", "-D", data, "-l", log, "-w", "-t", str(START_LIMIT_S), "-o", options, "start")
        except BaseException:
            self._remove()
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._remove()

    def _remove(self) -> None:
        if (self.folder / "data" / "postmaster.pid").exists():
            try:
                self._as_server("pg_ctl", "-D", str(self.folder / "data"), "-m", "immediate", "-w", "stop")
            except NoPostgres as error:
                print(f"The throw-away PostgreSQL server did not stop: {error}")
        shutil.rmtree(self.folder, ignore_errors=True)

    def _as_server(self, program: str, *arguments: str) -> None:
        line = [str(self.binaries / program), *arguments]
        if os.geteuid() == 0:
            # The server refuses to be root.
            line = ["runuser", "-u", "postgres", "--", *line]
        try:
            done = subprocess.run(
                line, cwd="/", stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
            )
        except OSError as error:
            raise NoPostgres(str(error)) from error
        if done.returncode:
            said = done.stdout.strip().splitlines()
            raise NoPostgres(said[-1] if said else f"{program} ended with code {done.returncode}")
