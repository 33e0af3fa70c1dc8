"""Affinity laws: a pump curve carried to another speed or to a turned-down impeller."""

from typing import Any, NamedTuple

import numpy as np

from wetpath.physics.published import in_kernel, published
from wetpath.physics.validity import Limit, limit

Numeric = Any

#: Trim below which, by common practice, the simple laws are used without a test [share of diameter].
USUAL_LARGEST_TRIM = 0.10
#: Trim beyond which the simple laws mislead, by common practice [share of diameter].
LARGEST_TRIM = 0.15


class Duty(NamedTuple):
    """Flow [m3/s], head [m] and power [W] of a pump at one point of its curve."""

    flow: Numeric
    head: Numeric
    power: Numeric


@published("affinity-laws", status="exact")
@in_kernel
def at_speed(flow: Numeric, head: Numeric, power: Numeric, speed_ratio: Numeric) -> Duty:
    r"""Carry one point of a curve to another speed, :math:`Q\propto n,\ H\propto n^2,\ P\propto n^3`.

    Parameters
    ----------
    flow, head, power : array [m3/s], [m], [W]
        The point at the first speed; power is the hydraulic part only.
    speed_ratio : array [-]
        New speed over first speed.

    Returns
    -------
    Duty, each the broadcast shape.

    Notes
    -----
    Exact for inviscid similarity; efficiency is taken as unchanged, good to a point or so of efficiency for a
    speed ratio of 0.8 to 1.2 and too kind to small pumps slowed down a lot. Coupling losses follow
    their own laws (eddy loss n squared) and are not part of ``power``.

    References
    ----------
    .. [1] Similarity of incompressible turbomachines; any textbook. Exact.

    Examples
    --------
    >>> [round(x, 4) for x in at_speed(50.0, 60.0, 15.0, 1450 / 2950)]
    [24.5763, 14.4958, 1.7813]
    """
    return Duty(flow * speed_ratio, head * speed_ratio**2, power * speed_ratio**3)


@published("impeller-trim", status="common practice")
@in_kernel
def trimmed(flow: Numeric, head: Numeric, power: Numeric, diameter_ratio: Numeric,
            flow_exponent: Numeric = 1.0, head_exponent: Numeric = 2.0,
            power_exponent: Numeric = 3.0) -> Duty:
    r"""Carry one point of a curve to a turned-down impeller.

    :math:`Q'=Q\lambda^{a},\ H'=H\lambda^{b},\ P'=P\lambda^{c}`, :math:`\lambda=D'/D`.

    Parameters
    ----------
    flow, head, power : array [m3/s], [m], [W]
        The point at the first diameter.
    diameter_ratio : array [-]
        New outside diameter over the first.
    flow_exponent, head_exponent, power_exponent : array [-]
        1, 2, 3 is the simple rule for radial impellers of low specific speed; exponents of 2 for the flow and
        4 for power come from turning down vane and outlet width together. Two tested diameters
        give the pump's own: see :func:`trim_exponent`.

    Returns
    -------
    Duty, each the broadcast shape.

    Notes
    -----
    Not a similarity law: the trimmed impeller is not similar to the full one and usually loses more head than
    the rule says. :func:`trim_limits` flags more than 10 and 15 %.

    References
    ----------
    .. [1] Common practice, no source.

    Examples
    --------
    >>> [round(x, 3) for x in trimmed(50.0, 60.0, 15.0, 190 / 209)]
    [45.455, 49.587, 11.27]
    """
    return Duty(flow * diameter_ratio**flow_exponent, head * diameter_ratio**head_exponent,
                power * diameter_ratio**power_exponent)


def trim_limits(diameter_ratio: Numeric) -> tuple[Limit, ...]:
    """Where the trim leaves the range in which :func:`trimmed` is trusted.

    Parameters
    ----------
    diameter_ratio : array [-]
        New outside diameter over the tested one.

    Returns
    -------
    tuple of Limit: more than 10 %, more than 15 %, an impeller larger than the tested one.

    Examples
    --------
    >>> [bool(one.crossed) for one in trim_limits(0.88)]
    [True, False, False]
    """
    ratio = np.asarray(diameter_ratio)
    return (
        limit("impeller trimmed by more than 10 %: the trim law is uncertain by several per cent of head; "
              "ask for a test at this diameter", ratio < 1 - USUAL_LARGEST_TRIM),
        limit("impeller trimmed by more than 15 %: outside the range of the trim law; use a tested curve",
              ratio < 1 - LARGEST_TRIM),
        limit("impeller larger than the tested one: the trim law is used backwards", ratio > 1),
    )


@published("impeller-trim", status="derived")
def trim_exponent(first_diameter: Numeric, first_value: Numeric,
                  second_diameter: Numeric, second_value: Numeric) -> Numeric:
    r"""Exponent of a pump's own trim law from two tested diameters, :math:`\ln(y_1/y_2)/\ln(D_1/D_2)`.

    Parameters
    ----------
    first_diameter, second_diameter : array [m]
    first_value, second_value : array
        Flow, head or power at corresponding points, for instance the two points of best efficiency.

    Returns
    -------
    array [-]; NaN or infinite where the diameters are equal.

    References
    ----------
    .. [1] Definition of a power law. Derived.

    Examples
    --------
    >>> round(float(trim_exponent(0.209, 60.0, 0.190, 49.587)), 3)
    2.0
    """
    return np.log(first_value / second_value) / np.log(first_diameter / second_diameter)
