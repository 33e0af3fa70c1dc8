"""Fugitive emission of pumps by published factors and by screening correlations."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from wetpath.physics.published import published
from wetpath.physics.validity import Limit, limit

Numeric = Any

_KILOGRAM_PER_HOUR = 1 / 3600


@dataclass(frozen=True)
class AverageFactor:
    """Average emission of one sealed pump in a population."""

    industry: str
    service: str
    rate: float
    """kg/s of total organic compounds (refinery: non-methane)."""


@dataclass(frozen=True)
class ScreeningCorrelation:
    """Emission over screening value, ``factor * ppmv**exponent`` in kg/s, with its end values."""

    industry: str
    service: str
    factor: float
    exponent: float
    default_zero: float
    """kg/s where the instrument shows nothing."""
    beyond_10_000_ppmv: float
    beyond_100_000_ppmv: float


#: EPA-453/R-95-017, average factors of pump seals. Recalled, not found in readable text: verify before use.
AVERAGE_FACTORS = {(one.industry, one.service): one for one in (
    AverageFactor("chemical", "light liquid", 0.0199 * _KILOGRAM_PER_HOUR),
    AverageFactor("chemical", "heavy liquid", 0.00862 * _KILOGRAM_PER_HOUR),
    AverageFactor("refinery", "light liquid", 0.114 * _KILOGRAM_PER_HOUR),
    AverageFactor("refinery", "heavy liquid", 0.021 * _KILOGRAM_PER_HOUR),
    AverageFactor("marketing terminal", "light liquid", 0.00054 * _KILOGRAM_PER_HOUR),
)}

#: EPA-453/R-95-017, screening ranges of pump seals [kg/s]: at or above 10 000 ppmv, and below. Recalled.
SCREENING_RANGES = {
    ("chemical", "light liquid"): (0.243 * _KILOGRAM_PER_HOUR, 0.00187 * _KILOGRAM_PER_HOUR),
    ("chemical", "heavy liquid"): (0.216 * _KILOGRAM_PER_HOUR, 0.00210 * _KILOGRAM_PER_HOUR),
}

#: EPA-453/R-95-017, correlations. Recalled.
CORRELATIONS = {(one.industry, one.service): one for one in (
    ScreeningCorrelation("chemical", "light liquid", 1.90e-5 * _KILOGRAM_PER_HOUR, 0.824,
                         7.5e-6 * _KILOGRAM_PER_HOUR, 0.14 * _KILOGRAM_PER_HOUR, 0.62 * _KILOGRAM_PER_HOUR),
    ScreeningCorrelation("refinery", "all", 5.03e-5 * _KILOGRAM_PER_HOUR, 0.610,
                         2.4e-5 * _KILOGRAM_PER_HOUR, 0.074 * _KILOGRAM_PER_HOUR, 0.16 * _KILOGRAM_PER_HOUR),
)}


@published("epa-453-r-95-017", status="recalled")
def emitted_mass(rate: Numeric, time: Numeric, organic_fraction: Numeric = 1.0,
                 number: Numeric = 1.0) -> Numeric:
    """Mass emitted by a population: factor times time times organic mass fraction times number of pumps.

    Parameters
    ----------
    rate : array [kg/s]
        An :class:`AverageFactor` or :func:`rate_from_screening`.
    time : array [s]
        In service.
    organic_fraction : array [-], by mass
    number : array [-]

    Returns
    -------
    array [kg]

    Notes
    -----
    Averages hold for populations, never for one pump; chemical and refinery factors differ by six. A
    seal-less pump counts as fully controlled in the method, with the reservation that a failed one
    can be a large source.

    References
    ----------
    .. [1] EPA-453/R-95-017, Protocol for equipment leak emission estimates (1995). Recalled.

    Examples
    --------
    >>> one = AVERAGE_FACTORS["chemical", "light liquid"]
    >>> round(float(emitted_mass(one.rate, 8760 * 3600)), 1)
    174.3
    """
    return rate * time * organic_fraction * number


@published("epa-453-r-95-017", status="recalled")
def rate_from_screening(screening_value: Numeric, correlation: ScreeningCorrelation,
                        pegged_at: float | None = None) -> Numeric:
    """Emission rate from a screening value.

    Parameters
    ----------
    screening_value : array [ppmv], background taken off
        A customary number, not SI: the correlation is made for it.
    correlation : ScreeningCorrelation
        One of :data:`CORRELATIONS`.
    pegged_at : None, 10 000 or 100 000 [ppmv]
        Where the instrument's scale ends; readings at or above it get the pegged rate.

    Returns
    -------
    array [kg/s]; the default-zero rate for zero, NaN for negative values.

    References
    ----------
    .. [1] EPA-453/R-95-017 (1995). Recalled.

    Examples
    --------
    >>> round(float(rate_from_screening(500.0, CORRELATIONS["chemical", "light liquid"])) * 3600 * 1e3, 3)
    3.182
    """
    if pegged_at not in (None, 10_000, 100_000):
        raise ValueError("the method has pegged rates for 10 000 and 100 000 ppmv only")
    value = np.asarray(screening_value, dtype=np.float64)
    usual = correlation.factor * np.maximum(value, 0.0)**correlation.exponent
    rate = np.where(value > 0, usual, np.where(value == 0, correlation.default_zero, np.nan))
    if pegged_at is None:
        return rate
    top = correlation.beyond_10_000_ppmv if pegged_at == 10_000 else correlation.beyond_100_000_ppmv
    return np.where(value >= pegged_at, top, rate)


def screening_limits(screening_value: Numeric) -> tuple[Limit, ...]:
    """Where a screening value [ppmv] is above what the correlations were made from."""
    return (limit("screening value above 100 000 ppmv: use the pegged rate or a bagging test",
                  np.asarray(screening_value) > 100_000),)
