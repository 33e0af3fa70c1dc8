"""One hour of a watched pump in a row: the margin with its range, the operating point, what was measured."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetpath.watching.margin_range import MarginRange
from wetpath.watching.reconcile import ORDER, SIGNALS, STATES
from wetpath.watching.watcher import Judged

Array = NDArray[np.float64]

HOUR = 3600.0
#: Columns of `hour_row`, before the means of the signals in their order.
HOUR_NAMES = ("hour", "samples", "running", "outside", "margin", "half_range", "least", "wall_least", "station",
              "misfit", "feed", "told_flow")
COLUMNS = len(HOUR_NAMES) + SIGNALS


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
    row[5] = spread.half(state[None, :], count[None, :] > 0, feed)[0]
    if np.isfinite(judged.wall_margin[known]).any():
        row[7] = np.nanmin(judged.wall_margin[known])
    row[8] = np.bincount(judged.station[known]).argmax()
    row[9], row[11] = np.nanmean(judged.misfit[known]), told_flow
    return row


#: Names of the means behind `HOUR_NAMES`.
SIGNAL_NAMES = tuple(str(one) for one in ORDER)
