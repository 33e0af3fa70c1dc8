"""One pump as it runs: by how much it differs from its model, and how steady its signals are when nothing is wrong."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.stats import chi2

from wetpath.questions.protection.normal import WANDERING
from wetpath.watching.evidence import Usual, covariance
from wetpath.watching.reconcile import SIGNALS, STATES, Errors
from wetpath.watching.surrogate import POWER, PRESSURE, RETURN, RISE, SHELL, TEMPERATURE, Surrogate, columns_at

Array = NDArray[np.float64]

#: Seconds of one window, windows that make the baseline, and those without which nothing is compared with it.
WINDOW, BASELINE, LEAST = 20.0, 180, 3
#: The operating point "before" is a mean that forgets in this time [s]; windows in which something is wrong stay out.
REMEMBERS = 1800.0
#: False alarms that are put up with [1/year]; the limit of the misfit follows for windows that are independent and
#: normal. Common practice, no source.
FALSE_ALARMS, YEAR = 0.1, 365.25 * 86400.0
#: Misfit that counts, by the number of signals that can be compared.
LIMITS = np.array([np.inf, *(float(chi2.isf(FALSE_ALARMS * WINDOW / YEAR, one)) for one in range(1, SIGNALS))])
#: Step at which slopes are taken, as a share of the region.
STEP = 1e-3


class Baseline:
    """What a pump has shown while it ran as usual; filled window by window.

    Parameters
    ----------
    surrogate : Surrogate
    errors : Errors
    """

    def __init__(self, surrogate: Surrogate, errors: Errors) -> None:
        self.surrogate, self.errors = surrogate, errors
        self.before = np.full(STATES, np.nan)                   # operating point
        self.count = 0
        self._differs, self._number = np.zeros(SIGNALS - STATES), np.zeros(SIGNALS - STATES)
        self._steps, self._stepped, self._last = np.zeros(SIGNALS), np.zeros(SIGNALS), np.full(SIGNALS, np.nan)
        self._observed = np.ascontiguousarray(surrogate.at_feed(1.0)[:, :, :, :2, :SIGNALS - STATES])
        spreads, names = surrogate.rating.practice.spreads, {column: name for name, column in WANDERING.items()}
        changes = [spreads[names[column]].changes(float(value)) for value, column in
                   zip(errors.usual, ("flow", "temperature", "speed", "pressure"), strict=True)]
        self.wander = np.array([0.25 * (high - low) for low, high in changes])
        self.samples = 0.0                                      # of a window
        self._compared: Array | None = None

    @property
    def full(self) -> bool:
        """Whether the pump has been seen for long enough to be compared with itself."""
        return self.count >= BASELINE

    def as_rated(self) -> None:
        """Take the pump to be as rated, and to run in the case that is watched."""
        self._number[:], self._differs[:2], self._differs[2:] = 1.0, 1.0, 0.0
        self.before = self.errors.usual.copy()

    def add(self, signals: Array, states: Array, samples: int = 1) -> None:
        """Take in the means of a window: signals (8,), NaN where there is none, and the operating point (4,)."""
        self.count += 1
        self.samples += (samples - self.samples) / self.count
        told, seen = self._model(states[None, :])[0], self._dependent(signals, states)
        known = np.isfinite(seen)
        differs = np.where(np.arange(SIGNALS - STATES) < 2, seen / told, seen - told)
        self._number += known
        self._differs += np.where(known, differs - self._differs, 0.0) / np.maximum(self._number, 1)
        step = signals - self._last
        self._stepped += np.isfinite(step)
        self._steps += np.nan_to_num(step) ** 2
        self._last = signals
        self.before = states.copy() if self.count == 1 else self.before + (states - self.before) / self.count
        self._compared = None

    def remember(self, states: Array) -> None:
        """Let the operating point before follow."""
        self.before = self.before + (states - self.before) * (WINDOW / REMEMBERS)

    def _model(self, states: Array) -> Array:
        """Rise of the pressure, power, shell and return over the suction, (samples, 4)."""
        return np.asarray(columns_at(self._observed, self.surrogate.low, self.surrogate.high, states))

    @staticmethod
    def _dependent(signals: Array, states: Array) -> Array:
        return np.stack([signals[..., 4] - states[..., PRESSURE], signals[..., 5],
                         signals[..., 6] - states[..., TEMPERATURE],
                         signals[..., 7] - states[..., TEMPERATURE]], axis=-1)

    def _own(self, states: Array) -> Array:
        """The same of this pump, which differs from its model."""
        told = self._model(states)
        return np.column_stack([told[:, [RISE, POWER]] * np.where(self._number[:2] > 0, self._differs[:2], np.nan),
                                told[:, [SHELL, RETURN]] + np.where(self._number[2:] > 0, self._differs[2:], np.nan)])

    def signals(self, states: Array) -> Array:
        """Signals of this pump at operating points (samples, 4), (samples, 8)."""
        own = self._own(states)
        return np.column_stack([states, states[:, PRESSURE] + own[:, 0], own[:, 1],
                                states[:, [TEMPERATURE]] + own[:, 2:]])

    def usual(self, wider: float = 1.0) -> Usual:
        """What signals are expected now; ``wider``: noise of the mean looked at over that of a window."""
        noise = wider * np.sqrt(0.5 * self._steps / np.maximum(self._stepped, 1))
        slopes = self._slopes(self.before)
        return Usual(self.signals(self.before[None, :])[0], slopes, self.wander, self.errors.unknown, noise,
                     self.errors.instruments)

    def _slopes(self, states: Array) -> Array:
        low, high = self.surrogate.low[:STATES], self.surrogate.high[:STATES]
        here = np.clip(states, low, high)
        step = STEP * (high - low) * np.where(here > 0.5 * (low + high), -1, 1)
        moved = self.signals(here + np.diag(step))
        # of a signal that has never been there nothing is known; none of it may reach the others
        return np.nan_to_num(((moved - self.signals(here[None, :])) / step[:, None]).T)

    def misfits(self, signals: Array, states: Array) -> tuple[Array, NDArray[np.int64]]:
        """Sum of squares by which windows (windows, 8) are off this pump at their operating points, and its freedom."""
        if self._compared is None:
            usual = self.usual()
            # the operating point is taken as measured: what its instruments may be off comes in along the slopes
            spread = covariance(usual, usual.wander)
            fitted = np.eye(SIGNALS)
            fitted[STATES:, :STATES] = -usual.slopes[STATES:]
            self._compared = (fitted @ (spread - (usual.slopes * usual.wander) @ (usual.slopes * usual.wander).T)
                              @ fitted.T)[STATES:, STATES:]
        off = self._dependent(signals, states) - self._own(states)
        known = np.isfinite(off)
        misfit = np.zeros(len(off))
        for pattern in np.unique(known, axis=0):
            chosen = (known == pattern).all(axis=1)
            if pattern.any():
                part = off[np.ix_(chosen, pattern)]
                misfit[chosen] = (part @ np.linalg.inv(self._compared[np.ix_(pattern, pattern)]) * part).sum(axis=1)
        return misfit, known.sum(axis=1)
