"""Atmospheric pressure at a height above the sea."""

from __future__ import annotations

from wetpath.errors import LimitError
from wetpath.physics.constants import STANDARD_ATMOSPHERE, STANDARD_GRAVITY

_SEA_LEVEL_TEMPERATURE = 288.15      # [K]
_LAPSE_RATE = 6.5e-3                 # [K/m]
_GAS_CONSTANT_OF_AIR = 287.05287     # [J/(kg K)]
_LOWEST, _HIGHEST = -2000.0, 11000.0


def atmosphere_at(altitude: float) -> float:
    r"""Pressure of the standard atmosphere at an altitude.

    :math:`p = p_0 (1 - \beta h / T_0)^{g / (\beta R)}` in the layer up to 11 km [1]_.

    Parameters
    ----------
    altitude : float [m]
        Geopotential height above mean sea level; it differs from the height on a map by 0.03 % at 2 km.

    Returns
    -------
    float [Pa]

    Raises
    ------
    LimitError
        Below -2000 m or above 11 000 m, where this layer ends.

    Notes
    -----
    A mean. Weather moves the pressure by some ±3 %, mostly at sea level.

    References
    ----------
    .. [1] ISO 2533:1975, Standard atmosphere, equal to the ICAO standard atmosphere (Doc 7488). Recalled.

    Examples
    --------
    >>> round(atmosphere_at(1000.0), 1)
    89874.6
    """
    if not _LOWEST <= altitude <= _HIGHEST:
        raise LimitError(
            f"The standard atmosphere is used from {_LOWEST:.0f} m to {_HIGHEST:.0f} m; the site is at "
            f"{altitude:.0f} m. Give the atmospheric pressure of the site itself."
        )
    exponent = STANDARD_GRAVITY / (_LAPSE_RATE * _GAS_CONSTANT_OF_AIR)
    return float(STANDARD_ATMOSPHERE * (1 - _LAPSE_RATE * altitude / _SEA_LEVEL_TEMPERATURE) ** exponent)
