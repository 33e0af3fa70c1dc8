"""Signals of a running pump reconciled with its model: the state that fits all of them best, second by second.

Weighted least squares with the operating point as unknowns; every measured value counts by its error.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.published import compiled, in_kernel
from wetpath.questions.protection.instruments import default_instruments
from wetpath.questions.protection.normal import sample_normal
from wetpath.questions.protection.set_points import settings_of
from wetpath.watching.samples import Samples, Signal
from wetpath.watching.substitutes import NONE, Substitutes
from wetpath.watching.surrogate import (
    FLOW,
    POWER,
    PRESSURE,
    RETURN,
    RISE,
    SHELL,
    SPEED,
    TEMPERATURE,
    Surrogate,
    columns_at,
)

Array = NDArray[np.float64]

#: Signals in the order of the compiled code: the four unknowns first.
ORDER = (Signal.FLOW, Signal.SUCTION_TEMPERATURE, Signal.SPEED, Signal.SUCTION_PRESSURE, Signal.DISCHARGE_PRESSURE,
         Signal.MOTOR_POWER, Signal.SHELL_TEMPERATURE, Signal.RETURN_TEMPERATURE)
STATES, SIGNALS = 4, 8
_NAMES = {Signal.FLOW: "flow", Signal.SUCTION_TEMPERATURE: "suction temperature",
          Signal.SUCTION_PRESSURE: "suction pressure", Signal.DISCHARGE_PRESSURE: "discharge pressure",
          Signal.MOTOR_POWER: "motor power", Signal.SHELL_TEMPERATURE: "shell temperature",
          Signal.RETURN_TEMPERATURE: "return temperature"}
#: Error of a speed that is measured, and of one that is not, as shares. Common practice, no source.
SPEED_ERROR, SPEED_UNKNOWN = 0.002, 0.01
#: How far each unknown may lie from the case watched where nothing measures it: share of the best flow, K, share of the
#: suction pressure. Common practice, no source.
FLOW_UNKNOWN, WARM_UNKNOWN, PRESSURE_UNKNOWN = 0.5, 10.0, 0.3
#: Error of the model beside that of the instruments: head, power (shares), shell and return (shares of their rise over
#: the suction). Common practice, no source: the band in which a curve is guaranteed, and that of wall heat transfer.
MODEL_ERRORS = (0.03, 0.03, 0.15, 0.10)
#: Steps to the best fit, all with the slopes at its beginning; samples of normal operation behind the spans.
PASSES, SAMPLES = 3, 64


@dataclass(frozen=True, eq=False)
class Errors:
    """Standard deviations of the signals in their order, and of what is known without them; SI."""

    signals: Array           # (8,) of instrument and model together
    instruments: Array       # (8,) of the instruments alone
    usual: Array             # (4,) flow, temperature, speed, suction pressure of the case
    unknown: Array           # (4,) standard deviations around that
    told: Substitutes = NONE                                 # signals told by others

    def measured(self, samples: Samples) -> Array:
        """Values of samples in the order of the signals, (samples, 8); NaN where nothing tells one."""
        known = self.told.of(samples).values
        return np.stack([known.get(one, np.full(samples.count, np.nan)) for one in ORDER], axis=1)


@dataclass(frozen=True, eq=False)
class Reconciled:
    """States that fit best, first axis the sample; residuals over their standard deviations, NaN: not measured."""

    states: Array            # (samples, 4) flow, suction temperature, speed, suction pressure
    columns: Array           # (samples, columns) of the surrogate there
    residuals: Array         # (samples, 8)
    misfit: Array            # sum of their squares
    spare: Array             # signals more than unknowns that nothing else tells


def errors_of(surrogate: Surrogate, told: Substitutes = NONE) -> Errors:
    """Errors of the instruments that come with the program, spans from the rating, and of the model.

    A signal that is told by another one has the error of that instrument, and of the law between the two.
    """
    rating = surrogate.rating
    settings = settings_of(rating, dict(default_instruments()), sample_normal(rating, SAMPLES), surrogate.band)
    known = {one.instrument.signal.name: np.hypot(one.error / np.sqrt(3), one.noise) for one in settings
             if np.isfinite(one.error)}
    inputs, case = rating.inputs, surrogate.case
    usual = np.array([inputs.flow[case], inputs.temperature[case], inputs.speed[case], inputs.pressure[case]])
    at_usual = columns_at(surrogate.at_feed(1.0), surrogate.low, surrogate.high, usual[None, :])[0]
    signals = np.array([known.get(_NAMES[one], np.nan) if one in _NAMES else SPEED_ERROR * usual[SPEED]
                        for one in ORDER])
    model = np.abs(np.array([MODEL_ERRORS[0] * at_usual[RISE], MODEL_ERRORS[1] * at_usual[POWER],
                             MODEL_ERRORS[2] * at_usual[SHELL], MODEL_ERRORS[3] * at_usual[RETURN]]))
    plain = np.array([0.015 * usual[FLOW], 0.5, SPEED_ERROR * usual[SPEED], 0.005 * usual[PRESSURE],
                      0.005 * (usual[PRESSURE] + at_usual[RISE]), 0.01 * at_usual[POWER], 2.0, 1.0])
    instruments, laws = np.where(np.isfinite(signals), signals, plain), np.zeros(SIGNALS)
    for one in told.told:
        instruments[ORDER.index(one.signal)], laws[ORDER.index(one.signal)] = one.instrument, one.law
    signals = np.hypot(instruments, laws)
    signals[STATES:] = np.hypot(signals[STATES:], model)
    best = float(rating.situation.solved.point.best_flow[case])
    return Errors(signals, instruments, usual, np.array([
        FLOW_UNKNOWN * best, WARM_UNKNOWN, SPEED_UNKNOWN * usual[SPEED], PRESSURE_UNKNOWN * usual[PRESSURE]]), told)


def reconcile(surrogate: Surrogate, coefficients: Array, errors: Errors, values: Array, *,
              shares: tuple[float, float] = (1.0, 1.0)) -> Reconciled:
    """Find the states that fit the values (samples, 8) best.

    Parameters
    ----------
    surrogate : Surrogate
    coefficients : array
        `Surrogate.at_feed` of the feed area that is left.
    errors : Errors
    values : array (samples, 8)
    shares : tuple of float
        Head and power of the pump as it is now over those of the model.

    Notes
    -----
    Gauss and Newton from what is measured directly; states stay within the region of the surrogate.
    """
    # what instruments show hardly depends on the suction pressure itself: a straight line is enough here
    observed = np.ascontiguousarray(coefficients[:, :, :, :2, :SIGNALS - STATES])
    scale = np.array([shares[0], shares[1], 1.0, 1.0])
    states, residuals, misfit = _fit(observed, surrogate.low, surrogate.high, np.ascontiguousarray(values),
                                     errors.signals, errors.usual, errors.unknown, scale)
    columns = columns_at(coefficients, surrogate.low, surrogate.high, states)
    spare = np.isfinite(values).sum(axis=1) - STATES + (~np.isfinite(values[:, :STATES])).sum(axis=1)
    unmeasured = (~np.isfinite(values[:, :STATES])).sum(axis=1)
    return Reconciled(states, columns, residuals, misfit, np.maximum(spare - unmeasured, 0))


@compiled
def _fit(observed: Any, low: Any, high: Any, values: Any, errors: Any, usual: Any, unknown: Any, scale: Any) -> Any:
    count = values.shape[0]
    states = np.empty((count, STATES))
    residuals = np.full((count, SIGNALS), np.nan)
    misfit = np.zeros(count)
    probe = np.empty((STATES + 1, STATES))
    predicted = np.empty((STATES + 1, SIGNALS))
    jacobian = np.zeros((SIGNALS, STATES))
    step = 1e-4 * (high[:STATES] - low[:STATES])
    for sample in range(count):
        here = states[sample]
        for one in range(STATES):
            value = values[sample, one]
            here[one] = min(max(value if value == value else usual[one], low[one]), high[one])
        probe[:] = here
        for one in range(STATES):
            probe[one + 1, one] += -step[one] if here[one] + step[one] > high[one] else step[one]
        _predict(observed, low, high, probe, scale, predicted)
        normal = np.zeros((STATES, STATES))
        for signal in range(SIGNALS):
            for one in range(STATES):
                jacobian[signal, one] = (predicted[one + 1, signal] - predicted[0, signal]) / (
                    probe[one + 1, one] - here[one])
            if values[sample, signal] == values[sample, signal]:
                weight = 1.0 / errors[signal] ** 2
                for one in range(STATES):
                    for other in range(STATES):
                        normal[one, other] += weight * jacobian[signal, one] * jacobian[signal, other]
        for one in range(STATES):
            free = values[sample, one] != values[sample, one]
            normal[one, one] += (1.0 if free else 1e-6) / unknown[one] ** 2
        inverse = np.linalg.inv(normal)
        for turn in range(PASSES + 1):
            if turn:
                _predict(observed, low, high, states[sample:sample + 1], scale, predicted)
            total = 0.0
            wanted = np.zeros(STATES)
            for signal in range(SIGNALS):
                value = values[sample, signal]
                if value != value:
                    if signal < STATES:
                        wanted[signal] += (usual[signal] - here[signal]) / unknown[signal] ** 2
                    continue
                off = (value - predicted[0, signal]) / errors[signal]
                residuals[sample, signal] = off
                total += off * off
                for one in range(STATES):
                    wanted[one] += jacobian[signal, one] * off / errors[signal]
            misfit[sample] = total
            if turn == PASSES:
                break
            for one in range(STATES):
                moved = 0.0
                for other in range(STATES):
                    moved += inverse[one, other] * wanted[other]
                here[one] = min(max(here[one] + moved, low[one]), high[one])
    return states, residuals, misfit


@in_kernel
def _predict(observed: Any, low: Any, high: Any, probe: Any, scale: Any, predicted: Any) -> None:
    """Fill what the signals would show at some states."""
    told = columns_at(observed, low, high, probe)
    for row in range(probe.shape[0]):
        for one in range(STATES):
            predicted[row, one] = probe[row, one]
        predicted[row, 4] = probe[row, PRESSURE] + scale[0] * told[row, RISE]
        predicted[row, 5] = scale[1] * told[row, POWER]
        predicted[row, 6] = probe[row, TEMPERATURE] + told[row, SHELL]
        predicted[row, 7] = probe[row, TEMPERATURE] + told[row, RETURN]
