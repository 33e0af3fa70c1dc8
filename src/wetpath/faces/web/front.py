"""Who goes first: whoever waits for the answer to a change goes before the long work of all pages."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from time import monotonic

#: Long work waits for others at most so long at a time [s], so that it comes to an end on a busy server too.
LONGEST_WAIT = 0.5
#: Who changed something within this belongs to the crowd [s].
LATELY = 10.0
_busy = 0
_free = threading.Condition()
_answered: dict[Hashable, float] = {}


@contextmanager
def at_the_front(who: Hashable = None) -> Iterator[None]:
    """Somebody waits for what is done inside; `who` changes something belongs to the crowd."""
    global _busy  # noqa: PLW0603
    with _free:
        _busy += 1
    try:
        yield
    finally:
        with _free:
            if who is not None:
                _answered[who] = monotonic()
            _busy -= 1
            if not _busy:
                _free.notify_all()


def crowd() -> int:
    """How many changed something lately."""
    with _free:
        for who in [who for who, when in _answered.items() if monotonic() - when > LATELY]:
            del _answered[who]
        return len(_answered)


def give_way(stopped: Callable[[], bool]) -> None:
    """Wait, in a thread of long work, while anybody is answered."""
    if _busy:
        with _free:
            _free.wait_for(lambda: not _busy or stopped(), timeout=LONGEST_WAIT)
