"""Heat taken out of the circulation by an external cooler."""

from typing import Any

import numpy as np

from wetpath.physics.published import choose, in_kernel, published

Numeric = Any


@published("effectiveness-ntu", status="exact")
@in_kernel
def counterflow_effectiveness(transfer_units: Numeric, capacity_ratio: Numeric) -> Numeric:
    r"""Effectiveness of a counterflow exchanger.

    :math:`\varepsilon = \frac{1 - e^{-N(1-C)}}{1 - Ce^{-N(1-C)}}`, and :math:`N/(1+N)` when C tends to 1.

    Parameters
    ----------
    transfer_units : array [-], >= 0
        :math:`N = UA/C_{min}`.
    capacity_ratio : array [-], 0 to 1
        :math:`C = C_{min}/C_{max}`.

    Returns
    -------
    array [-], 0 to 1

    Notes
    -----
    Constant properties and overall coefficient, no loss to the surroundings.

    References
    ----------
    .. [1] Kays and London, Compact Heat Exchangers; exact for counterflow.

    Examples
    --------
    >>> round(float(counterflow_effectiveness(1.0, 0.0)), 6)
    0.632121
    >>> float(counterflow_effectiveness(1.0, 1.0))
    0.5
    """
    balanced = np.abs(1.0 - capacity_ratio) < 1e-12
    gained = -np.expm1(-transfer_units * (1.0 - capacity_ratio))
    unbalanced = gained / choose(balanced, 1.0, (1.0 - capacity_ratio) + capacity_ratio * gained)
    return choose(balanced, transfer_units / (1.0 + transfer_units), unbalanced)
