"""Tested performance of one impeller at one speed: head, power, efficiency and NPSH3 over flow."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.piecewise_polynomial import (
    PiecewisePolynomial,
    least_squares,
    slope,
    through_points,
    turning_points,
    value,
)
from wetpath.physics.published import in_kernel
from wetpath.physics.validity import Limit, limit

Numeric = Any
Array = NDArray[np.float64]

#: Head may rise this share above shut-off before the curve is called unstable (below any test's resolution).
FLAT_ENOUGH = 1e-4
#: Extrapolated shut-off power is held at this share of the power at the lowest tested flow.
LEAST_SHUT_OFF_POWER = 0.5


class CurveArrays(NamedTuple):
    """What the compiled kernel reads: three curves over flow [m3/s] at the tested speed.

    Power is kept divided by density [m5/s3]: it is smooth and finite at zero flow, where efficiency is not.
    """

    head: PiecewisePolynomial
    power_over_density: PiecewisePolynomial
    npsh_required: PiecewisePolynomial


@in_kernel
def head_at(curves: CurveArrays, flow: Numeric) -> Numeric:
    """Head [m] at a flow [m3/s]; beyond the tested flows a straight line."""
    return value(curves.head, flow)


@in_kernel
def head_slope_at(curves: CurveArrays, flow: Numeric) -> Numeric:
    """Slope of the head curve [s/m2] at a flow [m3/s]."""
    return slope(curves.head, flow)


@in_kernel
def power_over_density_at(curves: CurveArrays, flow: Numeric) -> Numeric:
    """Shaft power of the wet end over liquid density [m5/s3] at a flow [m3/s]."""
    return value(curves.power_over_density, flow)


@in_kernel
def efficiency_at(curves: CurveArrays, flow: Numeric) -> Numeric:
    """Efficiency [-] at a flow [m3/s], from the head and power curves: zero at shut-off, no pole anywhere."""
    return STANDARD_GRAVITY * flow * value(curves.head, flow) / value(curves.power_over_density, flow)


@in_kernel
def npsh_required_at(curves: CurveArrays, flow: Numeric) -> Numeric:
    """NPSH3 [m] at a flow [m3/s]; NaN where no NPSH3 was given."""
    return value(curves.npsh_required, flow)


@dataclass(frozen=True)
class PerformanceCurve:
    """Tested points made into curves, with what can be said about them.

    Build it with :func:`performance_curve`. Methods broadcast over flow. Outside the tested range
    they continue in a straight line and :meth:`limits` says so.
    """

    arrays: CurveArrays
    first_flow: float
    last_flow: float
    best_flow: float
    best_head: float
    best_efficiency: float
    warnings: tuple[str, ...]

    def head(self, flow: Numeric) -> Numeric:
        """Head [m] at a flow [m3/s]."""
        return head_at(self.arrays, flow)

    def head_slope(self, flow: Numeric) -> Numeric:
        """Slope of the head curve [s/m2]; negative where the curve is stable."""
        return head_slope_at(self.arrays, flow)

    def efficiency(self, flow: Numeric) -> Numeric:
        """Efficiency [-] at a flow [m3/s]."""
        return efficiency_at(self.arrays, flow)

    def power(self, flow: Numeric, density: Numeric) -> Numeric:
        """Shaft power [W] at a flow [m3/s] with a liquid of this density [kg/m3]."""
        return power_over_density_at(self.arrays, flow) * density

    def npsh_required(self, flow: Numeric) -> Numeric:
        """NPSH3 [m] at a flow [m3/s]; NaN where no NPSH3 was given."""
        return npsh_required_at(self.arrays, flow)

    @cached_property
    def shut_off_head(self) -> float:
        """Head [m] at zero flow."""
        return float(self.head(0.0))

    @cached_property
    def best_npsh_required(self) -> float:
        """NPSH3 [m] at best efficiency; NaN where no NPSH3 was given."""
        return float(self.npsh_required(self.best_flow))

    @cached_property
    def still_power_over_density(self) -> float:
        """Shaft power of the wet end over liquid density [m5/s3] at zero flow."""
        return float(self.power(0.0, 1.0))

    def rise_to_shut_off(self, flow: Numeric) -> Numeric:
        """Head rise from this flow to shut-off as a share of the head at this flow."""
        return self.shut_off_head / self.head(flow) - 1.0

    @property
    def highest_head(self) -> tuple[float, float]:
        """Flow [m3/s] and value [m] of the highest head between zero and the last tested flow."""
        flows = np.concatenate([[0.0, self.last_flow], turning_points(self.arrays.head)])
        heads = np.asarray(self.head(flows))
        return float(flows[np.argmax(heads)]), float(heads.max())

    @property
    def is_stable(self) -> bool:
        """Whether head falls from shut-off on, all the way to the last tested flow."""
        _, highest = self.highest_head
        turns = turning_points(self.arrays.head)
        rises_again = any(self.head_slope(turn + 1e-6 * self.last_flow) > 0 for turn in turns)
        return highest <= self.shut_off_head * (1 + FLAT_ENOUGH) and not rises_again

    def limits(self, flow: Numeric) -> tuple[Limit, ...]:
        """Where flows are outside the tested points, or on a rising part of the head curve."""
        q = np.asarray(flow)
        npsh_flows = self.arrays.npsh_required.knots
        has_npsh = np.isfinite(self.arrays.npsh_required.coefficients[0, 0])
        return (
            limit("flow below the first tested point: the curve is extrapolated", q < self.first_flow),
            limit("flow beyond the last tested point: head and power are extrapolated", q > self.last_flow),
            limit("flow outside the points at which NPSH3 was tested: NPSH3 is extrapolated",
                  has_npsh & ((q < npsh_flows[0]) | (q > npsh_flows[-1]))),
            limit("flow on a rising part of the head curve: more than one flow may belong to this head",
                  (self.head_slope(q) * self.last_flow > FLAT_ENOUGH * self.shut_off_head) & (q >= 0)),
        )


def performance_curve(flow: Any, head: Any, *, efficiency: Any = None, power_over_density: Any = None,
                      npsh_flow: Any = None, npsh_required: Any = None,
                      least_squares_degree: int | None = None) -> PerformanceCurve:
    """Make curves of tested points.

    Parameters
    ----------
    flow, head : sequence [m3/s], [m]
        Tested points, flow rising; the first should be shut-off.
    efficiency : sequence [-], optional
        At the same flows; what stands at zero flow is not used.
    power_over_density : sequence [m5/s3], optional
        Shaft power over density at the same flows. Give this or ``efficiency``; with this the
        power at shut-off is as tested, with efficiency it has to be extrapolated.
    npsh_flow, npsh_required : sequence [m3/s], [m], optional
        NPSH3 and, if it was tested at other flows, those.
    least_squares_degree : int, optional
        Fit polynomials of this degree to points with test scatter; without it the curves go through every
        point.

    Returns
    -------
    PerformanceCurve

    Notes
    -----
    Through every point: cubic splines, or monotone cubics where a spline would make waves, see
    :func:`wetpath.physics.piecewise_polynomial.through_points`. Power is interpolated, efficiency
    follows from it.

    Examples
    --------
    >>> q = np.array([0.0, 20, 40, 60, 80]) / 3600
    >>> curve = performance_curve(q, [70.0, 69.0, 66.0, 61.0, 54.0], efficiency=[0.0, 0.38, 0.58, 0.64, 0.60])
    >>> round(float(curve.best_flow) * 3600, 1), round(curve.shut_off_head, 1), curve.is_stable
    (60.7, 70.0, True)
    >>> curve.warnings
    ('power at shut-off was not given: it is extrapolated from the lowest tested flows',)
    """
    flows, heads = np.asarray(flow, dtype=np.float64), np.asarray(head, dtype=np.float64)
    warnings: list[str] = []
    if (efficiency is None) == (power_over_density is None):
        raise ValueError("give efficiency or power_over_density, one of the two")
    if not np.all(np.diff(flows) > 0):
        raise ValueError("the flows of a tested curve must rise strictly")
    if np.any(flows < 0) or np.any(heads <= 0):
        raise ValueError("flows must be zero or more and heads more than zero")
    if efficiency is not None:
        power_flows, powers = _power_of_efficiency(flows, heads, np.asarray(efficiency, dtype=np.float64))
        warnings.append("power at shut-off was not given: it is extrapolated from the lowest tested flows")
    else:
        power_flows, powers = flows, np.asarray(power_over_density, dtype=np.float64)
    if np.any(powers <= 0):
        raise ValueError("power must be more than zero at every flow, shut-off included")
    if flows[0] > 0:
        warnings.append("the tested points do not begin at shut-off: the shut-off head is extrapolated")
    if npsh_required is None:
        npsh = PiecewisePolynomial(np.array([0.0, 1.0]), np.full((1, 5), np.nan))
    else:
        npsh = _curve(flows if npsh_flow is None else npsh_flow, npsh_required, least_squares_degree)
    power_curve = _curve(power_flows, powers, least_squares_degree)
    least = LEAST_SHUT_OFF_POWER * powers[0]
    if value(power_curve, 0.0) < least:
        # A steep first stretch would lead the straight line to nothing at shut-off.
        power_curve = _curve(np.concatenate([[0.0], power_flows]), np.concatenate([[least], powers]),
                             least_squares_degree)
    arrays = CurveArrays(_curve(flows, heads, least_squares_degree), power_curve, npsh)
    best = _flow_of_best_efficiency(arrays, float(flows[-1]))
    if best >= flows[-1]:
        warnings.append(
            "efficiency still rises at the last tested point: the flow at best efficiency is not known")
    curve = PerformanceCurve(arrays, float(flows[0]), float(flows[-1]), best, float(head_at(arrays, best)),
                             float(efficiency_at(arrays, best)), ())
    if not curve.is_stable:
        warnings.append("the head curve is not stable: head does not fall all the way from shut-off")
    return PerformanceCurve(arrays, curve.first_flow, curve.last_flow, best, curve.best_head,
                            curve.best_efficiency, tuple(warnings))


def _curve(x: Any, y: Any, degree: int | None) -> PiecewisePolynomial:
    return through_points(x, y) if degree is None else least_squares(x, y, degree)


def _power_of_efficiency(flow: Array, head: Array, efficiency: Array) -> tuple[Array, Array]:
    running = flow > 0
    if np.count_nonzero(running) < 2:
        raise ValueError("efficiency is needed at two flows above zero at least")
    if np.any((efficiency[running] <= 0) | (efficiency[running] >= 1)):
        raise ValueError("efficiency must be between 0 and 1 at every flow above zero")
    q, power = flow[running], STANDARD_GRAVITY * (flow * head)[running] / efficiency[running]
    return q, power


def _flow_of_best_efficiency(arrays: CurveArrays, last_flow: float) -> float:
    flows = np.linspace(0.0, last_flow, 2001)
    near = int(np.argmax(efficiency_at(arrays, flows)))
    if near == len(flows) - 1:
        return last_flow
    low, high = flows[max(near - 1, 0)], flows[near + 1]
    for _ in range(40):
        third = (high - low) / 3
        if efficiency_at(arrays, low + third) < efficiency_at(arrays, high - third):
            low += third
        else:
            high -= third
    return float((low + high) / 2)
