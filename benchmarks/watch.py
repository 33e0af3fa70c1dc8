"""Prints what watching costs: ``uv run python benchmarks/watch.py``.

A replay of a million one-second samples of one pump (wall time, all cores, goal 20 s), the margin against the full
solve at points of its own, and 200 live pumps at one sample a second (process time for one second of the plant, one
thread, goal 1 s).
"""

from __future__ import annotations

import resource
from time import perf_counter, process_time

import numpy as np

import wetpath as wp
from wetpath.circulation import batch
from wetpath.links.virtual_pump import VirtualPump
from wetpath.services.watch import watcher_for
from wetpath.watching.samples import Samples
from wetpath.watching.watcher import Watcher

SAMPLES, CHUNK, PUMPS, SECONDS = 1_000_000, 10_000, 200, 5


def main() -> None:
    rating = wp.rate(wp.demo_enquiry("butane_reflux"), pump=wp.demo_pump("medium"))
    begun = perf_counter()
    watcher = watcher_for(rating)
    surrogate = watcher.surrogate
    print(f"surrogate: {perf_counter() - begun:.1f} s, {surrogate.points} solves; against the full solve off by up to "
          f"{surrogate.error:.0f} Pa, {surrogate.relative_error:.2%} of the margin")
    plant = VirtualPump(rating, case=surrogate.case, seed=3)
    times, values = plant.readings(0, CHUNK)
    watcher.take(Samples(times, values))
    begun, spent = perf_counter(), process_time()
    for number in range(1, SAMPLES // CHUNK + 1):
        watcher.take(Samples(times + number * CHUNK, values))
    print(f"replay of {SAMPLES} samples: {perf_counter() - begun:.1f} s on the clock, {process_time() - spent:.1f} s "
          f"of processors, {len(watcher.alarms)} alarms, most memory of the process "
          f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    pumps = [Watcher(surrogate, watcher.errors) for _ in range(PUMPS)]
    costs = []
    for second in range(SECONDS):
        parts = {one: value[second:second + 1] for one, value in values.items()}
        sample = Samples(times[second:second + 1], parts)
        begun = process_time()
        for one in pumps:
            one.take(sample)
        costs.append(process_time() - begun)
    print(f"{PUMPS} pumps: {1e3 * np.median(costs):.0f} ms of one core for each second ({batch.threads()} threads set)")


if __name__ == "__main__":
    main()
