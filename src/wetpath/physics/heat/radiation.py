"""Heat radiated between grey surfaces."""

from typing import Any

from wetpath.physics.constants import STEFAN_BOLTZMANN
from wetpath.physics.published import in_kernel, published

Numeric = Any


@published("stefan-boltzmann", status="recalled")
@in_kernel
def radiated_flux(hot: Numeric, cold: Numeric, emissivity: Numeric) -> Numeric:
    r"""Net heat that a grey surface radiates to a large surrounding, :math:`\epsilon\sigma(T_1^4 - T_2^4)`.

    Parameters
    ----------
    hot, cold : float or array [K]
    emissivity : float [-], 0 to 1

    Returns
    -------
    [W/m2], positive from the first to the second.

    References
    ----------
    .. [1] Stefan-Boltzmann law, as in every textbook of heat transfer. Recalled.

    Examples
    --------
    >>> round(radiated_flux(1000.0, 0.0, 1.0))
    56704
    """
    return emissivity * STEFAN_BOLTZMANN * (hot**4 - cold**4)


@published("stefan-boltzmann", status="recalled")
@in_kernel
def facing_emissivity(emissivity: Numeric) -> Numeric:
    r"""Emissivity between two near walls of the same emissivity, :math:`1/(2/\epsilon - 1)`.

    Parameters
    ----------
    emissivity : float [-], above 0 to 1

    References
    ----------
    .. [1] Parallel grey plates, as in every textbook of heat transfer. Recalled.

    Examples
    --------
    >>> facing_emissivity(1.0), round(facing_emissivity(0.5), 4)
    (1.0, 0.3333)
    """
    return 1.0 / (2.0 / emissivity - 1.0)
