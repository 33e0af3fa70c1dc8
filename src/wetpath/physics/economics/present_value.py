"""Present value of a cost that returns every year."""

from typing import Any

import numpy as np

from wetpath.physics.published import published

Numeric = Any


@published("annuity", status="exact")
def annuity_factor(rate: Numeric, years: Numeric, growth: Numeric = 0.0) -> Numeric:
    r"""Present value of yearly payments over the first payment, :math:`\frac{1-[(1+g)/(1+r)]^n}{r-g}`.

    Parameters
    ----------
    rate : array [-]
        Discount rate r in a year, above -1.
    years : array [-]
        n payments, the first at the end of the first year.
    growth : array [-]
        Growth g of the payment from year to year.

    Returns
    -------
    array [-]; where r = g the limit n/(1+r).

    References
    ----------
    .. [1] Geometric series. Exact.

    Examples
    --------
    >>> round(float(annuity_factor(0.08, 10)), 5), round(float(annuity_factor(0.05, 10, 0.05)), 5)
    (6.71008, 9.52381)
    """
    r, n, g = (np.asarray(x, dtype=np.float64) for x in (rate, years, growth))
    # With x = ln((1+g)/(1+r)) the factor is expm1(n x)/expm1(x)/(1+r): no cancellation near r = g.
    x = np.log1p(g) - np.log1p(r)
    same = np.abs(x) < 1e-12
    safe = np.where(same, 1.0, x)
    return np.where(same, n, np.expm1(n * safe) / np.expm1(safe)) / (1 + r)


@published("annuity", status="exact")
def present_value(first_payment: Numeric, rate: Numeric, years: Numeric, growth: Numeric = 0.0) -> Numeric:
    """Present value of a yearly cost: first payment times :func:`annuity_factor`.

    Parameters
    ----------
    first_payment : array [money]
        Due at the end of the first year.
    rate, years, growth : array [-]

    Returns
    -------
    array [money]

    Examples
    --------
    >>> round(float(present_value(11520.0, 0.08, 10)), 1)
    77300.1
    """
    return first_payment * annuity_factor(rate, years, growth)
