"""Bubble pressure of a liquid mixture from the vapour pressures of its components."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.liquids.chemical_database import Substance
from wetpath.physics.published import published

Array = NDArray[np.float64]

GAS_CONSTANT = 8.31446261815324                # [J/(mol K)], exact by definition

#: (temperature) -> activity coefficients, one per component
Activity = Callable[[float], Array]


class BubblePoint(NamedTuple):
    """Pressure at which the first bubble forms, and what is in it."""

    pressure: Array                            # (n,) [Pa]
    vapour: Array                              # (components, n), mole fractions
    converged: bool


@published("prausnitz-lichtenthaler-1999", status="recalled")
def bubble_point(temperatures: Array, moles: Array, activity: Array, pure_pressures: Array,
                 liquid_volumes: Array, second_virial: Array | None) -> BubblePoint:
    """Bubble pressure ``p = sum x_i gamma_i p_i (phi_i,sat / phi_i) exp(v_i (p - p_i) / (R T))``.

    Parameters
    ----------
    temperatures : array (n,) [K]
    moles : array (m,) [-]
        Mole fractions x of the liquid.
    activity, pure_pressures, liquid_volumes : arrays (m, n) [-, Pa, m3/mol]
        Activity coefficients, vapour pressures and molar liquid volumes of the components.
    second_virial : array (m, m, n) [m3/mol] or None
        Second virial coefficients; None takes the vapour as an ideal gas.

    Notes
    -----
    The virial equation cut after its second term holds to about half the critical density of the vapour, for
    hydrocarbons to some 15 to 20 bar. Vapours that associate (acids, hydrogen fluoride) are outside it.

    References
    ----------
    .. [1] Prausnitz, Lichtenthaler, de Azevedo: Molecular Thermodynamics of Fluid-Phase Equilibria, 3rd ed.,
       1999, chapters 5 and 6. Recalled.
    """
    thermal = GAS_CONSTANT * temperatures
    ideal = moles[:, None] * activity * pure_pressures
    partial_pressures = ideal
    pressure = ideal.sum(axis=0)
    if second_virial is None:
        return BubblePoint(pressure, ideal / pressure, True)
    own = np.einsum("iin->in", second_virial)
    change = np.full_like(pressure, np.inf)
    for _ in range(200):
        vapour = partial_pressures / partial_pressures.sum(axis=0)
        weighted = np.einsum("jn,ijn->in", vapour, second_virial)
        whole = (vapour * weighted).sum(axis=0)
        exponent = (own * pure_pressures - (2.0 * weighted - whole) * pressure
                    + liquid_volumes * (pressure - pure_pressures)) / thermal
        partial_pressures = ideal * np.exp(exponent)
        new = partial_pressures.sum(axis=0)
        change = np.abs(new / pressure - 1.0)
        pressure = np.exp(0.5 * (np.log(pressure) + np.log(new)))
        if change.max() < 1e-13:
            break
    return BubblePoint(pressure, partial_pressures / partial_pressures.sum(axis=0), bool(change.max() < 1e-9))


@published("tsonopoulos-1974", status="recalled")
def second_virial_coefficient(temperature: Array, critical_temperature: float, critical_pressure: float,
                              acentric_factor: float) -> Array:
    """Second virial coefficient of a non-polar gas [m3/mol].

    ``B p_c / (R T_c) = f0(T_r) + omega f1(T_r)``. Tsonopoulos, AIChE J. 20 (1974) 263. Recalled. Polar gases:
    the polar term is left out, B is then not negative enough.

    >>> round(float(second_virial_coefficient(np.array(300.0), 425.1, 3.796e6, 0.2)) * 1e6)   # n-butane
    -714
    """
    t = critical_temperature / temperature
    f0 = 0.1445 + t * (-0.330 + t * (-0.1385 + t * (-0.0121 - 0.000607 * t**5)))
    f1 = 0.0637 + t**2 * (0.331 + t * (-0.423 - 0.008 * t**5))
    return np.asarray(GAS_CONSTANT * critical_temperature / critical_pressure * (f0 + acentric_factor * f1))


def second_virial_matrix(parts: Sequence[Substance], temperatures: Array) -> Array | None:
    """Second virial coefficients of all pairs (m, m, n); None where a critical constant is missing.

    Cross coefficients with ``T_c = sqrt(T_c1 T_c2)``, the mean acentric factor and
    ``p_c = 4 T_c (p_c1 v_c1 / T_c1 + p_c2 v_c2 / T_c2) / (v_c1^(1/3) + v_c2^(1/3))^3`` (Tsonopoulos 1974).
    """
    matrix = np.empty((len(parts), len(parts), temperatures.size))
    for i, one in enumerate(parts):
        for j, other in enumerate(parts):
            constants = _pair(one, other)
            if constants is None:
                return None
            matrix[i, j] = second_virial_coefficient(temperatures, *constants)
    return matrix


def _pair(one: Substance, other: Substance) -> tuple[float, float, float] | None:
    if (one.critical_pressure is None or other.critical_pressure is None or one.critical_volume is None
            or other.critical_volume is None or one.acentric_factor is None or other.acentric_factor is None):
        return None
    temperature = float(np.sqrt(one.critical_temperature * other.critical_temperature))
    if one is other:
        return temperature, one.critical_pressure, one.acentric_factor
    size = (one.critical_volume ** (1 / 3) + other.critical_volume ** (1 / 3)) ** 3
    pressure = 4.0 * temperature / size * (
        one.critical_pressure * one.critical_volume / one.critical_temperature
        + other.critical_pressure * other.critical_volume / other.critical_temperature)
    return temperature, pressure, 0.5 * (one.acentric_factor + other.acentric_factor)


def _activity_coefficients(model: Any, shares: list[float], temperature: float) -> Array:
    return np.array(model.to_T_xs(temperature, shares).gammas())


def activity_model(parts: Sequence[Substance], moles: Array) -> tuple[Activity, str]:
    """Activity coefficients of the liquid, and the method in words.

    Modified UNIFAC (Dortmund), else UNIFAC, where the groups of all components and all their interactions are
    published; else 1 (Raoult's law).
    """
    from thermo import unifac

    shares = moles.tolist()
    for table, label, version, subgroups, interactions in (
            ("MODIFIED_UNIFAC", "modified UNIFAC (Dortmund)", 1, unifac.DOUFSG, unifac.DOUFIP2006),
            ("UNIFAC", "UNIFAC", 0, unifac.UFSG, unifac.UFIP)):
        groups = [unifac.UNIFAC_group_assignment_DDBST(part.cas_number, table) for part in parts]
        if not all(groups):
            continue
        main = {subgroups[group].main_group_id for assigned in groups for group in assigned}
        if all(one == other or other in interactions.get(one, ()) for one in main for other in main):
            model = unifac.UNIFAC.from_subgroups(chemgroups=groups, T=300.0, xs=shares, version=version,
                                                 subgroups=subgroups, interaction_data=interactions)
            return partial(_activity_coefficients, model, shares), label
    return lambda temperature: np.ones(len(shares)), "Raoult's law"
