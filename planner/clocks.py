"""How long a search may go on: by the clock on the wall, or by work done, which no load of the machine changes."""

from __future__ import annotations

import threading
import time
from typing import Protocol


class Clock(Protocol):
    """A limit that can be shared out. ``stop`` is set once somebody wished to end."""

    stop: threading.Event
    repeatable: bool  # whether work is counted, so that the same work ends at the same point on any machine

    def now(self) -> float:
        """Seconds, or units of work, since some moment."""
        ...

    def left(self) -> float:
        """Seconds (or units) left; 0 once asked to stop."""
        ...

    def share(self, part: float) -> Clock:
        """A clock for ``part`` of what is left."""
        ...

    def within(self, seconds: float) -> Clock:
        """A clock for ``seconds`` at most."""
        ...

    def spend(self, units: float) -> None:
        """Count ``units`` of work: about the seconds that it takes on an ordinary machine with nothing else to do."""
        ...


class WallClock:
    """Seconds as they pass."""

    repeatable = False

    def __init__(self, seconds: float, stop: threading.Event | None = None) -> None:
        self._end = time.monotonic() + seconds
        self.stop = stop or threading.Event()

    def now(self) -> float:
        return time.monotonic()

    def left(self) -> float:
        return 0.0 if self.stop.is_set() else max(0.0, self._end - time.monotonic())

    def share(self, part: float) -> WallClock:
        return self.within(self.left() * part)

    def within(self, seconds: float) -> WallClock:
        return WallClock(min(seconds, self.left()), self.stop)

    def spend(self, units: float) -> None:
        """Nothing to do: time passes by itself."""


class WorkClock:
    """Units of work as they are done: tries of the dispatcher, steps of a search, the solver's deterministic time."""

    repeatable = True

    def __init__(self, units: float, stop: threading.Event | None = None, whole: WorkClock | None = None) -> None:
        self.stop = stop or threading.Event()
        self._whole = whole
        self._done = 0.0
        self._end = self.now() + units

    def now(self) -> float:
        return self._done if self._whole is None else self._whole.now()

    def left(self) -> float:
        return 0.0 if self.stop.is_set() else max(0.0, self._end - self.now())

    def share(self, part: float) -> WorkClock:
        return self.within(self.left() * part)

    def within(self, seconds: float) -> WorkClock:
        return WorkClock(min(seconds, self.left()), self.stop, self._whole or self)

    def spend(self, units: float) -> None:
        if self._whole is None:
            self._done += units
        else:
            self._whole.spend(units)
