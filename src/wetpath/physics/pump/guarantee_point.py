"""Acceptance test of a pump against its guarantee: the tolerance cross of head and flow of ISO 9906:2012."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import brentq

from wetpath.physics.published import published
from wetpath.physics.pump.acceptance import Grade

HeadOfFlow = Callable[[Any], Any]


@dataclass(frozen=True)
class HeadResult:
    """Outcome of the flow and head test: passed if the curve meets either arm of the tolerance cross."""

    head_deviation: float
    flow_deviation: float
    meets_head_arm: bool
    meets_flow_arm: bool

    @property
    def passed(self) -> bool:
        """Whether head **or** flow is within its tolerance."""
        return self.meets_head_arm or self.meets_flow_arm


@published("iso-9906-2012", status="recalled")
def judge_head(head_of_flow: HeadOfFlow, guaranteed_flow: float, guaranteed_head: float,
               grade: Grade) -> HeadResult:
    """Judge a measured head curve: it must touch one arm of the tolerance cross at the guarantee point.

    Parameters
    ----------
    head_of_flow : callable [m3/s] -> [m]
        Measured curve, already brought to guaranteed speed.
    guaranteed_flow, guaranteed_head : float [m3/s], [m]
    grade : Grade
        One of :data:`GRADES`.

    Returns
    -------
    HeadResult; the flow deviation is NaN where the curve does not reach the guaranteed head between half and
    one and a half times the guaranteed flow. Where it reaches it more than once, the nearest counts.

    Notes
    -----
    Grades with limits on both sides also fail a pump that is too strong. Editions must not be mixed: the
    classes of 1999 have other numbers. Measuring uncertainty is not added: the tolerances contain it.

    References
    ----------
    .. [1] ISO 9906:2012. Recalled.

    Examples
    --------
    >>> from wetpath.physics.pump.acceptance import GRADES
    >>> judge_head(lambda q: 70 - 0.0035 * (q * 3600)**2, 50 / 3600, 60.0, GRADES["1B"]).passed
    True
    """
    head_deviation = float(head_of_flow(guaranteed_flow)) / guaranteed_head - 1
    flows = guaranteed_flow * np.linspace(0.5, 1.5, 401)
    difference = np.asarray(head_of_flow(flows)) - guaranteed_head
    changes = np.flatnonzero(np.sign(difference[:-1]) != np.sign(difference[1:]))
    crossings = [brentq(lambda q: float(head_of_flow(q)) - guaranteed_head, flows[i], flows[i + 1],
                        xtol=1e-15) for i in changes]
    deviations = np.array(crossings) / guaranteed_flow - 1
    flow_deviation = float(deviations[np.argmin(np.abs(deviations))]) if len(deviations) else float("nan")
    return HeadResult(head_deviation, flow_deviation, _within(head_deviation, grade.head),
                      any(_within(float(one), grade.flow) for one in deviations))


@published("iso-9906-2012", status="recalled")
def point_on_guarantee_ray(head_of_flow: HeadOfFlow, guaranteed_flow: float,
                           guaranteed_head: float) -> tuple[float, float]:
    """Where the straight line from the origin through the guarantee point meets the measured curve.

    Power and efficiency are judged there.

    Parameters
    ----------
    head_of_flow : callable [m3/s] -> [m]
    guaranteed_flow, guaranteed_head : float [m3/s], [m]

    Returns
    -------
    (flow [m3/s], head [m])

    References
    ----------
    .. [1] ISO 9906:2012. Recalled.

    Examples
    --------
    >>> q, h = point_on_guarantee_ray(lambda q: 70 - 0.0035 * (q * 3600)**2, 50 / 3600, 60.0)
    >>> round(q * 3600, 3), round(h, 3)
    (50.805, 60.966)
    """
    steepness = guaranteed_head / guaranteed_flow

    def above_ray(flow: float) -> float:
        return float(head_of_flow(flow)) - steepness * flow

    if above_ray(0.0) <= 0 or above_ray(2 * guaranteed_flow) >= 0:
        raise ValueError(
            "the measured curve does not cross the ray through the guarantee point below twice its flow")
    flow = float(brentq(above_ray, 0.0, 2 * guaranteed_flow, xtol=1e-15))
    return flow, float(head_of_flow(flow))


def _within(deviation: float, band: tuple[float, float]) -> bool:
    return band[0] - 1e-12 <= deviation <= band[1] + 1e-12
