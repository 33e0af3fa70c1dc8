"""How far a margin that was inferred from signals may be off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.liquids.lookup import vapour_pressure_many
from wetpath.watching.reconcile import MODEL_ERRORS, STATES, Errors
from wetpath.watching.surrogate import (
    AT,
    FIRST_STATION,
    MARGIN,
    POWER,
    PRESSURE,
    RETURN,
    RISE,
    SHELL,
    TEMPERATURE,
    Surrogate,
    columns_at,
    margins_of,
)

Array = NDArray[np.float64]

#: Standard deviations on each side of a range of 95 %.
RANGE = 1.96


@dataclass(eq=False)
class MarginRange:
    """How far the margin of a state that was found from signals may be off; coefficients are kept while they hold."""

    surrogate: Surrogate
    errors: Errors
    _feed: float = np.nan
    _coefficients: Array | None = None

    def half(self, states: Array, measured: NDArray[np.bool_], feed: float) -> Array:
        """Half the range of 95 % [Pa], (samples,).

        Parameters
        ----------
        states : array (samples, 4)
            Flow, suction temperature, speed, suction pressure.
        measured : array (samples, 8)
            Which signals are there.
        feed : float
            Area of the feed passages that is left.

        Notes
        -----
        The covariance of the state out of the errors of the signals that are there (first order, as they are
        reconciled), through the slopes of the margin; with it the errors of the model at the worst station: those of
        the head on its pressure, those of the return temperature on its warming, and the largest error of the quick
        model. Most of these errors stay the same from hour to hour: a movement is known better than a level.
        """
        if feed != self._feed or self._coefficients is None:
            self._feed, self._coefficients = feed, self.surrogate.at_feed(feed)
        count, liquid = len(states), self.surrogate.liquid.arrays
        low, high = self.surrogate.low, self.surrogate.high
        step = 1e-3 * (high[:STATES] - low[:STATES])
        here = np.clip(states, low[:STATES] + step, high[:STATES] - step)
        points = (here[:, None, :] + np.vstack([np.zeros(STATES), np.diag(step)])).reshape(-1, STATES)
        told = columns_at(self._coefficients, low, high, points)
        margins = margins_of(liquid, told, points[:, TEMPERATURE].copy(), points[:, PRESSURE].copy())
        shown = np.column_stack([points, points[:, PRESSURE] + told[:, RISE], told[:, POWER],
                                 points[:, TEMPERATURE] + told[:, SHELL], points[:, TEMPERATURE] + told[:, RETURN]]
                                ).reshape(count, STATES + 1, -1)
        jacobian = np.swapaxes(shown[:, 1:] - shown[:, :1], 1, 2) / step / self.errors.signals[:, None]
        jacobian = np.where(measured[:, :, None], jacobian, 0.0)
        loosely = np.where(measured[:, :STATES], 1e-6, 1.0) / self.errors.unknown**2
        normal = np.swapaxes(jacobian, 1, 2) @ jacobian + loosely[:, :, None] * np.eye(STATES)
        worst = margins[:, MARGIN].reshape(count, STATES + 1)
        slope = (worst[:, 1:] - worst[:, :1]) / step
        first = told.reshape(count, STATES + 1, -1)[:, 0]
        station, stations = margins[::STATES + 1, AT].astype(np.int64), len(self.surrogate.stations)
        one = np.arange(count)
        rise, warming = first[one, FIRST_STATION + station], first[one, FIRST_STATION + stations + station]
        steepness = vapour_pressure_many(liquid, here[:, TEMPERATURE] + warming)[1]
        model = np.hypot(MODEL_ERRORS[0] * rise, MODEL_ERRORS[3] * warming * steepness)
        known = np.einsum("ij,ij->i", slope, np.linalg.solve(normal, slope[:, :, None])[:, :, 0])
        return np.asarray(RANGE * np.sqrt(known + model**2 + self.surrogate.error**2))
