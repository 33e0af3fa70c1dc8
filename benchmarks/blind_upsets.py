"""How well the watch names causes it was not tuned on: ``uv run python benchmarks/blind_upsets.py [runs] [seed]``.

Every run draws an upset with its own course, numbers of the transient model within a tenth, and a pump whose head,
power and warmth of the shell lie up to a tenth off the rating; readings carry the lag and noise of the instruments. One
hour of normal running goes before. Then normal running with moving conditions, for false alarms.
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import dataclass

import numpy as np

import wetpath as wp
from wetpath.links.virtual_pump import VirtualPump
from wetpath.rating.rate import Rating
from wetpath.services.watch import watcher_for
from wetpath.upsets import Upset, simulate
from wetpath.upsets.knots import Factors
from wetpath.watching.reconcile import ORDER
from wetpath.watching.samples import Samples, Signal
from wetpath.watching.surrogate import PRESSURE, RISE, Surrogate, columns_at
from wetpath.watching.watcher import Watcher

#: What is drawn: kind, parameters with their range, names that count as right.
DRAWN: tuple[tuple[str, dict[str, tuple[float, float]], str], ...] = (
    ("suction strangled", {"over": (120.0, 1200.0), "share": (0.2, 0.6)}, "suction_falling"),
    ("suction pressure decay", {"over": (120.0, 1200.0), "share": (-0.1, 0.2)}, "suction_falling"),
    ("hot slug", {"over": (10.0, 300.0), "rise": (10.0, 25.0), "lasts": (600.0, 1200.0)}, "hot_slug"),
    ("below minimum flow", {"over": (10.0, 120.0), "share": (0.02, 0.1)}, "flow_falling"),
    ("discharge closed", {"over": (5.0, 60.0)}, "flow_falling"),
    ("feed plugging", {"over": (600.0, 2400.0), "share": (0.02, 0.2)}, "feed_plugging"),
    ("return plugging", {"over": (600.0, 2400.0), "share": (0.02, 0.2)}, "feed_plugging"),
    ("gas entrained", {"over": (2.0, 60.0), "share": (0.05, 0.12)}, "gas_entrained"),
    ("wrong liquid", {"over": (2.0, 60.0), "density": (1.2, 1.5)}, "wrong_liquid"),
    ("instrument", {}, "instrument"))
SLOW = {"suction strangled", "suction pressure decay", "feed plugging", "return plugging"}
#: An instrument that is off: which, and by how many of its errors.
OFF = (Signal.FLOW, Signal.DISCHARGE_PRESSURE, Signal.MOTOR_POWER, Signal.SHELL_TEMPERATURE)
BEFORE, AFTER = 3700, 2400
#: The cause is the one named this long after the first warning, or when liquid is lost [s].
SETTLED = 300.0


@dataclass(frozen=True)
class Told:
    """One run: what came, what was named, when the warning stood and when liquid was lost [s after the cause]."""

    kind: str
    wanted: str
    named: str
    warned: float
    lost: float


def run(rating: Rating, surrogate: Surrogate, watcher: Watcher, number: int, seed: int) -> Told:
    """Draw an upset, and watch it."""
    random = np.random.default_rng([seed, number])
    kind, ranges, wanted = DRAWN[number % len(DRAWN)]
    values = {name: float(random.uniform(*ends)) for name, ends in ranges.items()}
    if kind == "hot slug":
        values["fall"] = -values["rise"]
    factors = Factors(**{name: float(random.uniform(0.9, 1.1)) for name in ("eddy", "film", "wall_heat", "air")})
    plant = VirtualPump(rating, case=surrogate.case, seed=seed + number, factors=factors)
    lost = np.inf
    if kind != "instrument":
        upset = Upset(kind, values=values)
        plant.with_upset(upset, BEFORE)()
        line = simulate(rating, [Upset(kind, start=1.0, values=values)], case=surrogate.case, duration=AFTER,
                        factors=factors)
        lost = line.when("liquid lost behind") - 1.0
    times, read = plant.readings(0, BEFORE + AFTER)
    head, power, warm = random.uniform(0.9, 1.1, 3)
    suction = read[Signal.SUCTION_PRESSURE]
    read[Signal.DISCHARGE_PRESSURE] = suction + head * (read[Signal.DISCHARGE_PRESSURE] - suction)
    read[Signal.MOTOR_POWER] = power * read[Signal.MOTOR_POWER]
    rise = read[Signal.SHELL_TEMPERATURE] - read[Signal.SUCTION_TEMPERATURE]
    read[Signal.SHELL_TEMPERATURE] = read[Signal.SUCTION_TEMPERATURE] + warm * rise
    if kind == "instrument":
        signal = OFF[int(random.integers(len(OFF)))]
        size = random.uniform(8, 15) * random.choice([-1, 1]) * watcher.errors.signals[ORDER.index(signal)]
        read[signal] = read[signal] + np.where(times >= BEFORE, size, 0.0)
        wanted = f"instrument: {signal}"
    own = Watcher(surrogate, watcher.errors)
    warned = np.inf
    for first in range(0, BEFORE + AFTER, 20):
        before = len(own.alarms)
        own.take(Samples(times[first:first + 20], {one: value[first:first + 20] for one, value in read.items()}))
        if len(own.alarms) > before and first >= BEFORE - 20:
            warned = min(warned, times[first] + 20 - BEFORE)
        if times[first] - BEFORE > warned + SETTLED or times[first] - BEFORE > lost:
            break
    named = named_by(own)
    return Told(kind, wanted, named, warned, lost)


def named_by(watcher: Watcher) -> str:
    """Cause that is named first."""
    if watcher.diagnosis is None or not watcher.alarms:
        return ""
    first = watcher.diagnosis.suspects[0]
    return f"instrument: {first.name}" if first.instrument else first.name


def normal(surrogate: Surrogate, watcher: Watcher, days: int, seed: int) -> int:
    """Alarms in days of normal running with conditions that move, a new pump every day."""
    alarms = 0
    coefficients = surrogate.at_feed(1.0)
    for day in range(days):
        random = np.random.default_rng([seed, 1, day])
        time = np.arange(86400.0)
        usual = watcher.errors.usual
        swing = np.array([0.04, 0.002, 0.001, 0.01]) * random.uniform(0.3, 1.0, 4)
        phase, period = random.uniform(0, 2 * np.pi, 4), random.uniform(1800, 28800, 4)
        states = usual * (1 + swing * np.sin(2 * np.pi * time[:, None] / period + phase))
        told = columns_at(coefficients, surrogate.low, surrogate.high, states)
        factor = random.uniform(0.9, 1.1, 4)
        true = np.concatenate([states, states[:, PRESSURE, None] + factor[0] * told[:, RISE, None],
                               factor[1] * told[:, 1, None], states[:, 1, None] + factor[2] * told[:, 2, None],
                               states[:, 1, None] + factor[3] * told[:, 3, None]], axis=1)
        read = true + 0.3 * watcher.errors.signals * random.standard_normal(true.shape)
        own = Watcher(surrogate, watcher.errors)
        for first in range(0, time.size, 3600):
            own.take(Samples(time[first:first + 3600], {
                one: read[first:first + 3600, place] for place, one in enumerate(ORDER)}))
        alarms += len(own.alarms)
        for alarm in own.alarms.values():
            print(f"  false alarm on day {day}: {alarm.name} at {alarm.time:.0f} s, {alarm.text}")
    return alarms


def main(runs: int, seed: int, days: int) -> None:
    rating = wp.rate(wp.demo_enquiry("hot_water"), pump=wp.demo_pump("medium"))
    watcher = watcher_for(rating)
    surrogate = watcher.surrogate
    told = [run(rating, surrogate, watcher, number, seed) for number in range(runs)]
    print("came -> named: runs, warned before liquid was lost")
    for (kind, named), count in sorted(Counter((one.kind, one.named or "nothing") for one in told).items()):
        print(f"  {kind:24} -> {named:50} {count:4}")
    right = sum(one.named == one.wanted for one in told)
    slow = [one for one in told if one.kind in SLOW and np.isfinite(one.lost)]
    early = sum(one.warned < one.lost for one in slow)
    print(f"cause named rightly in {right} of {len(told)} ({right / len(told):.0%})")
    print(f"warned before liquid loss in {early} of {len(slow)} slow ones that lose liquid")
    print(f"{normal(surrogate, watcher, days, seed)} false alarms in {days} pump-days of normal running")


if __name__ == "__main__":
    numbers = [int(one) for one in sys.argv[1:]]
    main(*(numbers + [40, 20261125, 4][len(numbers):]))
