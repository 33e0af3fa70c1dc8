"""Judge the curves of a works test against guarantee points by the grades of ISO 9906:2012."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from wetpath.physics.pump.acceptance import (
    GRADES,
    Grade,
    judge_efficiency,
    judge_power,
    npsh_tolerance,
)
from wetpath.physics.pump.guarantee_point import judge_head, point_on_guarantee_ray

Curve = Callable[[Any], Any]
Name = Literal["head or flow", "efficiency", "power", "NPSH3"]


@dataclass(frozen=True)
class Guarantee:
    """A guarantee point for water at the guaranteed speed; None where nothing is guaranteed."""

    flow: float                     # [m3/s]
    head: float                     # [m]
    power: float | None = None      # at the motor shaft [W]
    efficiency: float | None = None     # over that power [-]
    npsh: float | None = None       # NPSH3 [m]


@dataclass(frozen=True)
class TestCurves:
    """Curves through the measured points, and the flows between which they were measured."""

    __test__ = False

    head: Curve
    power: Curve | None             # of the flow [m3/s], for water of the bench [W]
    efficiency: Curve | None
    npsh: Curve | None
    first_flow: float
    last_flow: float
    npsh_flows: tuple[float, float]
    power_flows: tuple[float, float]
    head_held: bool = False         # held to fall, although the plain fit rose by less than the scatter


@dataclass(frozen=True)
class Demand:
    """One guaranteed quantity in one grade: what was measured, where, and between what it has to lie."""

    name: Name
    flow: float                     # at which it is judged [m3/s]
    guaranteed: float
    measured: float                 # NaN where it cannot be told
    least: float                    # -inf without a lower limit
    most: float                     # inf without an upper limit
    met: bool
    note: str = ""

    @property
    def deviation(self) -> float:
        """Measured over guaranteed, less one."""
        return self.measured / self.guaranteed - 1


@dataclass(frozen=True)
class Judgement:
    """A guarantee point judged by one grade."""

    guarantee: Guarantee
    grade: Grade
    flow_deviation: float           # where the curve has the guaranteed head; NaN where it has it nowhere measured
    meets_head_arm: bool
    meets_flow_arm: bool
    demands: tuple[Demand, ...]

    @property
    def accepted(self) -> bool:
        """Whether every guaranteed quantity is within its tolerance."""
        return all(one.met for one in self.demands)


def judge(curves: TestCurves, guarantee: Guarantee, grade: Grade) -> Judgement:
    """Judge one guarantee point by one grade.

    Head or flow: the curve has to touch one arm of the tolerance cross. Efficiency and power are judged where the line
    from the origin through the guarantee point meets the curve, NPSH3 at the guaranteed flow. Only what was measured
    counts: an arm or a meeting point outside the measured flows is not met, and the note says so.
    """
    result = judge_head(curves.head, guarantee.flow, guarantee.head, grade)
    crossing = guarantee.flow * (1 + result.flow_deviation)
    flow_told = curves.first_flow <= crossing <= curves.last_flow       # False for NaN
    meets_flow = result.meets_flow_arm and flow_told
    measured = guarantee.head * (1 + result.head_deviation)
    low, high = grade.head
    demands = [Demand("head or flow", guarantee.flow, guarantee.head, measured, guarantee.head * (1 + low),
                      guarantee.head * (1 + high), result.meets_head_arm or meets_flow,
                      "the arm of flow" if meets_flow and not result.meets_head_arm else "")]
    demands += _on_the_ray(curves, guarantee, grade)
    if guarantee.npsh is not None:
        demands.append(_npsh(curves, guarantee, guarantee.npsh, grade))
    return Judgement(guarantee, grade, result.flow_deviation if flow_told else float("nan"), result.meets_head_arm,
                     meets_flow, tuple(demands))


def judge_all_grades(curves: TestCurves, guarantee: Guarantee) -> tuple[Judgement, ...]:
    """Judge one guarantee point by every grade."""
    return tuple(judge(curves, guarantee, grade) for grade in GRADES.values())


def _on_the_ray(curves: TestCurves, guarantee: Guarantee, grade: Grade) -> list[Demand]:
    try:
        flow, _ = point_on_guarantee_ray(curves.head, guarantee.flow, guarantee.head)
    except ValueError:
        flow = float("nan")
    demands = []
    if guarantee.efficiency is not None:
        measured, note = _read(curves.efficiency, flow, curves.power_flows, "the line through the guarantee point")
        demands.append(Demand("efficiency", flow, guarantee.efficiency, measured,
                              guarantee.efficiency * (1 + grade.efficiency), float("inf"),
                              judge_efficiency(measured, guarantee.efficiency, grade), note))
    if guarantee.power is not None:
        measured, note = _read(curves.power, flow, curves.power_flows, "the line through the guarantee point")
        demands.append(Demand("power", flow, guarantee.power, measured, float("-inf"),
                              guarantee.power * (1 + grade.power), judge_power(measured, guarantee.power, grade), note))
    return demands


def _npsh(curves: TestCurves, guarantee: Guarantee, promised: float, grade: Grade) -> Demand:
    measured, note = _read(curves.npsh, guarantee.flow, curves.npsh_flows, "the guaranteed flow")
    most = promised + npsh_tolerance(promised, grade)
    return Demand("NPSH3", guarantee.flow, promised, measured, float("-inf"), most, measured <= most + 1e-12, note)


def _read(curve: Curve | None, flow: float, flows: tuple[float, float], where: str) -> tuple[float, str]:
    """Value of a curve at a flow at which it was measured; NaN and the reason elsewhere."""
    if curve is None:
        return float("nan"), "it was not measured"
    if not flows[0] <= flow <= flows[1]:
        return float("nan"), f"{where} lies outside the flows at which it was measured"
    return float(np.asarray(curve(flow))), ""
