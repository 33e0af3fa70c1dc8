"""Heating of the liquid by the pump: bulk rise, least thermal flow, and the pump shut in."""

from typing import Any

from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.published import in_kernel, published

Numeric = Any


@published("energy-balance", status="exact")
@in_kernel
def enthalpy_rise(head: Numeric, efficiency: Numeric) -> Numeric:
    r"""Rise of specific enthalpy from suction to discharge, :math:`gH/\eta`.

    Parameters
    ----------
    head, efficiency : array [m], [-]
        Efficiency of the wet end: what the shaft gives and does not leave as head heats this liquid.

    Returns
    -------
    array [J/kg]

    Notes
    -----
    The right way for light hydrocarbons near saturation: the discharge temperature follows from the discharge
    enthalpy and pressure with the liquid's own properties, where :func:`bulk_temperature_rise` leaves out
    the compression term.

    References
    ----------
    .. [1] First law for steady flow, adiabatic casing. Exact.

    Examples
    --------
    >>> round(enthalpy_rise(60.0, 0.20), 1)
    2942.0
    """
    return STANDARD_GRAVITY * head / efficiency


@published("energy-balance", status="derived")
@in_kernel
def bulk_temperature_rise(head: Numeric, efficiency: Numeric, heat_capacity: Numeric) -> Numeric:
    r"""Temperature rise of the main flow, :math:`gH(1/\eta-1)/c_p`.

    Parameters
    ----------
    head, efficiency, heat_capacity : array [m], [-], [J/(kg K)]

    Returns
    -------
    array [K]

    Notes
    -----
    Incompressible liquid: the isentropic compression heating :math:`\alpha T\,gH/c_p` is left out. That is
    about 6 % of gH/cp in water at 20 degC but 50 to 90 % of it in butane and propane, which at good
    efficiency is larger than the rise given here: use :func:`enthalpy_rise` there.

    References
    ----------
    .. [1] First law; derived.

    Examples
    --------
    >>> round(bulk_temperature_rise(60.0, 0.20, 4184.4), 4)
    0.5625
    """
    return STANDARD_GRAVITY * head * (1 / efficiency - 1) / heat_capacity


@published("energy-balance", status="derived")
@in_kernel
def least_thermal_flow(power: Numeric, density: Numeric, heat_capacity: Numeric,
                       allowed_rise: Numeric) -> Numeric:
    r"""Flow that carries a power away at an allowed temperature rise, :math:`P/(\rho c_p\Delta T)`.

    Parameters
    ----------
    power : array [W]
        Power turned to heat at low flow.
    density, heat_capacity, allowed_rise : array [kg/m3], [J/(kg K)], [K]

    Returns
    -------
    array [m3/s]

    Notes
    -----
    A bulk balance. It says nothing about the internal circulation, whose own least flow is often larger, and
    nothing about stable operation; the least flow of the pump is the largest of them all.

    References
    ----------
    .. [1] First law; derived.

    Examples
    --------
    >>> round(least_thermal_flow(3000.0, 998.16, 4184.4, 8.0) * 3600, 4)
    0.3232
    """
    return power / (density * heat_capacity * allowed_rise)


@published("energy-balance", status="derived")
@in_kernel
def heating_rate_shut_in(power: Numeric, heat_capacity_of_all: Numeric) -> Numeric:
    r"""Rate of temperature rise with both valves shut, :math:`P/\sum m c_p`.

    Parameters
    ----------
    power : array [W]
        Everything the motor gives the pump.
    heat_capacity_of_all : array [J/K]
        Sum of mass times heat capacity of the liquid and of the metal that follows it.

    Returns
    -------
    array [K/s]

    Notes
    -----
    No loss to the surroundings, uniform temperature: the average only. The liquid around the coupling heats
    faster. A pump must never be run shut in; closed casings have burst from it.

    References
    ----------
    .. [1] First law; derived.

    Examples
    --------
    >>> round(heating_rate_shut_in(5500.0, 12 * 4184.0 + 40 * 480.0) * 60, 3)
    4.754
    """
    return power / heat_capacity_of_all
