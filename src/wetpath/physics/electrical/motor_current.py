"""Current of an electric motor at part load, and the load that a current tells."""

from typing import Any

import numpy as np

from wetpath.physics.published import published

Numeric = Any

#: Current without load over that at rated power; 2- and 4-pole motors 0.3 to 0.5. Common practice.
NO_LOAD_CURRENT = 0.4


@published("motor-current-split", status="common practice")
def current_of_load(load: Numeric, no_load_current: Numeric = NO_LOAD_CURRENT) -> Numeric:
    r"""Current of a three-phase motor over its rated current.

    :math:`I/I_r = \sqrt{i_0^2 + (1 - i_0^2)(P/P_r)^2}`: the current that magnetises stays, the one that turns the shaft
    goes with the load, a quarter of a period apart.

    Parameters
    ----------
    load : array [-]
        P/P_r, shaft power over the rated one.
    no_load_current : array [-]
        i_0, current without load over the rated current.

    Returns
    -------
    array [-]

    Notes
    -----
    At rated voltage and frequency, for loads from nothing to some 1.25. Flat at low load: there it tells hardly
    anything of the power.

    References
    ----------
    .. [1] Magnetising and load current at right angles: common practice, no source.

    Examples
    --------
    >>> [round(float(current_of_load(load)), 3) for load in (0.0, 0.5, 1.0)]
    [0.4, 0.608, 1.0]
    """
    return np.sqrt(no_load_current**2 + (1 - no_load_current**2) * np.square(load))


@published("motor-current-split", status="common practice")
def load_of_current(share: Numeric, no_load_current: Numeric = NO_LOAD_CURRENT) -> Numeric:
    r"""Load of a three-phase motor by its current, the other way round of `current_of_load`.

    Parameters
    ----------
    share : array [-]
        I/I_r, current over the rated one.
    no_load_current : array [-]
        i_0, current without load over the rated current.

    Returns
    -------
    array [-]
        P/P_r; 0 for a current below the one without load.

    References
    ----------
    .. [1] Magnetising and load current at right angles: common practice, no source.

    Examples
    --------
    >>> round(float(load_of_current(current_of_load(0.7))), 12)
    0.7
    """
    return np.sqrt(np.maximum(np.square(share) - no_load_current**2, 0.0) / (1 - no_load_current**2))
