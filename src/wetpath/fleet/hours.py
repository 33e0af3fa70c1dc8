"""One hour of a watched pump in a row: the margin with its range, the operating point, what was measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.liquids.lookup import vapour_pressure
from wetpath.watching.reconcile import MODEL_ERRORS, ORDER, SIGNALS, STATES, Errors
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
from wetpath.watching.watcher import Judged

Array = NDArray[np.float64]

HOUR = 3600.0
#: Standard deviations on each side of a range of 95 %.
RANGE = 1.96
#: Columns of `hour_row`, before the means of the signals in their order.
HOUR_NAMES = ("hour", "samples", "running", "outside", "margin", "half_range", "least", "wall_least", "station",
              "misfit", "feed", "told_flow")
COLUMNS = len(HOUR_NAMES) + SIGNALS


@dataclass(eq=False)
class MarginRange:
    """How far the margin of a state that was found from signals may be off; coefficients are kept while they hold."""

    surrogate: Surrogate
    errors: Errors
    _feed: float = np.nan
    _coefficients: Array | None = None

    def half(self, state: Array, measured: NDArray[np.bool_], feed: float) -> float:
        """Half the range of 95 % [Pa].

        Parameters
        ----------
        state : array (4,)
            Flow, suction temperature, speed, suction pressure.
        measured : array (8,)
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
        low, high = self.surrogate.low, self.surrogate.high
        step = 1e-3 * (high[:STATES] - low[:STATES])
        here = np.clip(state, low[:STATES] + step, high[:STATES] - step)
        points = np.vstack([here, here + np.diag(step)])
        told = columns_at(self._coefficients, low, high, points)
        margins = margins_of(self.surrogate.liquid.arrays, told, points[:, TEMPERATURE].copy(),
                             points[:, PRESSURE].copy())
        shown = np.column_stack([points, points[:, PRESSURE] + told[:, RISE], told[:, POWER],
                                 points[:, TEMPERATURE] + told[:, SHELL], points[:, TEMPERATURE] + told[:, RETURN]])
        jacobian = ((shown[1:] - shown[0]) / step[:, None]).T / self.errors.signals[:, None]
        normal = jacobian[measured].T @ jacobian[measured]
        normal += np.diag(np.where(measured[:STATES], 1e-6, 1.0) / self.errors.unknown**2)
        slope = (margins[1:, MARGIN] - margins[0, MARGIN]) / step
        station, stations = int(margins[0, AT]), len(self.surrogate.stations)
        rise = told[0, FIRST_STATION + station]
        warming = told[0, FIRST_STATION + stations + station]
        vapour = [vapour_pressure(self.surrogate.liquid.arrays, here[TEMPERATURE] + warming + move)
                  for move in (-0.05, 0.05)]
        model = np.hypot(MODEL_ERRORS[0] * rise, MODEL_ERRORS[3] * warming * (vapour[1] - vapour[0]) / 0.1)
        variance = float(slope @ np.linalg.solve(normal, slope)) + float(model) ** 2 + self.surrogate.error**2
        return RANGE * float(np.sqrt(variance))


def hour_row(spread: MarginRange, judged: Judged, values: Array, stands: NDArray[np.bool_], feed: float) -> Array:
    """One row, `COLUMNS` numbers; NaN where nothing can be told.

    Parameters
    ----------
    spread : MarginRange
    judged : Judged
        The samples of one hour.
    values : array (samples, 8)
        What was measured.
    stands : array (samples,)
        Where the pump stands.
    feed : float
        Area of the feed passages that is taken as left.

    Notes
    -----
    The margin of an hour is the median of its samples, so that a start or a change of duty does not make it; the least
    one is kept beside it.
    """
    row = np.full(COLUMNS, np.nan)
    runs = ~stands
    known = np.isfinite(judged.margin)
    row[0] = HOUR * np.floor(judged.time[0] / HOUR)
    row[1:4] = judged.time.size, int(runs.sum()), int(judged.outside.sum())
    row[8], row[10] = -1, feed
    there = np.isfinite(values) & runs[:, None]
    count = there.sum(axis=0)
    means = np.divide(np.where(there, values, 0.0).sum(axis=0), count, out=np.full(SIGNALS, np.nan), where=count > 0)
    row[len(HOUR_NAMES):] = means
    if not known.any():
        return row
    told_flow = float(np.nanmean(judged.flow[known]))
    state = np.where(np.isfinite(means[:STATES]), means[:STATES], spread.errors.usual)
    state[0] = told_flow
    row[4], row[6] = np.median(judged.margin[known]), judged.margin[known].min()
    row[5] = spread.half(state, count > 0, feed)
    if np.isfinite(judged.wall_margin[known]).any():
        row[7] = np.nanmin(judged.wall_margin[known])
    row[8] = np.bincount(judged.station[known]).argmax()
    row[9], row[11] = np.nanmean(judged.misfit[known]), told_flow
    return row


#: Names of the means behind `HOUR_NAMES`.
SIGNAL_NAMES = tuple(str(one) for one in ORDER)
