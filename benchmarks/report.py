"""Prints one table of all timings: ``uv run python benchmarks/report.py [--quick]``.

Medians and minima; on a machine shared with other work the minimum says more.
"""

from __future__ import annotations

import gc
import os
import platform
import statistics
import sys
import tempfile
from collections.abc import Callable
from time import perf_counter
from typing import Any

import conftest  # noqa: F401  (adds the folders of the tests to the path)
import workloads


def timed(work: Callable[[], Any], *, repeats: int, inner: int = 1) -> tuple[float, float]:
    """Median and least time of one call [s]; the first call is not counted.

    What other rows have left behind is kept out of the rounds of the collector of unused objects, as a server does.
    """
    work()
    gc.collect()
    gc.freeze()
    times = []
    for _ in range(repeats):
        start = perf_counter()
        for _ in range(inner):
            work()
        times.append((perf_counter() - start) / inner)
    return statistics.median(times), min(times)


def line(what: str, times: tuple[float, float], unit: str, per_second: float, note: str = "") -> None:
    """One row of the table."""
    median, least = times[0] * per_second, times[1] * per_second
    print(f"{what:<58}{median:>12.4g}{least:>12.4g} {unit:<12}{note}", flush=True)


def main(quick: bool) -> None:
    """Run every workload and print its row."""
    print(f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}, "
          f"load {', '.join(f'{value:.1f}' for value in os.getloadavg())}")
    print(f"{'':<58}{'median':>12}{'least':>12}")
    repeats = 5 if quick else 15
    line("one case, kernel only, cold guess", timed(workloads.kernel_batch(1), repeats=repeats, inner=200), "us", 1e6)
    line("one case, kernel only, warm", timed(workloads.kernel_batch(1, warm=True), repeats=repeats, inner=200),
         "us", 1e6)
    line("one case, all of it", timed(workloads.whole_batch(1), repeats=repeats, inner=50), "us", 1e6)
    for count in (100, 1000, 10_000) if quick else (100, 1000, 10_000, 100_000):
        times = timed(workloads.whole_batch(count), repeats=3 if count > 1000 else repeats)
        line(f"batch of {count}, all of it", times, "us/case", 1e6 / count)
    for name in ("butane_reflux", "hot_water", "ammonia", "hot_oil"):
        for cases, words in ((1, "one case"), (None, "all cases")):
            for full, what in ((True, "all checks"), (False, "without flow limits")):
                work = workloads.rating_of(name, cases=cases, full=full)
                line(f"rating, {name}, {words}, {what}", timed(work, repeats=repeats, inner=5), "ms", 1e3)
    for duty in workloads.DUTIES:
        ours = timed(workloads.w1_package(duty), repeats=repeats, inner=20)
        line(f"{duty}, package", ours, "us", 1e6, f"largest difference of a flow {workloads.w1_difference(duty):.1e}")
        for interface in ("PropsSI", "AbstractState"):
            plain = timed(workloads.w1_plain(duty, interface), repeats=1 if quick else 3)  # type: ignore[arg-type]
            line(f"{duty}, plain scipy and CoolProp {interface}", plain, "ms", 1e3,
                 f"{plain[1] / ours[1]:,.0f} x the package")
    line("liquid properties at a temperature and pressure", timed(workloads.lookup_states(), repeats=repeats), "ns",
         1e9 / workloads.POINTS)
    line("vapour pressure at a temperature", timed(workloads.lookup_vapour_pressures(), repeats=repeats), "ns",
         1e9 / workloads.POINTS)
    for size in ((60, 40),) if quick else ((60, 40), (200, 200)):
        line(f"window {size[0]} x {size[1]}, every check", timed(workloads.window_map_of(*size), repeats=3), "s", 1.0)
    line("window 60 x 40, suction pressure needed with its band",
         timed(workloads.window_search(60, 40), repeats=3), "s", 1.0)
    line("torque and loss map of a coupling", timed(workloads.coupling(), repeats=repeats), "ms", 1e3)
    line("study of a coupling, field anew", timed(workloads.coupling_study(), repeats=3), "s", 1.0)
    line("plane section of a coupling alone", timed(workloads.plane_section(), repeats=repeats), "ms", 1e3)
    elements = workloads.finite_elements()
    if elements is not None:
        line("one angle of a plane section, finite elements", timed(elements, repeats=3), "ms", 1e3)
    if workloads.command_line_exists():
        line("process: wetpath --help", timed(lambda: workloads.run_command("--help"), repeats=3), "s", 1.0)
        try:
            line("process: wetpath rate, everything cached", timed(workloads.rate_command(), repeats=3), "s", 1.0)
        except RuntimeError as failure:
            print(f"process: wetpath rate does not run: {str(failure).splitlines()[0]}")
    with tempfile.TemporaryDirectory() as folder:
        start = perf_counter()
        workloads.first_solve(folder)
        first = perf_counter() - start
        start = perf_counter()
        workloads.first_solve(folder)
        second = perf_counter() - start
    line("process: first solve ever, empty cache", (first, first), "s", 1.0)
    line("process: the same with the cache filled", (second, second), "s", 1.0)


if __name__ == "__main__":
    main("--quick" in sys.argv[1:])
