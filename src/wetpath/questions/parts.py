"""Work cut into parts that know nothing of each other, and the plainest way to do them: here, one after the other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar

from numpy.typing import NDArray

Shared = TypeVar("Shared")
Chunk = TypeVar("Chunk")

#: What a part gives: plain arrays by name, so that it can be sent, kept in a file and read again without a doubt.
Result = dict[str, NDArray[Any]]
#: Told how much is done, of how much.
Progress = Callable[[int, int], None]
#: Asked between parts; true stops the work.
Cancelled = Callable[[], bool]


@dataclass(frozen=True, eq=False)
class Work(Generic[Shared, Chunk]):
    """Parts of one kind. Where they are cut depends on the work alone, never on who does it."""

    name: str                                    # told to users
    solve: Callable[[Shared, Chunk], Result]     # a function of a module, so that another process finds it
    shared: Shared                               # what every part needs
    chunks: Sequence[Chunk]
    sizes: Sequence[int]                         # how much each part counts in the progress


class Runner(Protocol):
    """Does work. Results stand in the order of the chunks; None for a part that was not done when it was stopped."""

    def __call__(self, work: Work[Any, Any], progress: Progress | None = None, cancelled: Cancelled | None = None
                 ) -> list[Result | None]:
        """Do every part, or as many as are done when ``cancelled`` answers true."""


def run_here(work: Work[Any, Any], progress: Progress | None = None, cancelled: Cancelled | None = None
             ) -> list[Result | None]:
    """Do the parts in order, in this process."""
    results: list[Result | None] = [None] * len(work.chunks)
    done, of = 0, sum(work.sizes)
    for number, chunk in enumerate(work.chunks):
        if cancelled is not None and cancelled():
            break
        results[number] = work.solve(work.shared, chunk)
        done += work.sizes[number]
        if progress is not None:
            progress(done, of)
    return results


def slices(count: int, size: int) -> list[slice]:
    """Cut a number of points into pieces of one size, the last one smaller.

    >>> slices(5, 2)
    [slice(0, 2, None), slice(2, 4, None), slice(4, 5, None)]
    """
    return [slice(first, min(first + size, count)) for first in range(0, count, size)]
