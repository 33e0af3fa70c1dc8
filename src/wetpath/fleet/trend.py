"""The trend of a margin over days and when it reaches its demand: a robust slope with its interval."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm, theilslopes

from wetpath.physics.published import published

Array = NDArray[np.float64]

#: Windows of days looked at, and days with a margin that each needs. Two windows, so that a fall that began lately is
#: not told slower than it is; the intervals of both hold together with `CONFIDENCE` (Bonferroni).
WINDOWS, LEAST = (30.0, 10.0), (10, 7)
CONFIDENCE = 0.95
#: Correlation from day to day beyond which nothing is widened further.
MOST_CORRELATED = 0.9
#: Of normal scatter: standard deviation over the median distance, and error of a median over that of a mean.
MEDIAN_DEVIATION, MEDIAN_ERROR = 1.4826, 1.2533


@dataclass(frozen=True)
class Trend:
    """A line through the middle of the points, with the interval of its slope."""

    window: float            # days looked at
    points: int
    slope: float             # a day
    low: float
    high: float
    middle: float            # day of the middle
    level: float             # there
    level_half: float        # half the interval of that level
    correlation: float       # from one day to the next, of what is left beside the line

    @property
    def moves(self) -> int:
        """-1 falling, 1 rising, 0: no trend beyond its range."""
        return -1 if self.high < 0 else 1 if self.low > 0 else 0

    def at(self, day: float) -> float:
        """The line on a day."""
        return self.level + self.slope * (day - self.middle)

    def band(self, day: float) -> tuple[float, float]:
        """Between what the line lies on a day: errors of level and of slope, which are independent at the middle."""
        away = day - self.middle
        steep, flat = (self.slope - self.low, self.high - self.slope)
        below, above = (steep, flat) if away > 0 else (flat, steep)
        return (self.at(day) - float(np.hypot(self.level_half, away * below)),
                self.at(day) + float(np.hypot(self.level_half, away * above)))


@dataclass(frozen=True)
class Forecast:
    """Days from now until the line reaches the demand, and its lower and its upper bound."""

    days: float
    soonest: float
    latest: float


@published("sen-1968", status="recalled")
def robust_slope(day: Array, level: Array, confidence: float) -> tuple[float, float, float]:
    r"""Slope by Theil and Sen, the median of the slopes of all pairs, with its interval by Kendall's tau.

    Parameters
    ----------
    day : array [d]
    level : array
        Of any unit.
    confidence : float [-]
        As 0.95.

    Returns
    -------
    tuple of float
        Slope, its lower and its upper bound, per day.

    Notes
    -----
    The interval holds for points that are independent of each other; see `trend_of`.

    References
    ----------
    .. [1] Sen: Estimates of the regression coefficient based on Kendall's tau. J. Am. Stat. Assoc. 63 (1968) 1379.
       Recalled.
    """
    found = theilslopes(level, day, alpha=confidence)
    return float(found.slope), float(found.low_slope), float(found.high_slope)


def trend_of(day: Array, level: Array, *, window: float = np.nan, confidence: float = CONFIDENCE) -> Trend:
    r"""The trend of points, one a day; its interval is wider where days follow each other.

    The bounds of `robust_slope` are set :math:`\sqrt{(1+r)/(1-r)}` times as far from the slope, with :math:`r` the
    correlation of what is left beside the line from one day to the next, corrected for its bias in short series,
    :math:`(n r_1+2)/(n-4)`, and not below zero: the number of independent points of a first-order process. The level in
    the middle is a median; its interval is that of a median of normal scatter, whose size is read from the median of
    the distances from the line.

    Parameters
    ----------
    day, level : array
        At least 5 points.
    window : float
        Days looked at, kept with the result.
    confidence : float
    """
    slope, low, high = robust_slope(day, level, confidence)
    middle, median = float(np.median(day)), float(np.median(level))
    count = day.size
    rest = level - median - slope * (day - middle)
    scatter = MEDIAN_DEVIATION * float(np.median(np.abs(rest)))
    rest = rest - rest.mean()
    spread = float(rest @ rest)
    first = float(rest[1:] @ rest[:-1]) / spread if spread > 0 else 0.0
    follows = float(np.clip((count * first + 2) / (count - 4), 0.0, MOST_CORRELATED)) if count > 4 else 0.0
    wider = np.sqrt((1 + follows) / (1 - follows))
    half = float(norm.ppf(0.5 + confidence / 2)) * MEDIAN_ERROR * scatter * float(wider) / count**0.5
    return Trend(window, count, slope, slope - wider * (slope - low), slope + wider * (high - slope), middle, median,
                 half, follows)


def trends_of(day: Array, level: Array, now: float) -> tuple[Trend, ...]:
    """The trends over all windows that have enough days with a level; intervals that hold together."""
    each = 1 - (1 - CONFIDENCE) / len(WINDOWS)
    found = []
    for window, least in zip(WINDOWS, LEAST, strict=True):
        inside = (day > now - window) & np.isfinite(level)
        if inside.sum() >= least:
            found.append(trend_of(day[inside], level[inside], window=window, confidence=each))
    return tuple(found)


def forecast_of(trend: Trend, demand: float, now: float) -> Forecast | None:
    """When a falling line reaches the demand; None where it does not fall beyond its range, or is there already.

    Notes
    -----
    Soonest and latest are where the lower and the upper bound of the line (`Trend.band`) meet the demand. What made the
    margin fall is taken to go on as it went.
    """
    if trend.moves >= 0 or trend.at(now) <= demand:
        return None
    above = trend.level - demand
    soonest, latest = (trend.middle + _met(above, trend.slope, half, trend.level_half, last=last) - now
                       for half, last in ((trend.slope - trend.low, False), (trend.high - trend.slope, True)))
    return Forecast(trend.middle - above / trend.slope - now, max(soonest, 0.0), latest)


def _met(above: float, slope: float, slope_half: float, level_half: float, *, last: bool) -> float:
    """Days from the middle to where a bound of a falling line has lost what it is above the demand."""
    square, line, plain = slope**2 - slope_half**2, slope * above, above**2 - level_half**2
    root = float(np.sqrt(max(line**2 - square * plain, 0.0)))
    if abs(square) < 1e-12 * slope**2:
        return -0.5 * plain / line
    roots = ((-line - root) / square, (-line + root) / square)
    if square < 0:                          # the line may fall so steeply that one bound does so without end
        return max(roots)
    return max(roots) if last else min(roots)


def soonest_of(trends: tuple[Trend, ...], demand: float, now: float) -> tuple[Trend, Forecast] | None:
    """The trend that reaches the demand first, with its forecast; None where none falls beyond its range."""
    found = [(one, forecast) for one in trends if (forecast := forecast_of(one, demand, now)) is not None]
    return min(found, key=lambda pair: pair[1].days) if found else None


def daily(hour: Array, level: Array) -> tuple[Array, Array]:
    """Days since 1970, at their noon, and the median level of each; days without any level are left out.

    Parameters
    ----------
    hour : array [s]
        UTC seconds since 1970, rising.
    level : array
        NaN where there is none.
    """
    known = np.isfinite(level)
    number = np.floor(hour[known] / 86400.0)
    days, begins = np.unique(number, return_index=True)
    parts = np.split(level[known], begins[1:])
    return days + 0.5, np.array([np.median(one) for one in parts]) if days.size else np.zeros(0)
