"""Who goes first: whoever waits for the answer to a change goes before the long work of all pages."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

#: Long work waits for others at most so long at a time [s], so that it comes to an end on a busy server too.
LONGEST_WAIT = 0.5
_busy = 0
_free = threading.Condition()


@contextmanager
def at_the_front() -> Iterator[None]:
    """Somebody waits for what is done inside."""
    global _busy  # noqa: PLW0603
    with _free:
        _busy += 1
    try:
        yield
    finally:
        with _free:
            _busy -= 1
            if not _busy:
                _free.notify_all()


def give_way(stopped: Callable[[], bool]) -> None:
    """Wait, in a thread of long work, while anybody is answered."""
    if _busy:
        with _free:
            _free.wait_for(lambda: not _busy or stopped(), timeout=LONGEST_WAIT)
