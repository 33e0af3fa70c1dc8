"""Least and largest flow of every case as the narrowest of separate limits, found by rating again at other flows."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.physics.pump.performance_curve import PerformanceCurve
from wetpath.physics.pump.piecewise_polynomial import turning_points
from wetpath.physics.pump.temperature_rise import least_thermal_flow
from wetpath.rating.checks import coupling, driver, hydraulics, liquid_limits, vapour
from wetpath.rating.missing import distance
from wetpath.rating.pump_model import Inputs, Selection, solve_each
from wetpath.rating.situation import Demands, Situation
from wetpath.rating.suction_state import pressure_at_flow

Array = NDArray[np.float64]
#: What is left of a demand at every case of a situation, zero or more where it holds; NaN where it cannot be told.
FlowDemand = Callable[[Situation], Array]

#: Flows looked at in each case besides its own.
SCANNED = 39
#: The scan begins at this share of the flow of best efficiency.
FIRST_SHARE = 0.02
#: Ends are known to this share of the flow of best efficiency.
RESOLUTION = 2e-4
#: The set point of a low-power trip stands midway between the power at no flow and at least flow: two resolutions.
RESOLUTIONS_APART = 2.0


@dataclass(frozen=True)
class FlowLimit:
    """One limit on the flow, first axis the case; [m3/s].

    ``lowest`` 0 and ``highest`` inf: it sets none within the flows looked at. NaN: it cannot be told. Where the demand
    holds at no flow, ``holds_nowhere``, the two are NaN.
    """

    name: str
    lowest: Array
    highest: Array
    holds_nowhere: NDArray[np.bool_]
    counts: bool
    status: str
    meaning: str


@dataclass(frozen=True)
class FlowLimits:
    """Every limit on the flow of every case, and which of them govern; [m3/s]."""

    limits: tuple[FlowLimit, ...]
    flow: Array
    scanned_from: Array
    scanned_to: Array

    @property
    def minimum(self) -> Array:
        """Minimum continuous flow: the largest of the lower limits that can be told."""
        return self._lower.max(axis=0)

    @property
    def maximum(self) -> Array:
        """The least of the upper limits that can be told."""
        return self._upper.min(axis=0)

    @property
    def minimum_by(self) -> tuple[str, ...]:
        """Which limit sets the minimum in each case; empty where none does."""
        return tuple(self._counting[at].name if least > 0 else ""
                     for at, least in zip(self._lower.argmax(axis=0), self.minimum, strict=True))

    @property
    def maximum_by(self) -> tuple[str, ...]:
        """Which limit sets the maximum in each case."""
        return tuple(self._counting[at].name for at in self._upper.argmin(axis=0))

    @property
    def by_pass(self) -> Array:
        """Flow that must go back to the vessel for the pump to see its minimum; 0 where none."""
        return np.maximum(self.minimum - self.flow, 0.0)

    def __getitem__(self, name: str) -> FlowLimit:
        return next(one for one in self.limits if one.name == name)

    @property
    def _counting(self) -> list[FlowLimit]:
        return [one for one in self.limits if one.counts]

    @property
    def _lower(self) -> Array:
        return np.array([np.where(np.isnan(one.lowest), 0.0, one.lowest) for one in self._counting])

    @property
    def _upper(self) -> Array:
        return np.array([np.where(np.isnan(one.highest), np.inf, one.highest) for one in self._counting])


@dataclass(frozen=True)
class _Sought:
    """A limit that is found by scanning."""

    name: str
    left: FlowDemand
    status: str
    meaning: str
    counts: bool = True


def find_flow_limits(situation: Situation, extra: Mapping[str, FlowDemand] | None = None) -> FlowLimits:
    """Find the flows between which every demand on the flow holds, case by case.

    Parameters
    ----------
    situation : Situation
        The solved cases; each keeps its liquid, temperature, speed and suction while its flow is changed.
    extra : mapping, optional
        More demands by name: what is left at every case of a situation, zero or more where it holds.

    Returns
    -------
    FlowLimits
        Of a demand that holds at the flow of the case: the ends of the range around it in which it holds. Of one that
        does not: the ends of the nearest range in which it does.

    Notes
    -----
    Margins need not fall steadily with flow, so some forty flows are looked at first, in one batch, and the ends are
    then closed in by bisection and false position, all of them together. A gap or an island narrower than one step of
    the scan, about 4 % of the flow of best efficiency, can be missed.
    """
    grid, own = _grid(situation)
    count, points = grid.shape
    cases = np.repeat(np.arange(count), points)
    scanned = at_flows(situation, cases, grid.ravel())
    sought = _demands_on_flow(situation, _power_at_no_flow(situation, scanned, points), extra or {})
    lefts = [one.left(scanned).reshape(grid.shape) for one in sought]
    ranges = [_Range(left, grid, own) for left in lefts]
    _close_in(situation, sought, ranges)
    found = [FlowLimit(one.name, at.lowest, at.highest, at.nowhere, one.counts, one.status, one.meaning)
             for one, at in zip(sought, ranges, strict=True)]
    found = [_continued_below(one, situation, scanned, grid) if one.name == BULK_RISE else one for one in found]
    return FlowLimits((*found, *_of_the_curve(situation)), situation.solved.inputs.flow, grid[:, 0], grid[:, -1])


def at_flows(situation: Situation, cases: Selection, flow: Array) -> Situation:
    """Cases of a situation solved again at other flows; out of a vessel the suction pressure follows the flow."""
    inputs = situation.solved.inputs.chosen(cases).changed(flow=flow, pressure=pressure_at_flow(situation, cases, flow))
    model_of = situation.model_of[cases]
    return replace(situation, model_of=model_of, solved=solve_each(situation.models, model_of, inputs),
                   demands=_chosen(situation.demands, cases, situation.count))


def _chosen(part: Demands, cases: Selection, count: int) -> Demands:
    """Demands of some cases: every array whose first axis is the case is picked from."""

    def picked(value: object) -> object:
        if isinstance(value, np.ndarray) and value.shape[:1] == (count,):
            return value[cases]
        if hasattr(value, "__dataclass_fields__"):
            return replace(value, **{one.name: picked(getattr(value, one.name)) for one in fields(value)})  # type: ignore[type-var, arg-type]
        return value

    return replace(part, **{one.name: picked(getattr(part, one.name)) for one in fields(part)})


def _grid(situation: Situation) -> tuple[Array, Selection]:
    """Flows to look at, rising, the own flow of each case among them, and its place."""
    flow, best = situation.solved.inputs.flow, situation.solved.point.best_flow
    share = np.linspace(0.0, 1.0, SCANNED)
    first = np.minimum(FIRST_SHARE * best, 0.5 * flow)
    last = np.maximum(_end_of_curve(situation), 1.001 * flow)
    grid = np.sort(np.column_stack([first[:, None] + share * (last - first)[:, None], flow]), axis=1)
    return grid, np.argmin(np.abs(grid - flow[:, None]), axis=1)


BULK_RISE, POWER_RESOLUTION = "temperature rise of the pump", "resolution of a power monitor"


def _demands_on_flow(situation: Situation, power_at_no_flow: Array, extra: Mapping[str, FlowDemand]) -> list[_Sought]:
    practice = situation.practice
    rise = practice["bulk_temperature_rise"]
    resolution = RESOLUTIONS_APART * practice["power_monitor_resolution"].value * situation.pump.driver.rated_power
    place = {id(situation): power_at_no_flow}
    monitored = situation.demands.guarded_by_power
    return [
        _Sought("internal circulation", _circulation, "derived",
                "every vapour margin the practice asks for holds at every station, and the liquid runs under the magnets"),
        _Sought(BULK_RISE, lambda at: rise.value - bulk_rise(at), rise.status, rise.meaning),
        _Sought("NPSH", lambda at: hydraulics.npsh(at).margin, "derived",
                "NPSH available with the margin the practice asks for"),
        _Sought("coupling pull-out", lambda at: coupling.running_margin(at).margin, "derived",
                "running torque below pull-out with the margin the practice asks for"),
        _Sought("motor nameplate", lambda at: driver.nameplate(at).margin, "derived",
                "shaft power within the nameplate"),
        _Sought(POWER_RESOLUTION, lambda at: at.losses.shaft - at.demands.power_at_no_flow - resolution,
                practice["power_monitor_resolution"].status,
                "a low-power trip can be set between the power at no flow and this one", monitored),
        *(_Sought(name, left, "derived", "") for name, left in extra.items())]
