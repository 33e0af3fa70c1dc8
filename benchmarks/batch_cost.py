"""Prints the cost of a case against the size of its batch: ``uv run python benchmarks/batch_cost.py [largest size]``.

Process time of all cores, per case; the least of some repeats. Hydraulics is the operating point, kernel the compiled
coupled solve (the coupling and its load angle are inside it), solve all that a rating calls, points the solve with
margins, NPSH, pull-out and power as the uncertainty question takes them, every input of every point moved, checks
every check of the rating as a window takes them (up to MOST_CHECKED). Below, the rooms of the package in which the time
of one rating and of one window goes.
"""

from __future__ import annotations

import cProfile
import os
import platform
import pstats
import resource
import sys
import warnings
from collections.abc import Callable
from time import perf_counter, process_time
from typing import Any

import conftest  # noqa: F401  (adds the folders of the tests to the path)
import numpy as np
import workloads

from wetpath.questions.uncertainty.study import CHUNK, Part, Shared, asked_case, solve_part

#: Seconds of work after which a size is not repeated.
ENOUGH = 1.0
#: Largest batch of which every check is taken.
MOST_CHECKED = 100_000
#: Share of the time below which a room is not told.
SMALLEST_SHARE = 0.01


def least(work: Callable[[], Any]) -> tuple[float, float]:
    """Least process time and least wall time of one call [s], the first not counted when calls are short."""
    process, wall, spent = np.inf, np.inf, 0.0
    while spent < ENOUGH:
        began, start = process_time(), perf_counter()
        work()
        took = perf_counter() - start
        process, wall, spent = min(process, process_time() - began), min(wall, took), spent + took
    return process, wall


def points_work(count: int) -> Callable[[], Any]:
    """Points of the uncertainty question in its own chunks, nothing kept."""
    rating = workloads.rating_of("butane_reflux", cases=1, full=False)()
    shared = Shared((asked_case(rating, 0),), {}, rating.practice.spreads, 1)
    # sizes here are powers of ten: the points need not be balanced to be timed
    warnings.filterwarnings("ignore", message="The balance properties of Sobol")

    def work() -> None:
        for first in range(0, count, CHUNK):
            solve_part(shared, Part(0, first, min(CHUNK, count - first), 0))
    return work


def checks_work(count: int) -> Callable[[], Any]:
    """Every check at so many points of a window."""
    flows = max(1, round(count ** 0.5))
    return workloads.window_map_of(flows, -(-count // flows))


def rooms(what: str, work: Callable[[], Any]) -> None:
    """Print the shares of the time of a piece of work by room of the package; a profiler's own cost is in them."""
    work()
    profile = cProfile.Profile()
    profile.runcall(work)
    shares: dict[str, float] = {}
    for (file, _, name), (_, _, own, _, _) in pstats.Stats(profile).stats.items():  # type: ignore[attr-defined]
        inside = file.partition("/src/wetpath/")[2]
        room = ("compiled solve" if name == "solve_range" else
                "/".join(inside.split("/")[:2]) if inside else "numpy, scipy and Python itself")
        shares[room] = shares.get(room, 0.0) + own
    total = sum(shares.values())
    print(f"\n{what}: {1e3 * total:.4g} ms with the profiler on")
    for room, own in sorted(shares.items(), key=lambda item: -item[1]):
        if own > SMALLEST_SHARE * total:
            print(f"  {room:<50}{100 * own / total:>6.1f} %")


def main(largest: int) -> None:
    """Print a row for each size."""
    print(f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}, "
          f"load {', '.join(f'{value:.1f}' for value in os.getloadavg())}")
    print("us a case, process time (wall time)")
    print(f"{'batch':>9}{'hydraulics':>14}{'kernel':>20}{'solve':>20}{'points':>20}{'checks':>20}"
          f"{'most memory, MB':>18}")
    size = 1
    while size <= largest:
        model, inputs = workloads.demo_cases(size)
        row = [least(lambda: model.point(inputs))]  # noqa: B023  (called at once)
        row += [least(make(size)) for make in (workloads.kernel_batch, workloads.whole_batch, points_work)]
        if size <= MOST_CHECKED:
            row.append(least(checks_work(size)))
        told = "".join(f"{1e6 * process / size:>10.4g} ({1e6 * wall / size:>7.4g})" for process, wall in row)
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"{size:>9}{told}{memory:>10.0f}", flush=True)
        size *= 10
    rooms("one rating, every case and check", workloads.rating_of("butane_reflux"))
    rooms("window 200 x 200, every check", workloads.window_map_of(200, 200))


if __name__ == "__main__":
    main(int(float(sys.argv[1])) if len(sys.argv) > 1 else 1_000_000)
