"""Long work of a page: in a thread, with progress, stopped by Esc or by the next of its kind; it outlives the page.

Long work has threads of its own, so that a changed value never waits for one of them; and it gives way between two of
its steps while a changed value is rated.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Awaitable, Callable, Hashable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from time import monotonic
from typing import Any, Generic, TypeVar

from nicegui import app, background_tasks, ui

from wetpath.faces.web.front import give_way

Found = TypeVar("Found")
Told = Callable[[int, int], None]
Stopped = Callable[[], bool]
Show = Callable[[int, int, str], None]

#: Work that was asked for, and work that is done unasked after every change: the latter one at a time on the server.
ASKED, UNASKED = ThreadPoolExecutor(4, "asked"), ThreadPoolExecutor(1, "unasked")
#: Work that nobody asked for is not told before it has lasted so long [s].
UNTOLD = 1.0
_closing = threading.Event()
app.on_shutdown(_closing.set)


class JobStopped(Exception):
    """The user has stopped the work."""


class _Work(Generic[Found]):
    """One piece of work; it goes on when the pages that asked for it are left."""

    def __init__(self, work: Callable[[Told, Stopped], Found], key: Hashable, threads: ThreadPoolExecutor,
                 after: float) -> None:
        self.key = key
        self.stop = threading.Event()
        self.done = (0, 0)
        self.began = monotonic()
        self.told_from = self.began + (after + UNTOLD if threads is UNASKED else 0.0)
        self.pages: list[Callable[[], bool]] = []            # of every page that follows it, whether it was left
        self._work, self._threads, self._after = work, threads, after
        self.task = background_tasks.create(self._run(), name="long work")

    @property
    def stopped(self) -> bool:
        """Whether it is asked to stop."""
        return self.stop.is_set() or _closing.is_set()

    @property
    def alone(self) -> bool:
        """Whether no page follows it any more."""
        return all(left() for left in self.pages)

    async def _run(self) -> Found | Exception:
        try:
            await asyncio.sleep(self._after)
            return await asyncio.get_running_loop().run_in_executor(self._threads, self._do)
        except Exception as error:
            return error

    def _do(self) -> Found:
        self._told(0, 0)
        return self._work(self._told, lambda: self.stopped)

    def _told(self, done: int, total: int) -> None:
        self.done = done, total
        give_way(lambda: self.stopped)
        if self.stopped:
            raise JobStopped


@dataclass
class Waiting:
    """Work that goes on for one enquiry of one user, and the results of it that nobody saw yet."""

    going: dict[str, _Work[Any]] = field(default_factory=dict)      # by what it counts: one of a kind
    views: dict[str, str] = field(default_factory=dict)             # where a result waits, with what was asked there


@dataclass(frozen=True)
class Place:
    """A page, as its long work sees it: what goes on beside it, which view it is, what was asked, whether it was left.

    Without words for what was asked the result cannot be found again, and does not wait. A browser that went away may
    not have said so yet: `answered` asks it, and `left` tells the truth after that.
    """

    waiting: Waiting
    view: str
    asked: Callable[[], str | None]
    left: Callable[[], bool]
    answered: Callable[[], Awaitable[None]]


async def _at_once() -> None:
    """Answer for a page that nobody leaves."""


class Job(Generic[Found]):
    """Runs one piece of work at a time; a newer one stops the older.

    Work asked for at a `place` outlives the page: who asks there for the same `key` again follows what is going on, and
    a result that comes while every page of it is left waits at its view.
    """

    def __init__(self, show: Show, unit: str, *, threads: ThreadPoolExecutor = ASKED,
                 place: Place | None = None) -> None:
        self._show, self._unit, self._threads = show, unit, threads
        self._place = place or Place(Waiting(), "", lambda: None, lambda: False, _at_once)
        self._work: _Work[Found] | None = None
        self._timer = ui.timer(0.3, self._tell, active=False)

    @property
    def running(self) -> bool:
        """Whether work is going on."""
        return bool(self._timer.active)

    def start(self, work: Callable[[Told, Stopped], Found], found: Callable[[Found], None],
              failed: Callable[[str], None], *, key: Hashable = None, after: float = 0.0) -> None:
        """Begin the work, or follow the same that is going on; `found` is told the result, `failed` words of an error.

        Without a `key` no work is the same as another. New work begins `after` some seconds.
        """
        if self._timer.is_deleted:                               # the page was closed meanwhile
            return
        going = self._place.waiting.going
        same = going.get(self._unit)
        if same is not None and (key is None or same.key != key or same.stopped):
            if same.alone:
                same.stop.set()
            same = None
        if self._work is not same:
            self.stop()
        if same is None:
            same = going[self._unit] = _Work(work, key, self._threads, after)
        self._work = same
        same.pages.append(self._place.left)
        background_tasks.create(self._follow(same, self._place.asked(), found, failed), name=self._unit)

    def stop(self) -> None:
        """Ask the work to stop."""
        if self._work is not None:
            self._work.stop.set()

    async def _follow(self, work: _Work[Found], asked: str | None, found: Callable[[Found], None],
                      failed: Callable[[str], None]) -> None:
        if not self._timer.is_deleted:
            self._timer.activate()
        result = await asyncio.shield(work.task)
        waiting = self._place.waiting
        if waiting.going.get(self._unit) is work:
            del waiting.going[self._unit]
        if work is not self._work:
            return
        self._work = None
        if not self._timer.is_deleted:
            self._timer.deactivate()
        self._show(0, 1, "")
        if isinstance(result, JobStopped):
            failed("Stopped.")
            return
        if isinstance(result, Exception):
            failed(str(result))
        else:
            found(result)
        if asked is not None:
            await self._place.answered()
            if work.alone:
                waiting.views[self._place.view] = asked

    def _tell(self) -> None:
        done, total = self._work.done if self._work is not None else (0, 0)
        if self._work is None or not total or monotonic() < self._work.told_from:
            return
        left = (monotonic() - self._work.began) * (total - done) / done if done else 0.0
        tail = f", {left:.0f} s left" if left >= 1 else ""
        self._show(done, total, f"{done} of {total} {self._unit}{tail}, Esc stops")
