"""The children of one solve at work: started, heard, told of each other's finds, and ended in time."""

from __future__ import annotations

import queue
import time
from collections.abc import Callable
from typing import Any

from planner.helper import Helper, Message

POLL = 0.1  # seconds between looks at the clock and at the wish to stop
GRACE = 0.4  # seconds a child has to end after it was asked to

Heard = Callable[[int, dict[str, Any]], dict[str, Any] | None]


def run_children(
    orders: list[dict[str, Any]], heard: Heard, left: Callable[[], float], tick: Callable[[], None]
) -> list[str]:
    """Run one child per order until all are done or ``left()`` is 0; notes on those that ended badly.

    ``heard`` gets each message with the child's number; what it returns is told to the other children.
    """
    said: queue.Queue[Message] = queue.Queue()
    children: dict[int, Helper] = {}
    notes = []
    try:
        for number, order in enumerate(orders):
            try:
                children[number] = Helper(number, said)
            except OSError as problem:
                notes.append(f"an improving process could not be started: {problem}")
            else:
                children[number].tell(order)
        finished = _listen(children, said, heard, left, tick)
        return notes + _end(children, said, heard, finished)
    finally:
        for child in children.values():
            child.end()


def _listen(
    children: dict[int, Helper],
    said: queue.Queue[Message],
    heard: Heard,
    left: Callable[[], float],
    tick: Callable[[], None],
) -> dict[int, str]:
    """Hear the children until the time is over; how each one ended that did so by itself."""
    finished: dict[int, str] = {}
    while len(finished) < len(children) and (remaining := left()) > 0:
        try:
            message = said.get(timeout=min(POLL, remaining))
        except queue.Empty:
            message = None
        if message is not None:
            _take(message, children, heard, finished)
        tick()
    return finished


def _take(message: Message, children: dict[int, Helper], heard: Heard, finished: dict[int, str]) -> None:
    if message.said is None:
        finished.setdefault(message.child, "broken")
    elif "failed" in message.said:
        finished[message.child] = str(message.said["failed"])
    elif "done" in message.said:
        finished[message.child] = "done"
    else:
        news = heard(message.child, message.said)
        if news is not None:
            for number, child in children.items():
                if number != message.child and number not in finished:
                    child.tell(news)


def _end(children: dict[int, Helper], said: queue.Queue[Message], heard: Heard, finished: dict[int, str]) -> list[str]:
    """Ask all children to stop, hear what they still have to say, and see each one dead."""
    for child in children.values():
        child.tell({"stop": True})
    until = time.monotonic() + GRACE
    while len(finished) < len(children) and (remaining := until - time.monotonic()) > 0:
        try:
            _take(said.get(timeout=remaining), children, heard, finished)
        except queue.Empty:
            break
    return [note for n, child in children.items() if (note := _farewell(child, finished.get(n)))]


def _farewell(child: Helper, ending: str | None) -> str:
    """End ``child``; a note if it did not come to its end as it should."""
    code = child.end(0.1 if ending else 0.0)
    words = child.last_words()
    if ending in (None, "done"):  # None: still at work when its time was over
        return ""
    if ending != "broken":
        return f"an improving process gave up: {ending}"
    how = f"was ended by signal {-code}" if code < 0 else f"ended with code {code}"
    return f"an improving process {how}" + (f": {words}" if words else "")
