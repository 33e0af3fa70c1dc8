"""Hand parts to other processes, a few at a time, and take them back as they are done."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, CancelledError, Executor, Future, wait
from concurrent.futures.process import BrokenProcessPool
from typing import Any, Protocol

from wetpath.errors import WorkersError
from wetpath.links.cluster.task import solve_task, tasks_of
from wetpath.questions.parts import Result, Work

#: Parts handed out for each worker: one in work, one waiting beside it; the others stay here.
HANDED_OUT = 2
#: Seconds between two looks at whether to stop.
LOOK = 0.2
#: Times that workers may end before one of them has done a part.
LOSSES = 3


class Crew(Protocol):
    """Workers."""

    @property
    def executor(self) -> Executor:
        """Takes tasks."""

    def places(self) -> int:
        """How many work at the same time, now."""

    def renew(self) -> None:
        """Replace workers that have ended."""

    def close(self) -> None:
        """Let them go."""


def result_of(future: Future[Result]) -> Result | None:
    """Result of a part that is over; none when its worker ended.

    Raises
    ------
    WorkersError
        When the workers cannot be reached any more.
    """
    try:
        return future.result()
    except BrokenProcessPool:
        return None
    except CancelledError:
        raise WorkersError("The workers cannot be reached any more.") from None


def one_more(losses: int) -> int:
    """Count that workers have ended before one of them has done a part.

    Raises
    ------
    WorkersError
        When they have too often.
    """
    if losses + 1 > LOSSES:
        raise WorkersError(f"Worker processes ended {losses + 1} times before one part was done.")
    return losses + 1


def parts_of(crew: Crew, work: Work[Any, Any], numbers: Sequence[int], stop: Callable[[], bool]
             ) -> Iterator[tuple[int, Result]]:
    """Have parts done, and give each with its number as it comes.

    When it is stopped, or interrupted at the terminal, parts that are in work are waited for and given too; a second
    interrupt gives them up. Parts of workers that end are handed out again.

    Raises
    ------
    WorkersError
        When workers end again and again before a part is done, or cannot be reached any more.
    """
    task, waiting, flying = tasks_of(work), list(reversed(numbers)), dict[Future[Result], int]()
    stopping = interrupted = False
    losses = 0
    while waiting or flying:
        lost = False
        try:
            stopping = stopping or stop()
            if stopping:
                waiting.clear()
                flying = {future: number for future, number in flying.items() if not future.cancel()}
            while waiting and len(flying) < HANDED_OUT * crew.places():
                future = crew.executor.submit(solve_task, task(waiting[-1]))
                flying[future] = waiting.pop()
            done, _ = wait(flying, timeout=LOOK, return_when=FIRST_COMPLETED)
        except BrokenProcessPool:
            done, lost = set(), True
        except KeyboardInterrupt:
            if interrupted:
                raise
            stopping = interrupted = True
            continue
        for future in done:
            result = result_of(future)
            if result is None:
                lost = True
                continue
            losses = 0
            yield flying.pop(future), result
        if lost:
            losses = one_more(losses)
            waiting = [] if stopping else sorted([*waiting, *flying.values()], reverse=True)
            flying.clear()
            crew.renew()
    if interrupted:
        raise KeyboardInterrupt
