"""Prints the cost of one upset of ten minutes and of an ensemble: ``uv run python benchmarks/upsets.py [copies]``.

Process time of this process, warm; of one upset the least of some repeats.
"""

from __future__ import annotations

import sys
from time import process_time

import wetpath as wp
from wetpath.upsets import KINDS, Upset, ensemble, simulate

REPEATS = 5


def main(copies: int) -> None:
    rating = wp.rate(wp.demo_enquiry("butane_reflux"), pump=wp.demo_pump("medium"))
    simulate(rating, [])
    for kind in KINDS:
        times = []
        for _ in range(REPEATS):
            begun = process_time()
            simulate(rating, [Upset(kind)], duration=600.0)
            times.append(process_time() - begun)
        print(f"{kind:24} {1e3 * min(times):6.1f} ms")
    for kind in ("suction pressure decay", "return plugging"):
        begun = process_time()
        ensemble(rating, [Upset(kind)], copies=copies, duration=600.0)
        print(f"ensemble of {copies}, {kind}: {process_time() - begun:.1f} s on one core")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
