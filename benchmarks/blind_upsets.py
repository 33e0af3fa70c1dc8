"""How well the watch names causes: ``uv run python benchmarks/blind_upsets.py [runs] [seed] [years]``.

The seed is to be one on which nothing was tuned.

Every run draws an upset with its own course, numbers of the transient model within a tenth, and a pump whose head,
power and warmth of the shell lie up to a tenth off the rating; readings carry the lag and noise of the instruments. One
hour of normal running goes before. Then normal running with moving conditions, for false alarms.
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import dataclass

import numpy as np
from scipy.stats import beta, chi2

import wetpath as wp
from wetpath.links.virtual_pump import VirtualPump
from wetpath.services.watch import watcher_for
from wetpath.upsets import Upset, simulate
from wetpath.upsets.knots import Factors
from wetpath.watching.hypotheses import CAUSES, signals_at
from wetpath.watching.reconcile import ORDER, SIGNALS
from wetpath.watching.samples import Samples, Signal
from wetpath.watching.surrogate import Surrogate
from wetpath.watching.watcher import Watcher

#: What is drawn: kind, parameters with their range, and the name that counts as right. Upsets that move the signals
#: alike have one name, which says both: suction strangled and vessel losing pressure (suction and discharge pressure
#: fall by the same amount), feed and return plugging (less flow behind, nothing measures the pressure there), discharge
#: closed and running below the least flow (the same valve, more or less).
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
#: Drawn besides, told apart from the list above, which is that of the measurement before.
BESIDES: tuple[tuple[str, dict[str, tuple[float, float]], str], ...] = (
    ("magnets pulled out", {}, "out_of_step"),
    ("suction lost", {"over": (1.0, 15.0)}, "suction_lost"),
    ("blocked in", {"over": (5.0, 60.0)}, "flow_falling"),
    ("instrument creeping", {"over": (300.0, 2000.0)}, "instrument"))
#: An instrument that is off: which, and by how many of its errors.
OFF = (Signal.FLOW, Signal.DISCHARGE_PRESSURE, Signal.MOTOR_POWER, Signal.SHELL_TEMPERATURE)
BEFORE, AFTER = 3700, 2400
#: The cause is the one named this long after the first warning, or when liquid is lost [s].
SETTLED = 300.0
#: Time between samples of normal running [s]; by how much of its error an instrument wanders in a day.
STEP, WANDER = 10.0, 0.1
DAY, YEAR = 86400.0, 365.25


@dataclass(frozen=True)
class Told:
    """One run: what came, what was named, when the warning stood and when liquid was lost [s after the cause]."""

    kind: str
    wanted: str
    named: str
    alone: bool
    warned: float
    lost: float

    @property
    def right(self) -> bool:
        """Whether the cause named first is the right one."""
        return self.named == self.wanted

    @property
    def to_the_letter(self) -> bool:
        """The same when of the upsets that a name covers only that in its first place counts."""
        covers = list(CAUSES[self.named].kinds) if self.named in CAUSES else []
        return self.right and (not covers or covers[0] == self.kind or self.kind.startswith("instrument"))


def run(plant: VirtualPump, watcher: Watcher, drawn: tuple[str, dict[str, tuple[float, float]], str],
        seed: tuple[int, ...]) -> Told:
    """Draw an upset, and watch it."""
    random = np.random.default_rng(seed)
    kind, ranges, wanted = drawn
    values = {name: float(random.uniform(*ends)) for name, ends in ranges.items()}
    if kind == "hot slug":
        values["fall"] = -values["rise"]
    plant.factors = Factors(**{name: float(random.uniform(0.9, 1.1)) for name in ("eddy", "film", "wall_heat", "air")})
    plant.seed = int(random.integers(2**31))
    plant.reset()
    lost = np.inf
    if not kind.startswith("instrument"):
        plant.with_upset(Upset(kind, values=values), BEFORE)()
        line = simulate(plant.rating, [Upset(kind, start=1.0, values=values)], case=plant.case, duration=AFTER,
                        factors=plant.factors)
        lost = line.when("liquid lost behind") - 1.0
    times, read = plant.readings(0, BEFORE + AFTER)
    head, power, warm = random.uniform(0.9, 1.1, 3)
    suction = read[Signal.SUCTION_PRESSURE]
    read[Signal.DISCHARGE_PRESSURE] = suction + head * (read[Signal.DISCHARGE_PRESSURE] - suction)
    read[Signal.MOTOR_POWER] = power * read[Signal.MOTOR_POWER]
    rise = read[Signal.SHELL_TEMPERATURE] - read[Signal.SUCTION_TEMPERATURE]
    read[Signal.SHELL_TEMPERATURE] = read[Signal.SUCTION_TEMPERATURE] + warm * rise
    if kind.startswith("instrument"):
        signal = OFF[int(random.integers(len(OFF)))]
        size = random.uniform(8, 15) * random.choice([-1, 1]) * watcher.errors.signals[ORDER.index(signal)]
        read[signal] = read[signal] + size * np.clip((times - BEFORE) / values.get("over", 1e-3), 0.0, 1.0)
        wanted = f"instrument: {signal}"
    own = Watcher(watcher.surrogate, watcher.errors)
    warned = np.inf
    for first in range(0, BEFORE + AFTER, 20):
        before = set(own.alarms)
        own.take(Samples(times[first:first + 20], {one: value[first:first + 20] for one, value in read.items()}))
        new = [own.alarms[name].time - BEFORE for name in set(own.alarms) - before]
        warned = min([warned, *(one for one in new if one > 0)])
        if times[first] - BEFORE > min(warned + SETTLED, lost):
            break
    named, alone = named_by(own)
    return Told(kind, wanted, named, alone, warned, lost)


def named_by(watcher: Watcher) -> tuple[str, bool]:
    """Cause that is named first, and whether it is named alone."""
    if watcher.diagnosis is None or not watcher.diagnosis.title:
        return "", False
    first = watcher.diagnosis.suspects[0]
    return (f"instrument: {first.name}" if first.instrument else first.name,
            "cannot tell" not in watcher.diagnosis.title)


def normal(surrogate: Surrogate, watcher: Watcher, days: int, seed: int, step: float = STEP) -> Counter[str]:
    """Alarms in days of normal running, a new pump every day, by name.

    Flow, temperature, speed and suction pressure swing; the flow is set anew within 3 % every two hours or so; head,
    power and warmth lie up to a tenth off; instruments have noise and wander.
    """
    alarms: Counter[str] = Counter()
    errors = watcher.errors
    for day in range(days):
        random = np.random.default_rng([seed, 1, day])
        time = np.arange(0.0, DAY, step)
        swing = np.array([0.04, 0.002, 0.001, 0.01]) * random.uniform(0.3, 1.0, 4)
        phase, period = random.uniform(0, 2 * np.pi, 4), random.uniform(1800, 28800, 4)
        states = errors.usual * (1 + swing * np.sin(2 * np.pi * time[:, None] / period + phase))
        sets = np.r_[0.0, np.cumsum(random.exponential(7200.0, 60))]
        states[:, 0] *= 1 + random.uniform(-0.03, 0.03, sets.size)[np.searchsorted(sets, time, side="right") - 1]
        own = Watcher(surrogate, errors)
        model = signals_at(surrogate, states)
        factor = random.uniform(0.9, 1.1, 4)
        model[:, 4] = model[:, 3] + factor[0] * (model[:, 4] - model[:, 3])
        model[:, 5] *= factor[1]
        model[:, 6:] = model[:, 1:2] + factor[2:] * (model[:, 6:] - model[:, 1:2])
        ends = random.standard_normal((3, SIGNALS)) * WANDER
        wander = np.stack([np.interp(time, np.linspace(0.0, DAY, 3), one) for one in ends.T], axis=1)
        read = model + wander * errors.instruments + 0.3 * errors.signals * random.standard_normal(model.shape)
        piece = int(3600 / step)
        for first in range(0, time.size, piece):
            own.take(Samples(time[first:first + piece], {
                one: read[first:first + piece, place] for place, one in enumerate(ORDER)}))
        for alarm in own.alarms.values():
            print(f"  alarm on normal day {day} at {alarm.time:.0f} s: {alarm.text}", flush=True)
        alarms.update(list(own.alarms))
    return alarms


def table(told: list[Told]) -> None:
    """Print what came and what was named."""
    print("came -> named: runs")
    for (kind, named), count in sorted(Counter((one.kind, one.named or "nothing") for one in told).items()):
        print(f"  {kind:24} -> {named:40} {count:4}")
    count, right = len(told), sum(one.right for one in told)
    low = float(beta.ppf(0.05, right, count - right + 1)) if right else 0.0
    print(f"named rightly in {right} of {count} ({right / count:.0%}; 95 % sure of more than {low:.0%}), "
          f"{sum(one.right and one.alone for one in told)} of them alone; wrongly and alone "
          f"{sum(one.alone and not one.right for one in told)}; to the letter of the single upset right in "
          f"{sum(one.to_the_letter for one in told)}")
    slow = [one for one in told if one.kind in SLOW and np.isfinite(one.lost)]
    if slow:
        early = [one.lost - one.warned for one in slow if one.warned < one.lost]
        print(f"warned before liquid loss in {len(early)} of {len(slow)} slow ones that lose liquid; by a median of "
              f"{np.median(early) if early else 0:.0f} s")


def main(runs: int, seed: int, years: float) -> None:
    rating = wp.rate(wp.demo_enquiry("hot_water"), pump=wp.demo_pump("medium"))
    watcher = watcher_for(rating)
    plant = VirtualPump(rating, case=watcher.surrogate.case)
    table([run(plant, watcher, DRAWN[number % len(DRAWN)], (seed, number)) for number in range(runs)])
    print("besides:")
    table([run(plant, watcher, BESIDES[number % len(BESIDES)], (seed, 7, number)) for number in range(runs // 2)])
    days = round(years * YEAR)
    if days:
        found = normal(watcher.surrogate, watcher, days, seed)
        most = chi2.ppf(0.95, 2 * sum(found.values()) + 2) / 2 / years
        print(f"{sum(found.values())} false alarms in {days} pump-days of normal running, a sample every {STEP:.0f} s; "
              f"95 % sure of fewer than {most:.1f} a pump-year: {dict(found)}")


if __name__ == "__main__":
    given = [float(one) for one in sys.argv[1:]]
    chosen = given + [60.0, 20261125.0, 1.0][len(given):]
    main(int(chosen[0]), int(chosen[1]), chosen[2])
