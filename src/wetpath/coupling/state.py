"""Load angle, pull-out torque and shell loss of a coupling at its working temperature and load.

The series are those of `wetpath.coupling.response.CouplingResponse`, multiplied by the remanences at 20 degC: torque is
``sum_k series[k] sin((k + 1) delta)`` with delta the electrical load angle; the eddy heat of shell cell j per unit of
loading (conductivity times the square of the speed) is ``bi^2 inner[j] + bo^2 outer[j] + bi bo sum_m cross[m, j]
cos((2 m + 1) delta)``, where bi and bo are the remanences of the rings relative to 20 degC.
"""

from typing import Any

import numpy as np

from wetpath.physics.published import in_kernel


@in_kernel
def torque_series(parts: Any, inner: float, outer: float, series: Any) -> None:
    """Fill ``series`` [N m] from ``parts`` (3, orders): on the product, on the square of inner and of outer."""
    for order in range(series.shape[0]):
        series[order] = inner * outer * parts[0, order] + inner**2 * parts[1, order] + outer**2 * parts[2, order]


@in_kernel
def torque_at(series: Any, angle: float) -> tuple[float, float]:
    """Torque [N m] at an electrical load angle [rad], and its slope [N m/rad]."""
    sine, cosine = np.sin(angle), np.cos(angle)
    value, slope = 0.0, 0.0
    s, c = sine, cosine
    for order in range(series.shape[0]):
        value += series[order] * s
        slope += series[order] * (order + 1) * c
        s, c = s * cosine + c * sine, c * cosine - s * sine
    return value, slope


@in_kernel
def load_angle(series: Any, load: float, pull_out_angle: float, pull_out_torque: float, guess: float = 0.0) -> float:
    """Electrical angle [rad] at which the coupling carries a load [N m], searched from ``guess`` when it is given.

    On the stable side, between 0 and the pull-out angle; a load above pull-out gives the pull-out angle.
    """
    if load >= pull_out_torque:
        return pull_out_angle
    low, high = 0.0, pull_out_angle
    angle = guess if 0.0 < guess < pull_out_angle else pull_out_angle * load / pull_out_torque
    for _ in range(60):
        value, slope = torque_at(series, angle)
        if value > load:
            high = angle
        else:
            low = angle
        better = angle - (value - load) / slope if slope > 0.0 else -1.0
        if not (low < better < high):
            better = 0.5 * (low + high)
        elif np.abs(better - angle) < 1e-8:  # what a step of Newton leaves is the square of it
            return better
        angle = better
    return angle


@in_kernel
def shell_heat(inner: Any, outer: Any, cross: Any, loading: float, inner_strength: float, outer_strength: float,
               angle: float, heat: Any) -> float:
    """Fill ``heat`` with the eddy heat of every shell cell [W] at 20 degC resistivity.

    ``loading`` is the wall's conductivity times the square of the speed. Returns the share of the braking power
    that loads the inner ring: each ring's field meets the whole current.
    """
    own, total = 0.0, 0.0
    for cell in range(heat.shape[0]):
        heat[cell] = 0.0
    for order in range(cross.shape[0]):
        wave = inner_strength * outer_strength * np.cos((2 * order + 1) * angle)
        for cell in range(heat.shape[0]):
            heat[cell] += wave * cross[order, cell]
    for cell in range(heat.shape[0]):
        alone = inner_strength * inner_strength * inner[cell]
        both = alone + outer_strength * outer_strength * outer[cell] + heat[cell]
        own += alone + 0.5 * heat[cell]
        total += both
        heat[cell] = max(both * loading, 0.0)
    return own / total if total > 0.0 else 0.5
