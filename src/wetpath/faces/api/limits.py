"""How much the HTTP interface takes at once."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from fastapi import HTTPException

PREFIX = "/api/v1"
#: Longest body of a request [bytes], and of one that brings a zip; longer ones are refused unread.
LONGEST_BODY, LONGEST_ZIP = 4_000_000, 20_000_000
ZIP_TYPE = "application/zip"
#: Questions worked on at once; more wait for their turn.
AT_ONCE = 2
#: Longest wait for a turn [s].
PATIENCE = 30.0
_turns = threading.BoundedSemaphore(AT_ONCE)


@contextmanager
def turn() -> Iterator[None]:
    """Wait for a turn to do what takes long."""
    if not _turns.acquire(timeout=PATIENCE):
        raise HTTPException(503, "Too many questions at once; ask again later.")
    try:
        yield
    finally:
        _turns.release()
