"""Allowable stress from the strength of a material, and over temperature."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from wetpath.physics.published import in_kernel, published

Numeric = Any


@published("asme-ii-d-appendix-1", status="recalled")
@in_kernel
def allowable_stress_asme(tensile_strength: Numeric, yield_strength: Numeric) -> Numeric:
    r"""Allowable stress near ambient temperature, :math:`\min(R_m/3.5,\ \tfrac23R_e)`.

    Parameters
    ----------
    tensile_strength, yield_strength : array [Pa]
        Specified minimum values at room temperature.

    Returns
    -------
    array [Pa]

    Notes
    -----
    The rule behind the tables of ASME II-D, not the tables: those are rounded and for hot metal follow yield
    and creep at temperature. Castings carry a further factor (0.8 unless examined).

    References
    ----------
    .. [1] ASME Boiler and Pressure Vessel Code, Section II Part D, mandatory appendix 1. Recalled.

    Examples
    --------
    >>> round(float(allowable_stress_asme(515e6, 205e6)) / 1e6, 1)
    136.7
    """
    return np.minimum(tensile_strength / 3.5, 2 / 3 * yield_strength)


@published("en-13445-3-6", status="recalled")
@in_kernel
def allowable_stress_en(tensile_strength: Numeric, yield_strength: Numeric) -> Numeric:
    r"""Nominal design stress of a steel other than austenitic, :math:`\min(R_{p0.2}/1.5,\ R_m/2.4)`.

    Parameters
    ----------
    tensile_strength : array [Pa]
        At 20 degC.
    yield_strength : array [Pa]
        0.2 % proof strength at temperature.

    Returns
    -------
    array [Pa]

    References
    ----------
    .. [1] EN 13445-3, clause 6. Recalled.

    Examples
    --------
    >>> round(float(allowable_stress_en(620e6, 360e6)) / 1e6, 1)
    240.0
    """
    return np.minimum(yield_strength / 1.5, tensile_strength / 2.4)


@published("en-13445-3-6", status="recalled")
@in_kernel
def allowable_stress_en_austenitic(tensile_strength: Numeric, proof_strength: Numeric) -> Numeric:
    r"""Nominal design stress of an austenitic steel, :math:`\max[R_{p1.0}/1.5,\ \min(R_{p1.0}/1.2,\ R_m/3)]`.

    Parameters
    ----------
    tensile_strength, proof_strength : array [Pa]
        Rm and the 1 % proof strength, both at temperature.

    Returns
    -------
    array [Pa]

    Notes
    -----
    For an elongation at rupture of 35 % or more.

    References
    ----------
    .. [1] EN 13445-3, clause 6. Recalled.

    Examples
    --------
    >>> round(float(allowable_stress_en_austenitic(410e6, 181e6)) / 1e6, 1)
    136.7
    """
    return np.maximum(proof_strength / 1.5, np.minimum(proof_strength / 1.2, tensile_strength / 3))


def at_temperature(temperature: Numeric, table_temperatures: Sequence[float],
                   table_stresses: Sequence[float]) -> Numeric:
    """Stress from a table over temperature, linear between its rows as the codes allow.

    Parameters
    ----------
    temperature : array [K]
    table_temperatures, table_stresses : sequence [K], [Pa]
        Temperature strictly rising.

    Returns
    -------
    array [Pa]: the first value below the table (cold metal is not weaker), NaN above it: no value is
    allowed there.

    Examples
    --------
    >>> hot = at_temperature(np.array([250.0, 400.0, 600.0]), [311.0, 422.0, 533.0], [138.0, 138.0, 120.0])
    >>> [float(stress) for stress in hot]
    [138.0, 138.0, nan]
    """
    knots = np.asarray(table_temperatures, dtype=np.float64)
    if np.any(np.diff(knots) <= 0):
        raise ValueError("the temperatures of a stress table must rise strictly")
    return np.interp(temperature, knots, np.asarray(table_stresses, dtype=np.float64), right=np.nan)
