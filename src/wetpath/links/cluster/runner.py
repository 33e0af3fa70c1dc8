"""Decide who does the parts of a question, keep what is done, and tell how far it is."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from types import TracebackType
from typing import Any

from wetpath.circulation.batch import cores
from wetpath.errors import Stopped, WorkersError
from wetpath.links.cluster.crew import Crew, parts_of
from wetpath.links.cluster.dask_cluster import DaskCluster
from wetpath.links.cluster.kept import Kept
from wetpath.links.cluster.pool import Pool
from wetpath.questions.parts import Cancelled, Progress, Result, Work

#: Work of which this much time is left is given to worker processes and kept on disk part by part [s]. Starting the
#: workers and loading the program into them takes two to four seconds.
PAYS = 10.0
#: Told the name of the work, its parts done, its parts in all, and the seconds left, None when not yet known.
Watch = Callable[[str, int, int, float | None], None]


class ScaledRunner:
    """Does the works of one question, one after the other, with the same workers.

    Parameters
    ----------
    key : str
        Names the question and everything its answer depends on; parts kept under it are taken again.
    cluster : str, optional
        Address of the scheduler of a Dask cluster, which then does all parts.
    workers : int, optional
        Processes on this machine; 1: none beside this one. Without it this process begins, and as soon as the time
        left is reckoned at `PAYS` or more, as many processes as cores go on.
    tell, watch : callable, optional
        Told whole sentences; told how far it is.

    Notes
    -----
    Used with ``with``: workers are let go at its end, and parts are dropped from the disk when all works were done.
    """

    def __init__(self, key: str, *, cluster: str | None = None, workers: int | None = None,
                 tell: Callable[[str], None] | None = None, watch: Watch | None = None) -> None:
        self.kept, self.cluster, self.tell, self.watch = Kept(key), cluster, tell, watch
        self.workers = cores() if workers is None else workers
        self.at_once = workers is not None and workers > 1
        self.crew: Crew | None = DaskCluster(cluster) if cluster else None
        self.stopped = False

    def __enter__(self) -> ScaledRunner:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
                 ) -> None:
        if self.crew is not None:
            self.crew.close()
        if error is None and not self.stopped:
            self.kept.clear()

    def __call__(self, work: Work[Any, Any], progress: Progress | None = None, cancelled: Cancelled | None = None
                 ) -> list[Result | None]:
        """Do every part that is not kept from before."""
        count = len(work.chunks)
        results = [self.kept.read(work.name, number) for number in range(count)]
        before = count - results.count(None)
        if before:
            self._say(f"{before} of {count} parts were done before ({work.name})")
        pace = _Pace(work, results)

        def stop() -> bool:
            self.stopped = self.stopped or (cancelled is not None and cancelled())
            return self.stopped

        def told() -> None:
            if self.watch is not None:
                self.watch(work.name, pace.parts, count, pace.seconds_left)
            if progress is not None and pace.done:
                progress(pace.done, pace.of)

        told()
        try:
            for number, result in self._parts(work, results, pace, stop):
                results[number] = result
                pace.part_is_done(number)
                told()
        except KeyboardInterrupt:
            raise Stopped(self._where_it_stands(work, results)) from None
        except WorkersError as error:
            raise WorkersError(f"{error} {self._where_it_stands(work, results)}") from None
        if self.stopped and None in results:
            self._say(self._where_it_stands(work, results))
        return results

    def _parts(self, work: Work[Any, Any], results: list[Result | None], pace: _Pace, stop: Callable[[], bool]
               ) -> Iterator[tuple[int, Result]]:
        """Parts that are not done, kept as they come where the work is long."""
        todo = [number for number, result in enumerate(results) if result is None]
        if self.crew is None and self.at_once and len(todo) > 1:
            self.crew = Pool(self.workers)
        keeping = self.kept.folder.exists()
        while todo:
            if self.crew is not None:
                try:
                    yield from self._by_crew(self.crew, work, todo, pace, stop)
                    return
                except WorkersError as error:
                    if self.cluster or self.at_once:
                        raise
                    self._say(f"{str(error).rstrip('.')}; going on without worker processes")
                    self.crew, self.workers = None, 1
                    todo = [number for number, result in enumerate(results) if result is None]
            if stop() or not todo:
                return
            number = todo.pop(0)
            result = work.solve(work.shared, work.chunks[number])
            yield number, result
            left = pace.seconds_left
            if keeping:
                self.kept.write(work.name, number, result)
            elif left is not None and left >= PAYS:
                self._keep(work, results)
                keeping = True
            if self.workers > 1 and len(todo) > 1 and left is not None and left >= PAYS:
                self._say(f"about {left:.0f} s left; going on with {self.workers} processes")
                self.crew = Pool(self.workers)

    def _by_crew(self, crew: Crew, work: Work[Any, Any], todo: list[int], pace: _Pace, stop: Callable[[], bool]
                 ) -> Iterator[tuple[int, Result]]:
        pace.begin_again()
        for number, result in parts_of(crew, work, todo, stop):
            self.kept.write(work.name, number, result)
            yield number, result

    def _keep(self, work: Work[Any, Any], results: list[Result | None]) -> None:
        for number, result in enumerate(results):
            if result is not None and not self.kept.has(work.name, number):
                self.kept.write(work.name, number, result)

    def _where_it_stands(self, work: Work[Any, Any], results: list[Result | None]) -> str:
        """What is done, kept whatever it took, and what to do."""
        self._keep(work, results)
        done = len(results) - results.count(None)
        if not done:
            return f"Stopped before the first of {len(results)} parts was done ({work.name})."
        return (f"Stopped after {done} of {len(results)} parts ({work.name}). What is done is kept; ask the same again "
                "to go on from there.")

    def _say(self, words: str) -> None:
        if self.tell is not None:
            self.tell(words)


class _Pace:
    """How far a work is, and how long the rest takes at the pace since the workers began."""

    def __init__(self, work: Work[Any, Any], results: list[Result | None]) -> None:
        self.sizes, self.of = work.sizes, sum(work.sizes)
        self.parts = len(results) - results.count(None)
        self.done = sum(size for size, result in zip(work.sizes, results, strict=True) if result is not None)
        self.begin_again()

    def begin_again(self) -> None:
        """Others go on, at another pace."""
        self.began, self.since = time.monotonic(), 0

    def part_is_done(self, number: int) -> None:
        """Count a part."""
        self.parts += 1
        self.done += self.sizes[number]
        self.since += self.sizes[number]

    @property
    def seconds_left(self) -> float | None:
        """At the pace so far; None before there is one."""
        return (time.monotonic() - self.began) * (self.of - self.done) / self.since if self.since else None
