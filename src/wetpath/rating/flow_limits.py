"""Least and largest flow of every case as the narrowest of separate limits, found by rating again at other flows."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.liquids.liquid import Liquid
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.piecewise_polynomial import turning_points
from wetpath.physics.pump.performance_curve import PerformanceCurve
from wetpath.physics.pump.temperature_rise import least_thermal_flow
from wetpath.rating.check import Check
from wetpath.rating.checks import bearings, coupling, driver, hydraulics, liquid_limits, vapour
from wetpath.rating.missing import distance
from wetpath.rating.pump_model import Inputs, Selection, per_group, solve_each
from wetpath.rating.situation import Situation
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
#: Where the circulation stops closing, the end is left this much coarser: such flows take long to solve.
UNCLOSED = 20
#: Turns of closing in, each of which at least halves a bracket.
MOST_TURNS = 40
#: Steps from an enthalpy to a temperature.
NEWTON_STEPS = 4
BULK_RISE, POWER_RESOLUTION = "temperature rise of the pump", "resolution of a power monitor"
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
    otherwise: str = "no by-pass helps"     # what follows where it holds at no flow


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
    def holds_nowhere(self) -> NDArray[np.bool_]:
        """Cases in which some demand holds at no flow of the pump."""
        return np.logical_or.reduce([one.holds_nowhere for one in self._counting])

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
    otherwise: str = "no by-pass helps"


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
    the scan, about 4 % of the flow of best efficiency, can be missed. A flow at which the circulation does not close
    from its first guess counts as one at which it does not hold.
    """
    grid, own = _grid(situation)
    scanned = at_flows(situation, np.repeat(np.arange(situation.count), grid.shape[1]), grid.ravel())
    sought = _demands_on_flow(situation, extra or {})
    ends = [_ends(one.left(scanned).reshape(grid.shape), grid, own) for one in sought]
    _close_in(situation, [one.left for one in sought], ends)
    found = [FlowLimit(one.name, *_limits_of(at), one.counts, one.status, one.meaning, one.otherwise)
             for one, at in zip(sought, ends, strict=True)]
    found = [_continued_below(one, situation, scanned, grid) if one.name == BULK_RISE else one for one in found]
    return FlowLimits((*_of_the_curve(situation), *found), situation.solved.inputs.flow, grid[:, 0], grid[:, -1])


def at_flows(situation: Situation, cases: Selection, flow: Array) -> Situation:
    """Cases of a situation solved again at other flows, at which they are neither rated nor normal any more.

    Out of a vessel the suction pressure follows the flow.
    """
    return at_inputs(situation, cases, situation.solved.inputs.chosen(cases).changed(
        flow=flow, pressure=pressure_at_flow(situation, cases, flow)))


def at_inputs(situation: Situation, cases: Selection, inputs: Inputs) -> Situation:
    """Cases of a situation solved again under other conditions, at which they are neither rated nor normal any more."""
    model_of, neither = situation.model_of[cases], np.zeros(cases.size, bool)
    demands = replace(_chosen(situation.demands, cases, situation.count), in_preferred=neither, rated=neither)
    solved = solve_each(situation.models, model_of, inputs, prove=False)
    return replace(situation, model_of=model_of, solved=solved, demands=demands)


def _chosen(part: Any, cases: Selection, count: int) -> Any:
    """Of demands, or a group of them, those of some cases: every array whose first axis is the case is picked from."""
    if isinstance(part, np.ndarray) and part.shape[:1] == (count,):
        return part[cases]
    if is_dataclass(part) and not isinstance(part, type):
        return replace(part, **{one.name: _chosen(getattr(part, one.name), cases, count) for one in fields(part)})
    return part


def _grid(situation: Situation) -> tuple[Array, Selection]:
    """Flows to look at, rising, the own flow of each case among them, and its place."""
    flow, best = situation.solved.inputs.flow, situation.solved.point.best_flow
    share = np.linspace(0.0, 1.0, SCANNED)
    first = np.minimum(FIRST_SHARE * best, 0.5 * flow)
    last = np.maximum(_end_of_curve(situation), 1.001 * flow)
    grid = np.sort(np.column_stack([first[:, None] + share * (last - first)[:, None], flow]), axis=1)
    return grid, np.argmin(np.abs(grid - flow[:, None]), axis=1)


def _demands_on_flow(situation: Situation, extra: Mapping[str, FlowDemand]) -> list[_Sought]:
    practice, trips = situation.practice, situation.demands.protection.trips
    rise, resolution = practice["bulk_temperature_rise"], practice["power_monitor_resolution"]
    least = RESOLUTIONS_APART * resolution.value * situation.pump.driver.rated_power
    return [
        _Sought("internal circulation", circulation_left, "derived",
                "every vapour margin of the practice holds at every station, and the liquid runs under the magnets"),
        _Sought(BULK_RISE, lambda at: rise.value - bulk_rise(at), rise.status, rise.meaning),
        _Sought("NPSH", lambda at: hydraulics.npsh(at).margin, "derived",
                "NPSH available with the margin of the practice"),
        _Sought("coupling pull-out", lambda at: coupling.running_margin(at).margin, "derived",
                "pull-out torque over running torque with the margin of the practice"),
        _Sought("motor nameplate", lambda at: driver.nameplate(at).margin, "derived",
                "shaft power within the nameplate"),
        _Sought("bearing load", lambda at: _left(bearings.specific_load_worst(at)), "derived",
                "specific load of the journal bearings within what the practice and the pair allow"),
        _Sought("bearing film", lambda at: _left(bearings.film(at)), "derived",
                "film of the journal bearings over their roughness as the practice asks for"),
        _Sought("axial thrust", lambda at: _left(bearings.axial_thrust(at)), "derived",
                "axial thrust within what the thrust face bears"),
        *(_Sought(name, left, "derived", "") for name, left in extra.items()),
        _Sought(POWER_RESOLUTION, lambda at: power_over_no_flow(at) - least, resolution.status,
                "the set point of a low-power trip fits between the power at no flow and the power at this one",
                "low power" in trips and "low flow" not in trips,
                "power hardly changes with flow; guard the least flow by a flow meter")]


def _left(check: Check) -> Array:
    """What is left to a check's limit; inf where it is not made."""
    return np.where(check.applies, check.margin, np.inf)


def circulation_left(situation: Situation) -> Array:
    """How far the internal circulation is from what the practice asks of it; negative where it is short.

    Beyond pull-out the rings fall out of step and nothing circulates.
    """
    asked = (situation.practice[name].value
             for name in ("vapour_margin_pressure", "vapour_margin_temperature", "wall_margin_temperature"))
    left = np.minimum(distance(situation.solved, *asked), vapour.circulation_runs(situation).margin)
    left = np.minimum(left, situation.losses.coupling_ratio - 1)
    onset = liquid_limits.onset_at_wall(situation)
    return np.where(onset.applies, np.minimum(left, onset.share), left)


def bulk_rise(situation: Situation) -> Array:
    """Temperature at the discharge above that at the suction flange, with all that the circulation brings back [K].

    From the enthalpies: head and losses of the pump, compression, and the heat of the coupling.
    """
    inputs, point = situation.solved.inputs, situation.solved.point
    density = situation.scalars[:, solve.DENSITY_IN]
    # the solve holds the efficiency up at the smallest flows; the work itself stays finite over flow
    work = point.power_over_density / inputs.flow
    held = STANDARD_GRAVITY * point.head / point.efficiency
    enthalpy = situation.scalars[:, solve.FEED_ENTHALPY] + work - held
    pressure = inputs.pressure + density * STANDARD_GRAVITY * point.head

    def of_one(liquid: Liquid, chosen: Selection) -> Array:
        temperature = inputs.temperature[chosen]
        for _ in range(NEWTON_STEPS):
            state = liquid.state(temperature, pressure[chosen])
            temperature = temperature + (enthalpy[chosen] - state.enthalpy) / state.heat_capacity
        return temperature - inputs.temperature[chosen]

    return situation.per_liquid(of_one)


def power_over_no_flow(situation: Situation) -> Array:
    """Shaft power above that at no flow [W]: the impeller's alone, the other losses hardly change with flow."""
    inputs = situation.solved.inputs

    def at_no_flow(group: int, chosen: Selection) -> Array:
        still = inputs.chosen(chosen).changed(flow=np.zeros(chosen.size))
        return situation.models[group].point(still).power_over_density

    return situation.scalars[:, solve.DENSITY_IN] * (
        situation.solved.point.power_over_density - per_group(situation.model_of, at_no_flow))


@dataclass
class _Ends:
    """Brackets of the ends of the range in which a demand holds; first axis lower and upper end, then the case."""

    bad: Array            # flow that does not do, NaN where the range goes on past the flows looked at
    good: Array
    left_bad: Array
    left_good: Array
    unknown: NDArray[np.bool_]
    nowhere: NDArray[np.bool_]


def _ends(left: Array, grid: Array, own: Selection) -> _Ends:
    """Brackets around the range that holds the own flow of each case, or around the nearest one."""
    rows = np.arange(grid.shape[0])
    good, unknown = left >= 0, np.isnan(left[rows, own])
    far = np.where(good, np.abs(grid - grid[rows, own][:, None]), np.inf)
    start, place = far.argmin(axis=1)[:, None], np.arange(grid.shape[1])
    below = np.where(~good & (place < start), place, -1).max(axis=1)
    above = np.where(~good & (place > start), place, grid.shape[1]).min(axis=1)
    nowhere = ~good.any(axis=1) & ~unknown
    bad = np.array([below, above])
    inside = (bad >= 0) & (bad < grid.shape[1]) & ~unknown & ~nowhere
    at = np.where(inside, bad, 0)
    beside = np.where(inside, bad + np.array([[1], [-1]]), 0)
    return _Ends(np.where(inside, grid[rows, at], np.nan), grid[rows, beside], left[rows, at], left[rows, beside],
                 unknown, nowhere)


def _close_in(situation: Situation, lefts: Sequence[FlowDemand], ends: Sequence[_Ends]) -> None:
    """Narrow all brackets together: three flows in each, two of them around where a straight line meets zero."""
    bad, good = np.array([at.bad for at in ends]), np.array([at.good for at in ends])
    left_bad, left_good = np.array([at.left_bad for at in ends]), np.array([at.left_good for at in ends])
    room = RESOLUTION * situation.solved.point.best_flow
    for _ in range(MOST_TURNS):
        open_ = np.nonzero(np.abs(bad - good) > np.where(np.isfinite(left_bad), room, UNCLOSED * room))
        if not open_[0].size:
            break
        demand, _, case = open_
        width = good[open_] - bad[open_]
        rise = left_good[open_] - left_bad[open_]
        closes = np.isfinite(rise) & (rise > 0)
        line = -np.where(closes, left_bad[open_], 0.0) / np.where(closes, rise, 1.0)
        apart = 0.45 * room[case] / np.abs(width)
        around = np.clip([line - apart, line + apart, np.full_like(line, 0.5)], 0.02 * apart, 1 - 0.02 * apart)
        share = np.sort(np.where(closes, around, [[0.25], [0.5], [0.75]]), axis=0)
        flow = bad[open_] + share * width
        at = at_flows(situation, np.tile(case, 3), flow.ravel())
        left = np.empty_like(flow)
        for index in np.unique(demand):
            left[:, demand == index] = lefts[index](at).reshape(flow.shape)[:, demand == index]
        flows = np.vstack([bad[open_], flow, good[open_]])
        values = np.vstack([left_bad[open_], left, left_good[open_]])
        # the flow that does not do and lies nearest to the good end, and the one after it
        last = flows.shape[0] - 1 - (~(values >= 0))[::-1].argmax(axis=0)
        column = np.arange(demand.size)
        bad[open_], good[open_] = flows[last, column], flows[last + 1, column]
        left_bad[open_], left_good[open_] = values[last, column], values[last + 1, column]
    for one, found in zip(ends, good, strict=True):
        one.good = found


def _limits_of(ends: _Ends) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Lowest and highest flow of a demand, and where it holds at no flow."""
    untold = ends.unknown | ends.nowhere
    lowest, highest = np.where(np.isnan(ends.bad), np.array([[0.0], [np.inf]]), ends.good)
    return np.where(untold, np.nan, lowest), np.where(untold, np.nan, highest), ends.nowhere


def _continued_below(rise: FlowLimit, situation: Situation, scanned: Situation, grid: Array) -> FlowLimit:
    """The limit by temperature rise below the flows looked at: the heat at the first of them, spread over less flow."""
    first = np.arange(0, grid.size, grid.shape[1])
    inputs, density = scanned.solved.inputs, scanned.scalars[first, solve.DENSITY_IN]
    capacity = scanned.per_liquid(lambda liquid, chosen: liquid.state(
        inputs.temperature[chosen], inputs.pressure[chosen]).heat_capacity)[first]
    heat = density * grid[:, 0] * capacity * bulk_rise(scanned)[first]
    least = np.asarray(least_thermal_flow(heat, density, capacity, situation.practice["bulk_temperature_rise"].value))
    return replace(rise, lowest=np.where(rise.lowest == 0.0, np.clip(least, 0.0, grid[:, 0]), rise.lowest))


def _of_the_curve(situation: Situation) -> tuple[FlowLimit, ...]:
    """Limits that the tested curve and the maker set, carried to speed, trim and viscosity of the cases."""
    impeller, scale = situation.pump.impeller, _over_tested_flow(situation)
    faster = situation.solved.inputs.speed / impeller.tested.speed
    nothing, everything = np.zeros(situation.count), np.full(situation.count, np.inf)
    nowhere = np.zeros(situation.count, bool)
    stable = FlowLimit("stable curve", stable_from(impeller.tested.curve) * scale, everything, nowhere, True, "derived",
                       "head falls from here on: below, one head belongs to two flows")
    maker = FlowLimit("maker", nothing if impeller.lowest_flow is None else impeller.lowest_flow * faster,
                      everything if impeller.highest_flow is None else impeller.highest_flow * faster, nowhere, True,
                      "given", "ends of the allowable operating region stated by the maker")
    end = FlowLimit("end of the tested curve", nothing, _end_of_curve(situation), nowhere, True, "given",
                    "beyond it head, power and NPSH3 are not known")
    return stable, maker, end


def stable_from(curve: PerformanceCurve) -> float:
    """Flow from which head falls all the way to the last tested flow [m3/s]; 0 for a stable curve."""
    if curve.is_stable:
        return 0.0
    step = 1e-6 * curve.last_flow
    tops = [turn for turn in turning_points(curve.arrays.head)
            if step < turn < curve.last_flow and curve.head_slope(turn - step) > 0 > curve.head_slope(turn + step)]
    return float(max(tops, default=curve.last_flow))


def _over_tested_flow(situation: Situation) -> Array:
    """Flow of a case over the flow of the test that it corresponds to."""
    return situation.solved.point.best_flow / situation.pump.impeller.tested.curve.best_flow


def _end_of_curve(situation: Situation) -> Array:
    return situation.pump.impeller.tested.curve.last_flow * _over_tested_flow(situation)
