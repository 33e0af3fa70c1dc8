"""Long work of one page: in a thread, with progress, stopped by Esc or by the next of its kind.

Long work has threads of its own, so that a changed value never waits for one of them; and it gives way between two of
its steps while a changed value is rated.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from time import monotonic
from typing import Generic, TypeVar

from nicegui import app, background_tasks, ui

from wetpath.faces.web.front import give_way

Found = TypeVar("Found")
Told = Callable[[int, int], None]
Stopped = Callable[[], bool]
Show = Callable[[int, int, str], None]

#: Work that was asked for, and work that is done unasked after every change: the latter one at a time on the server.
ASKED, UNASKED = ThreadPoolExecutor(4, "asked"), ThreadPoolExecutor(1, "unasked")
_closing = threading.Event()
app.on_shutdown(_closing.set)


class JobStopped(Exception):
    """The user has stopped the work."""


class Job(Generic[Found]):
    """Runs one piece of work at a time; a newer one stops the older."""

    def __init__(self, show: Show, unit: str, *, threads: ThreadPoolExecutor = ASKED, after: float = 0.0) -> None:
        self._show, self._unit, self._threads, self._after = show, unit, threads, after
        self._stop = threading.Event()
        self._done = (0, 0)
        self._began = 0.0
        self._timer = ui.timer(0.3, self._tell, active=False)

    @property
    def running(self) -> bool:
        """Whether work is going on."""
        return bool(self._timer.active)

    def start(self, work: Callable[[Told, Stopped], Found], found: Callable[[Found], None],
              failed: Callable[[str], None]) -> None:
        """Begin the work; `found` is told the result, `failed` the words of an error."""
        self.stop()
        self._stop, self._done, self._began = threading.Event(), (0, 0), monotonic()
        background_tasks.create(self._run(work, found, failed, self._stop), name=self._unit)

    def stop(self) -> None:
        """Ask the work to stop."""
        self._stop.set()

    async def _run(self, work: Callable[[Told, Stopped], Found], found: Callable[[Found], None],
                   failed: Callable[[str], None], stop: threading.Event) -> None:
        def told(done: int, total: int) -> None:
            if stop is self._stop:
                self._done = done, total
            give_way(stopped)
            if stopped():
                raise JobStopped

        def stopped() -> bool:
            return stop.is_set() or _closing.is_set()

        def done() -> Found:
            told(0, 0)
            return work(told, stopped)

        if self._timer.is_deleted:                               # the page was closed meanwhile
            return
        self._timer.activate()
        try:
            await asyncio.sleep(self._after)
            result = await asyncio.get_running_loop().run_in_executor(self._threads, done)
        except JobStopped:
            if stop is self._stop:
                failed("Stopped.")
            return
        except Exception as error:
            failed(str(error))
            return
        finally:
            if stop is self._stop:
                self._timer.deactivate()
                self._show(0, 1, "")
        if stop is self._stop:
            found(result)

    def _tell(self) -> None:
        done, total = self._done
        if not total:
            return
        left = (monotonic() - self._began) * (total - done) / done if done else 0.0
        tail = f", {left:.0f} s left" if left >= 1 else ""
        self._show(done, total, f"{done} of {total} {self._unit}{tail}, Esc stops")
