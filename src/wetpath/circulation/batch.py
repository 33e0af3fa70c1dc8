"""The coupled solve over a batch of cases, in parallel on the cores of the machine."""

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells as ring
from wetpath.circulation.margins import find_margins
from wetpath.circulation.solve import SCALARS, CaseArrays, MachineArrays, NetworkArrays, solve_case
from wetpath.liquids.lookup import LiquidArrays
from wetpath.physics.published import compiled

#: Batches up to this are solved on one core: handing a part to another thread takes as long as one case or two.
SMALLEST_SHARED = 5
#: Large batches are cut into shares of at least this.
SMALLEST_SHARE = 64
_ALONE = ContextVar("_ALONE", default=False)


class BatchArrays(NamedTuple):
    """Solved states of a batch, first axis the case."""

    flow: NDArray[np.float64]         # (cases, branches) [kg/s], signed along the branch
    pressure: NDArray[np.float64]     # (cases, stations) [Pa]
    temperature: NDArray[np.float64]  # (cases, stations) [K]
    enthalpy: NDArray[np.float64]     # (cases, stations) [J/kg]
    saturation: NDArray[np.float64]   # (cases, stations) vapour pressure [Pa]
    boiling: NDArray[np.float64]      # (cases, stations) boiling temperature at the local pressure [K]
    heat: NDArray[np.float64]         # (cases, branches) [W]
    cells: NDArray[np.float64]        # (cases, CELL_RECORD, cells), see annulus_cells
    scalars: NDArray[np.float64]      # (cases, SCALARS), see solve

    def of(self, chosen: Any) -> "BatchArrays":
        """Copies of the chosen cases."""
        return BatchArrays(*(np.ascontiguousarray(array[chosen]) for array in self))

    def put(self, chosen: Any, other: "BatchArrays") -> None:
        """Overwrite the chosen cases with others."""
        for array, values in zip(self, other, strict=True):
            array[chosen] = values


def empty_batch(cases: int, branches: int, stations: int, cells: int) -> BatchArrays:
    """Arrays for the results of a batch, zero."""
    station = (cases, stations)
    return BatchArrays(
        np.zeros((cases, branches)), np.zeros(station), np.zeros(station), np.zeros(station), np.zeros(station),
        np.zeros(station), np.zeros((cases, branches)), np.zeros((cases, ring.CELL_RECORD, cells)),
        np.zeros((cases, SCALARS)))


@compiled
def solve_range(network: NetworkArrays, machine: MachineArrays, liquid: LiquidArrays, cases: CaseArrays, warm: bool,
                results: BatchArrays, first: int, last: int) -> None:
    """Solve cases ``first`` to ``last - 1``, each by itself, into ``results``."""
    for case in range(first, last):
        solve_case(network, machine, liquid, cases, case, warm, results.flow[case], results.pressure[case],
                   results.temperature[case], results.enthalpy[case], results.heat[case], results.cells[case],
                   results.scalars[case])
        find_margins(liquid, results.pressure[case], results.temperature[case], results.cells[case],
                     results.saturation[case], results.boiling[case], results.scalars[case])


def solve_batch(network: NetworkArrays, machine: MachineArrays, liquid: LiquidArrays, cases: CaseArrays, warm: bool,
                results: BatchArrays) -> None:
    """Solve every case, from a first guess of its own or, when ``warm``, from the state in ``results``.

    Large batches are shared among the cores; the order in which cases are taken does not change a digit.
    """
    count, workers = cases.flow.size, threads()
    if count <= SMALLEST_SHARED or workers == 1:
        solve_range(network, machine, liquid, cases, warm, results, 0, count)
        return
    shares = min(max(workers, count // SMALLEST_SHARE), 8 * workers, count)
    among_cores(lambda first, last: solve_range(network, machine, liquid, cases, warm, results, first, last),
                [count * share // shares for share in range(shares + 1)])


def among_cores(solve: Callable[[int, int], None], ends: Sequence[int]) -> None:
    """Solve from each of the ends to the next, the first here, the others in threads that stay; alone all here."""
    shares = [*pairwise(ends)]
    workers = threads()
    others = [] if workers == 1 else [_pool(workers).submit(solve, *share) for share in shares[1:]]
    for share in shares if workers == 1 else shares[:1]:
        solve(*share)
    for other in others:
        other.result()


@cache
def _pool(workers: int) -> ThreadPoolExecutor:
    """Threads that stay for the life of the process."""
    return ThreadPoolExecutor(workers, thread_name_prefix="wetpath-solve")


@contextmanager
def one_thread() -> Iterator[None]:
    """Solve batches in the calling thread alone, where other workers use the other cores."""
    token = _ALONE.set(True)
    try:
        yield
    finally:
        _ALONE.reset(token)


def threads() -> int:
    """Threads that share a batch: one for each core, or one alone within `one_thread`."""
    return 1 if _ALONE.get() else cores()


def cores() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
