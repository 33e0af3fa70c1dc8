"""Normal operation, sampled: every operating case with flow, temperature, pressure and speed as they wander."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from wetpath.circulation.outcome import Outcome
from wetpath.physics.instruments.sensor import first_order
from wetpath.physics.published import compiled
from wetpath.questions.protection.instruments import Instrument
from wetpath.questions.uncertainty.spread import Spread
from wetpath.rating.flow_limits import at_inputs
from wetpath.rating.rate import Rating
from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

#: Conditions that wander, as the spreads of the practice call them, and the column of the inputs.
WANDERING = {"flow": "flow", "temperature": "temperature", "suction_pressure": "pressure", "speed": "speed",
             "air_temperature": "air"}
#: Points of the time signal by which nuisance trips are counted, and their distance [s].
POINTS, STEP = 601, 0.5


@dataclass(frozen=True, eq=False)
class NormalOperation:
    """Steady states of normal operation; first axis the sample."""

    situation: Situation
    case: NDArray[np.int64]
    left_out: int             # samples without a liquid solution

    @property
    def count(self) -> int:
        """Number of samples."""
        return self.case.size


def sample_normal(rating: Rating, samples: int, seed: int = 1) -> NormalOperation:
    """Sample every operating case: the case itself, and around it the spreads of the practice.

    Parameters
    ----------
    rating : Rating
    samples : int
        For each case; scrambled Sobol points.
    seed : int
    """
    situation, inputs = rating.situation, rating.inputs
    points = qmc.Sobol(len(WANDERING), rng=seed).random(1 << max(samples - 1, 1).bit_length())[:samples]
    case = np.repeat(np.arange(situation.count), samples + 1)
    columns = {name: getattr(inputs, name)[case].copy() for name in inputs.__dataclass_fields__}
    for place, (name, column) in enumerate(WANDERING.items()):
        row = rating.practice.spreads[name]
        for number in range(situation.count):
            nominal = float(getattr(inputs, column)[number])
            spread = Spread(name, *row.changes(nominal), row.shape, row.source, row.status, row.meaning)
            inside = np.clip(points[:, place], 1e-6, 1 - 1e-6)
            here = slice(number * (samples + 1) + 1, (number + 1) * (samples + 1))
            columns[column][here] += spread.changes(inside, nominal)
    asked = type(inputs)(**columns)
    chosen = at_inputs(situation, case, asked)
    good = chosen.solution.outcome != Outcome.NO_SOLUTION
    saturation = chosen.per_liquid(lambda liquid, which: liquid.vapour_pressure(asked.temperature[which]))
    good &= ~(asked.pressure < saturation)
    kept = np.flatnonzero(good)
    if kept.size == good.size:
        return NormalOperation(chosen, case, 0)
    return NormalOperation(at_inputs(situation, case[kept], asked.chosen(kept)), case[kept], int((~good).sum()))


def nuisance_trips(instrument: Instrument, set_point: float, normal: Array, error: float, noise: float,
                   delays: Sequence[float], seed: int = 1) -> list[int]:
    """Number of samples in which an instrument trips though nothing is wrong, for each of some delays [s].

    Parameters
    ----------
    instrument : Instrument
    set_point : float
        In the unit of the signal.
    normal : array (samples,)
        True values of normal operation.
    error : float
        Largest error of one sensor; even between plus and minus it, fixed for a sample.
    noise : float
        Standard deviation of the reading, behind the lag of the instrument.
    seed : int
    """
    random = np.random.default_rng(seed)
    time = np.arange(POINTS) * STEP
    count = normal.size
    wide = noise / _left_of_white_noise(instrument.time_constant)
    passed = np.zeros((POINTS, count), np.int64)
    for _ in range(instrument.fitted):
        wander = random.standard_normal((POINTS, count)) * wide
        wander[0] *= noise / wide if wide > 0 else 1.0      # the reading begins with the spread that it keeps
        middle = normal + random.uniform(-error, error, count)
        # a lag takes nothing beyond what it is fed, so that most samples cannot get there
        near = np.flatnonzero(instrument.sign * (middle - set_point) + (instrument.sign * wander).max(0) > 0)
        reading = middle[near] + first_order(time, wander[:, near], instrument.time_constant)
        passed[:, near] += instrument.sign * (reading - set_point) > 0
    beyond = passed >= instrument.wanted
    longest = _longest_runs(beyond)
    return [int((longest > max(int(np.ceil(delay / STEP)), 0)).sum()) for delay in delays]


@compiled
def _longest_runs(beyond: Any) -> Any:
    """Most points in a row at which each sample is beyond, (samples,)."""
    run, longest = np.zeros(beyond.shape[1], np.int64), np.zeros(beyond.shape[1], np.int64)
    for point in range(beyond.shape[0]):
        for sample in range(beyond.shape[1]):
            run[sample] = run[sample] + 1 if beyond[point, sample] else 0
            longest[sample] = max(longest[sample], run[sample])
    return longest


def _left_of_white_noise(time_constant: float) -> float:
    """Standard deviation behind a lag over that of noise drawn anew at every step and straight between."""
    if time_constant < 1e-9:
        return 1.0
    kept, steps = np.exp(-STEP / time_constant), time_constant / STEP
    now, before = 1 - (1 - kept) * steps, (1 - kept) * steps - kept
    return float(np.sqrt(now**2 + (before + kept * now) ** 2 / (1 - kept**2)))
