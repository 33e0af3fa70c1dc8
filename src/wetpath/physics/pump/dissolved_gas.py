"""Gas in the liquid: the pressure at which it comes out of solution, and the volume it then takes."""

from typing import Any

import numpy as np

from wetpath.physics.published import published

Numeric = Any

GAS_CONSTANT = 8.31446261815324  # [J/(mol K)], exact by definition


@published("henry-law", status="exact")
def degassing_pressure(vapour_pressure: Numeric, henry_constant: Numeric, mole_share: Numeric) -> Numeric:
    r"""Pressure below which a liquid with dissolved gas gives off bubbles, :math:`(1-x)\,p_v+x\,K_H`.

    Parameters
    ----------
    vapour_pressure : array [Pa]
        Of the liquid without gas.
    henry_constant : array [Pa]
        Partial pressure of the gas over its mole share in the liquid, at the temperature of the liquid.
    mole_share : array [-]
        Dissolved gas, moles over moles of solution.

    Returns
    -------
    array [Pa], absolute.

    Notes
    -----
    One sparingly soluble gas (x below 0.03), ideal vapour. Holds for rest: bubbles need seconds to form, a
    pump passes the liquid in less, so that the pressure is on the safe side.

    References
    ----------
    .. [1] Henry's law for the gas, Raoult's for the liquid, Dalton's for their sum. Exact in the limit of dilution.

    Examples
    --------
    >>> round(degassing_pressure(3169.0, 8.65e9, 1.135e-5) / 1e3, 1)
    101.3
    """
    return (1 - mole_share) * vapour_pressure + mole_share * henry_constant


@published("henry-law", status="exact")
def dissolved_share(pressure: Numeric, vapour_pressure: Numeric, henry_constant: Numeric) -> Numeric:
    r"""Mole share of gas that stays dissolved at a pressure, :math:`(p-p_v)/(K_H-p_v)`, zero below boiling.

    Parameters
    ----------
    pressure, vapour_pressure, henry_constant : array [Pa]
        As in :func:`degassing_pressure`, which this turns round.

    Returns
    -------
    array [-]

    References
    ----------
    .. [1] As :func:`degassing_pressure`.

    Examples
    --------
    >>> f"{dissolved_share(101325.0, 3169.0, 8.65e9):.3e}"
    '1.135e-05'
    """
    return np.maximum((pressure - vapour_pressure) / (henry_constant - vapour_pressure), 0.0)


@published("ideal-gas", status="exact")
def released_gas_share(mole_share: Numeric, still_dissolved: Numeric, pressure: Numeric, vapour_pressure: Numeric,
                       temperature: Numeric, molar_volume: Numeric) -> Numeric:
    r"""Volume share of gas that has come out of solution, :math:`V/(V+v)`, :math:`V=\frac{(r_0-r)RT}{p-p_v}`.

    r is moles of gas over moles of liquid, :math:`x/(1-x)`.

    Parameters
    ----------
    mole_share, still_dissolved : array [-]
        Mole share the liquid brings, and the share that can stay dissolved here.
    pressure, vapour_pressure : array [Pa]
        Of the place; the gas stands at the difference, the vapour of the liquid fills its bubbles too.
    temperature : array [K]
    molar_volume : array [m3/mol]
        Of the liquid.

    Returns
    -------
    array [-]; 0 where all stays dissolved, 1 where the liquid boils.

    Notes
    -----
    Equilibrium, ideal gas, bubbles moving with the liquid: the largest share possible. Shares above 0.3 are
    no longer bubbly flow.

    References
    ----------
    .. [1] Ideal gas and mole balance. Exact.

    Examples
    --------
    >>> round(float(released_gas_share(1.135e-5, 5.5e-6, 50662.5, 3169.0, 298.15, 1.807e-5)), 4)
    0.0166
    """
    moles = mole_share / (1 - mole_share) - still_dissolved / (1 - still_dissolved)
    partial = np.asarray(pressure - vapour_pressure, dtype=np.float64)
    boils = partial <= 0
    volume = np.maximum(moles, 0.0) * GAS_CONSTANT * temperature / np.where(boils, 1.0, partial)
    return np.where(boils, 1.0, volume / (volume + molar_volume))


@published("ideal-gas", status="exact")
def carried_gas_share(share: Numeric, gas_pressure: Numeric, temperature: Numeric, gas_pressure_here: Numeric,
                      temperature_here: Numeric) -> Numeric:
    r"""Volume share of bubbles at another pressure, :math:`\frac{s'}{1-s'}=\frac{s}{1-s}\frac{p}{p'}\frac{T'}{T}`.

    Parameters
    ----------
    share, gas_pressure, temperature : array [-], [Pa], [K]
        Where the share is known; the pressure is that above the vapour pressure there.
    gas_pressure_here, temperature_here : array [Pa], [K]
        Where it is asked.

    Returns
    -------
    array [-]; 1 where the liquid boils.

    Notes
    -----
    Nothing dissolves and nothing comes out of solution.

    References
    ----------
    .. [1] Ideal gas. Exact.

    Examples
    --------
    >>> round(float(carried_gas_share(0.02, 2e5, 300.0, 4e5, 300.0)), 4)
    0.0101
    """
    partial = np.asarray(gas_pressure_here, dtype=np.float64)
    boils = partial <= 0
    ratio = share / (1 - share) * gas_pressure / np.where(boils, 1.0, partial) * temperature_here / temperature
    return np.where(boils, 1.0, ratio / (1 + ratio))
