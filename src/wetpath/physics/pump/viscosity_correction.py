"""Viscosity correction: water performance of a centrifugal pump carried to a viscous liquid."""

from typing import Any, NamedTuple

import numpy as np

from wetpath.physics.published import choose, in_kernel, published
from wetpath.physics.pump.customary_units import (
    CUBIC_METRE_PER_HOUR,
    REVOLUTION_PER_MINUTE,
    SQUARE_MILLIMETRE_PER_SECOND,
)
from wetpath.physics.pump.specific_speed import specific_speed_metric
from wetpath.physics.validity import Limit, limit

Numeric = Any

#: Base of the standard's flow factor; it prints 2.71, not e.
BASE = 2.71
#: Range of the parameter B: no correction up to the first, no method from the second on.
NO_CORRECTION_UP_TO = 1.0
NO_METHOD_FROM = 40.0
#: Entry constant of the NPSH3 correction.
AXIAL_ENTRY = 0.1
RADIAL_ENTRY = 0.5


class ViscousPerformance(NamedTuple):
    """One point of the viscous curve and the factors that led to it."""

    flow: Numeric
    head: Numeric
    efficiency: Numeric
    flow_factor: Numeric
    head_factor: Numeric
    efficiency_factor: Numeric


@published("hi-9.6.7", status="recalled")
@in_kernel
def viscosity_parameter(kinematic_viscosity: Numeric, best_flow: Numeric, best_head: Numeric,
                        speed: Numeric) -> Numeric:
    r"""Parameter B, :math:`B=16.5\,\nu^{0.5}H^{0.0625}/(Q^{0.375}N^{0.25})`.

    Parameters
    ----------
    kinematic_viscosity : array [m2/s]
        Of the pumped liquid.
    best_flow : array [m3/s]
        Flow at best efficiency on water.
    best_head : array [m]
        Head of one stage there.
    speed : array [rad/s]

    Returns
    -------
    array [-]; the formula itself is in mm2/s, m, m3/h and r/min, converted inside.

    Notes
    -----
    The form in US units (26.6, ft, US gpm) gives a B 0.4 % lower; this is the metric form.

    References
    ----------
    .. [1] ANSI/HI 9.6.7, also ISO/TR 17766. Constants recalled.

    Examples
    --------
    >>> round(float(viscosity_parameter(120e-6, 110 / 3600, 77.0, 2950 * np.pi / 30)), 3)
    5.521
    """
    return (16.5 * np.sqrt(kinematic_viscosity / SQUARE_MILLIMETRE_PER_SECOND) * best_head**0.0625
            / ((best_flow / CUBIC_METRE_PER_HOUR)**0.375 * (speed / REVOLUTION_PER_MINUTE)**0.25))


@published("hi-9.6.7", status="recalled")
@in_kernel
def flow_factor(parameter: Numeric) -> Numeric:
    r"""Flow factor, which is also the head factor at best efficiency.

    :math:`C_Q=2.71^{-0.165(\log_{10}B)^{3.15}}`.

    Parameters
    ----------
    parameter : array [-]
        B of :func:`viscosity_parameter`.

    Returns
    -------
    array [-]: 1 for B <= 1, NaN for B >= 40 where the standard gives no method.

    References
    ----------
    .. [1] ANSI/HI 9.6.7, also ISO/TR 17766. Constants recalled.

    Examples
    --------
    >>> round(float(flow_factor(5.521)), 4)
    0.9378
    """
    inside = np.maximum(parameter, NO_CORRECTION_UP_TO)
    factor = BASE**(-0.165 * np.log10(inside)**3.15)
    return choose(parameter < NO_METHOD_FROM, factor, np.nan)


@published("hi-9.6.7", status="recalled")
@in_kernel
def head_factor(best_factor: Numeric, flow_share: Numeric) -> Numeric:
    r"""Head factor away from best efficiency, :math:`C_H=1-(1-C_Q)(Q_w/Q_{BEP,w})^{0.75}`.

    Parameters
    ----------
    best_factor : array [-]
        :func:`flow_factor`.
    flow_share : array [-], >= 0
        Water flow over the water flow at best efficiency.

    Returns
    -------
    array [-]; 1 at shut-off: a viscous liquid leaves the shut-off head as it is.

    References
    ----------
    .. [1] ANSI/HI 9.6.7, also ISO/TR 17766. Constants recalled.

    Examples
    --------
    >>> round(float(head_factor(0.9378, 0.6)), 4)
    0.9576
    """
    return 1.0 - (1.0 - best_factor) * np.maximum(flow_share, 0.0)**0.75


@published("hi-9.6.7", status="recalled")
@in_kernel
def efficiency_factor(parameter: Numeric) -> Numeric:
    r"""Efficiency factor, :math:`C_\eta=B^{-0.0547B^{0.69}}`, the same at every flow.

    Parameters
    ----------
    parameter : array [-]
        B of :func:`viscosity_parameter`.

    Returns
    -------
    array [-]: 1 for B <= 1, NaN for B >= 40.

    References
    ----------
    .. [1] ANSI/HI 9.6.7, also ISO/TR 17766. Constants recalled.

    Examples
    --------
    >>> round(float(efficiency_factor(5.521)), 4)
    0.738
    """
    inside = np.maximum(parameter, NO_CORRECTION_UP_TO)
    factor = inside**(-0.0547 * inside**0.69)
    return choose(parameter < NO_METHOD_FROM, factor, np.nan)


@published("hi-9.6.7", status="recalled")
@in_kernel
def viscosity_correction(flow: Numeric, head: Numeric, efficiency: Numeric, kinematic_viscosity: Numeric,
                         best_flow: Numeric, best_head: Numeric, speed: Numeric) -> ViscousPerformance:
    """Carry one point of the water curve to a viscous liquid.

    Flow times C_Q, head times C_H, efficiency times C_eta; see the three factors in this module.

    Parameters
    ----------
    flow, head, efficiency : array [m3/s], [m], [-]
        A point of the water curve at this speed.
    kinematic_viscosity : array [m2/s]
    best_flow, best_head : array [m3/s], [m]
        Water flow and head of one stage at best efficiency, same speed.
    speed : array [rad/s]

    Returns
    -------
    ViscousPerformance, each the broadcast shape; NaN for B >= 40. Power follows from
    :func:`wetpath.physics.pump.hydraulic_power.shaft_power` with these values.

    Notes
    -----
    For conventional radial impellers, Newtonian liquids and the ranges of
    :func:`viscosity_correction_limits`. For low-flow special designs, axial or mixed flow pumps and
    slurries there is no basis. The drag of the coupling's inner ring, the shell gap and the bearings is
    **not** in it and is added separately. To find the viscous head at a given viscous flow use the water
    point at flow / C_Q.

    References
    ----------
    .. [1] ANSI/HI 9.6.7, also ISO/TR 17766. Constants recalled; range read in secondary pages.

    Examples
    --------
    >>> point = viscosity_correction(110 / 3600, 77.0, 0.68, 120e-6, 110 / 3600, 77.0, 2950 * np.pi / 30)
    >>> [round(float(x), 4) for x in (point.flow * 3600, point.head, point.efficiency)]
    [103.1538, 72.2077, 0.5018]
    """
    parameter = viscosity_parameter(kinematic_viscosity, best_flow, best_head, speed)
    for_flow = flow_factor(parameter)
    for_head = head_factor(for_flow, flow / best_flow)
    for_efficiency = efficiency_factor(parameter)
    return ViscousPerformance(flow * for_flow, head * for_head, efficiency * for_efficiency,
                              for_flow, for_head, for_efficiency)


@published("hi-9.6.7", status="recalled")
@in_kernel
def viscous_npsh_required(npsh_required: Numeric, best_npsh_required: Numeric, best_flow: Numeric,
                          speed: Numeric, head_factor_there: Numeric,
                          entry: Numeric = AXIAL_ENTRY) -> Numeric:
    r"""NPSH3 on a viscous liquid from NPSH3 on water.

    :math:`NPSH3_{vis}=NPSH3_w\{1+A(1/C_H-1)\,274000\,NPSH3_{BEP,w}/(Q_{BEP,w}^{0.667}N^{1.33})\}`.

    Parameters
    ----------
    npsh_required : array [m]
        NPSH3 on water at the point.
    best_npsh_required, best_flow : array [m], [m3/s]
        NPSH3 on water and flow at best efficiency.
    speed : array [rad/s]
    head_factor_there : array [-]
        C_H at the point.
    entry : array [-]
        A: 0.1 for axial entry (end suction), 0.5 for radial (side) entry.

    Returns
    -------
    array [m], never below the water value.

    Notes
    -----
    An estimate of the standard without much test data behind it; it covers friction at the impeller eye only.
    The loss in the suction pipe rises too and belongs in the NPSH available.

    References
    ----------
    .. [1] ANSI/HI 9.6.7. Recalled; the constants of the metric (274 000) and the US form (225 000) agree to
       0.3 %.

    Examples
    --------
    >>> round(float(viscous_npsh_required(4.15, 4.15, 110 / 3600, 2950 * np.pi / 30, 0.938)), 2)
    4.18
    """
    ratio = 274000.0 * best_npsh_required / ((best_flow / CUBIC_METRE_PER_HOUR)**0.667
                                             * (speed / REVOLUTION_PER_MINUTE)**1.33)
    return npsh_required * (1.0 + entry * np.maximum(1.0 / head_factor_there - 1.0, 0.0) * ratio)


def viscosity_correction_limits(kinematic_viscosity: Numeric, best_flow: Numeric, best_head: Numeric,
                                speed: Numeric) -> tuple[Limit, ...]:
    """Where the viscosity correction is used outside what it was made from.

    Parameters
    ----------
    kinematic_viscosity, best_flow, best_head, speed : array [m2/s], [m3/s], [m], [rad/s]
        As in :func:`viscosity_correction`.

    Returns
    -------
    tuple of Limit. While B <= 1 nothing is corrected, so only the limit on B itself can be crossed.

    References
    ----------
    .. [1] Range of ANSI/HI 9.6.7, read in secondary pages: B below 40, specific speed up to 60, 1 to 4000
       mm2/s (tests up to 3000), tests on 3 to 260 m3/h and 6 to 130 m a stage.

    Examples
    --------
    >>> from wetpath.physics.validity import messages
    >>> messages(*viscosity_correction_limits(6e-3, 3 / 3600, 20.0, 2900 * np.pi / 30))[0]
    'viscosity parameter B is 40 or more: the correction of ANSI/HI 9.6.7 gives no value there'
    """
    viscosity = np.asarray(kinematic_viscosity) / SQUARE_MILLIMETRE_PER_SECOND
    hourly = np.asarray(best_flow) / CUBIC_METRE_PER_HOUR
    head = np.asarray(best_head)
    parameter = viscosity_parameter(kinematic_viscosity, best_flow, best_head, speed)
    used = parameter > NO_CORRECTION_UP_TO
    shape_number = specific_speed_metric(speed, best_flow, best_head)
    return (
        limit("viscosity parameter B is 40 or more: the correction of ANSI/HI 9.6.7 gives no value there",
              parameter >= NO_METHOD_FROM),
        limit("viscosity above 4000 mm2/s: beyond the range of the correction of ANSI/HI 9.6.7",
              used & (viscosity > 4000)),
        limit("viscosity above 3000 mm2/s: beyond the tests behind the correction of ANSI/HI 9.6.7",
              used & (viscosity > 3000) & (viscosity <= 4000)),
        limit("specific speed above 60: the correction of ANSI/HI 9.6.7 is for radial impellers",
              used & (shape_number > 60)),
        limit("flow at best efficiency outside 3 to 260 m3/h: beyond the tests behind the correction of ANSI/HI 9.6.7",
              used & ((hourly < 3) | (hourly > 260))),
        limit("head of one stage outside 6 to 130 m: beyond the tests behind the correction of ANSI/HI 9.6.7",
              used & ((head < 6) | (head > 130))),
    )
