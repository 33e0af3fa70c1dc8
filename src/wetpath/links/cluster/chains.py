"""Chains of parts: each part of a chain begins where the one before ended; chains know nothing of each other."""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from types import TracebackType
from typing import Any

from wetpath.links.cluster.crew import HANDED_OUT, LOOK, Crew, one_more, result_of
from wetpath.links.cluster.dask_cluster import DaskCluster
from wetpath.links.cluster.pool import Pool
from wetpath.links.cluster.task import Task, fingerprint, solve_task
from wetpath.questions.parts import Result


@dataclass(frozen=True, eq=False)
class Link:
    """One part of a chain: what does it, what it shares with others of its chain, packed, and what it is given."""

    solve: Callable[[Any, Any], Result]
    shared: bytes
    chunk: Any


#: The next part of a chain, asked for when the one before has been dealt with; None at its end.
Chain = Callable[[], Link | None]


class ChainRunner:
    """Does chains in this process, in worker processes, or on a Dask cluster; used with ``with``.

    Parameters
    ----------
    cluster : str, optional
        Address of the scheduler of a Dask cluster.
    workers : int
        Processes on this machine; 1: none beside this one.
    """

    def __init__(self, *, cluster: str | None = None, workers: int = 1) -> None:
        self.crew: Crew | None = DaskCluster(cluster) if cluster else Pool(workers) if workers > 1 else None

    def __enter__(self) -> ChainRunner:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
                 ) -> None:
        if self.crew is not None:
            self.crew.close()

    def __call__(self, chains: Sequence[Chain], stop: Callable[[], bool]) -> Iterator[tuple[int, Result]]:
        """Give each part that is done with the number of its chain; the next one is asked for after that.

        A chain that has begun goes on before another begins, so that few are open at a time. When it is stopped, or
        interrupted at the terminal, parts in work are waited for and given too; a second interrupt gives them up.

        Raises
        ------
        WorkersError
            When workers end again and again before a part is done, or cannot be reached any more.
        """
        return self._by_crew(self.crew, chains, stop) if self.crew is not None else _here(chains, stop)

    def _by_crew(self, crew: Crew, chains: Sequence[Chain], stop: Callable[[], bool]) -> Iterator[tuple[int, Result]]:
        ready = list(reversed(range(len(chains))))
        again: list[tuple[int, Task]] = []                   # of workers that ended
        flying: dict[Future[Result], tuple[int, Task]] = {}
        stopping = interrupted = False
        losses = 0
        while ready or again or flying:
            lost = False
            try:
                stopping = stopping or stop()
                if stopping:
                    ready.clear()
                    again.clear()
                    flying = {future: one for future, one in flying.items() if not future.cancel()}
                while (ready or again) and len(flying) < HANDED_OUT * crew.places():
                    if again:
                        number, task = again[-1]
                    else:
                        link = chains[ready[-1]]()
                        number = ready.pop()
                        if link is None:
                            continue
                        task = Task(link.solve, link.shared, link.chunk, fingerprint())
                        again.append((number, task))
                    flying[crew.executor.submit(solve_task, task)] = number, task
                    again.pop()
                done, _ = wait(flying, timeout=LOOK, return_when=FIRST_COMPLETED) if flying else (set(), None)
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
                number, _task = flying.pop(future)
                yield number, result
                ready.append(number)
            if lost:
                losses = one_more(losses)
                again = [] if stopping else [*again, *flying.values()]
                flying.clear()
                crew.renew()
        if interrupted:
            raise KeyboardInterrupt


def _here(chains: Sequence[Chain], stop: Callable[[], bool]) -> Iterator[tuple[int, Result]]:
    packed: tuple[bytes, Any] = b"", None
    for number, chain in enumerate(chains):
        while not stop() and (link := chain()) is not None:
            if packed[0] != link.shared:
                packed = link.shared, pickle.loads(link.shared)
            yield number, link.solve(packed[1], link.chunk)
        if stop():
            return
