"""Least and largest flow of every case as the narrowest of separate limits, found by rating again at other flows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.circulation.outcome import Outcome
from wetpath.circulation.passage_states import temperatures_of
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.piecewise_polynomial import turning_points
from wetpath.physics.pump.performance_curve import PerformanceCurve
from wetpath.physics.pump.temperature_rise import least_thermal_flow
from wetpath.rating.checks import bearings, liquid_limits, vapour
from wetpath.rating.driver_state import power_available
from wetpath.rating.flow_search import find_ranges, flows_to_scan
from wetpath.rating.missing import distance
from wetpath.rating.per_pump import once_per_pump
from wetpath.rating.pump_model import Inputs, Selection, solve_each
from wetpath.rating.situation import Situation
from wetpath.rating.suction_state import npsh_needed, pressure_at_flow

Array = NDArray[np.float64]
#: What is left of a demand at every case of a situation, zero or more where it holds; NaN where it cannot be told.
FlowDemand = Callable[[Situation], Array]

#: The scan begins at this share of the flow of best efficiency.
FIRST_SHARE = 0.02
#: Ends are known to this share of the flow of best efficiency.
RESOLUTION = 2e-4
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

    @cached_property
    def minimum(self) -> Array:
        """Minimum continuous flow: the largest of the lower limits that can be told."""
        return self._lower.max(axis=0)

    @cached_property
    def maximum(self) -> Array:
        """The least of the upper limits that can be told."""
        return self._upper.min(axis=0)

    @cached_property
    def minimum_by(self) -> tuple[str, ...]:
        """Which limit sets the minimum in each case; empty where none does."""
        return tuple(self._counting[at].name if least > 0 else ""
                     for at, least in zip(self._lower.argmax(axis=0), self.minimum, strict=True))

    @cached_property
    def maximum_by(self) -> tuple[str, ...]:
        """Which limit sets the maximum in each case."""
        return tuple(self._counting[at].name for at in self._upper.argmin(axis=0))

    @cached_property
    def holds_nowhere(self) -> NDArray[np.bool_]:
        """Cases in which some demand holds at no flow of the pump."""
        return np.logical_or.reduce([one.holds_nowhere for one in self._counting])

    @cached_property
    def by_pass(self) -> Array:
        """Flow that must go back to the vessel for the pump to see its minimum; 0 where none."""
        return np.maximum(self.minimum - self.flow, 0.0)

    def __getitem__(self, name: str) -> FlowLimit:
        return next(one for one in self.limits if one.name == name)

    @cached_property
    def _counting(self) -> list[FlowLimit]:
        return [one for one in self.limits if one.counts]

    @cached_property
    def _lower(self) -> Array:
        lowest = np.array([one.lowest for one in self._counting])
        return np.where(np.isnan(lowest), 0.0, lowest)

    @cached_property
    def _upper(self) -> Array:
        highest = np.array([one.highest for one in self._counting])
        return np.where(np.isnan(highest), np.inf, highest)


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
    Some twenty flows are looked at first, in one batch, up to 10 % of the flow of best efficiency apart, then those
    that `flow_search` asks for. A gap or an island narrower than 2.5 % can be missed, and a wider one between two of
    the first flows where nothing gives a sign of it. A flow at which the circulation does not close from its first
    guess counts as one at which it does not hold.
    """
    sought = _demands_on_flow(situation, extra or {})
    flow, best = situation.solved.inputs.flow, situation.solved.point.best_flow
    grid = flows_to_scan(np.minimum(FIRST_SHARE * best, 0.5 * flow), flow,
                         np.maximum(_end_of_curve(situation), 1.001 * flow))

    def look(demands: Selection, cases: Selection, flow: Array) -> Array:
        at = at_flows(situation, cases, flow)
        return np.array([sought[demand].left(at) for demand in demands])

    scanned = at_flows(situation, np.repeat(np.arange(situation.count), grid.shape[1]), grid.ravel())
    left = np.array([one.left(scanned) for one in sought]).reshape(len(sought), *grid.shape)
    state = _discrete_state(scanned).reshape(*grid.shape, -1)
    jumps = (state[:, 1:] != state[:, :-1]).any(axis=2)
    ranges = find_ranges(look, grid, left, jumps, flow, RESOLUTION * best)
    (lowest, highest), nowhere = ranges.ends, ranges.nowhere
    found = [FlowLimit(one.name, lowest[number], highest[number], nowhere[number], one.counts, one.status, one.meaning,
                       one.otherwise) for number, one in enumerate(sought)]
    rise = next(number for number, one in enumerate(sought) if one.name == BULK_RISE)
    found[rise] = _continued_below(found[rise], situation, grid[:, 0], left[rise, :, 0])
    return FlowLimits((*_of_the_curve(situation), *found), flow, grid[:, 0], grid[:, -1])


def _discrete_state(situation: Situation) -> NDArray[np.int64]:
    """What changes by jumps, (cases, things): regimes of films, directions of flows and thrust, whether it closes."""
    return np.column_stack([situation.bearings.regime, situation.solution.states.flow >= 0,
                            situation.new_thrust.total >= 0, situation.solution.outcome == Outcome.NO_SOLUTION])


def at_flows(situation: Situation, cases: Selection, flow: Array) -> Situation:
    """Cases of a situation solved again at other flows, at which they are neither rated nor normal any more.

    Out of a vessel the suction pressure follows the flow.
    """
    return at_inputs(situation, cases, situation.solved.inputs.chosen(cases).changed(
        flow=flow, pressure=pressure_at_flow(situation, cases, flow)))


def at_inputs(situation: Situation, cases: Selection, inputs: Inputs) -> Situation:
    """Cases of a situation solved again under other conditions, at which they are neither rated nor normal any more."""
    model_of, neither = situation.model_of[cases], np.zeros(cases.size, bool)
    demands = situation.demands.chosen(cases, in_preferred=neither, rated=neither)
    solved = solve_each(situation.models, model_of, inputs, prove=False)
    return replace(situation, model_of=model_of, solved=solved, demands=demands)


def _demands_on_flow(situation: Situation, extra: Mapping[str, FlowDemand]) -> list[_Sought]:
    practice, trips = situation.practice, situation.demands.protection.trips
    rise, resolution = practice["bulk_temperature_rise"], practice["power_monitor_resolution"]
    pull_out = practice["coupling_margin_running"].value
    least = RESOLUTIONS_APART * resolution.value * situation.pump.driver.rated_power
    return [
        _Sought("internal circulation", circulation_left, "derived",
                "every vapour margin of the practice holds at every station, and the liquid runs under the magnets"),
        _Sought(BULK_RISE, lambda at: rise.value - bulk_rise(at), rise.status, rise.meaning),
        _Sought("NPSH", lambda at: at.npsh_available - npsh_needed(at)[0], "derived",
                "NPSH available with the margin of the practice"),
        _Sought("coupling pull-out", lambda at: at.losses.coupling_ratio - pull_out, "derived",
                "pull-out torque over running torque with the margin of the practice"),
        _Sought("motor nameplate", lambda at: power_available(at) - at.losses.shaft, "derived",
                "shaft power within the nameplate"),
        _Sought("bearing load", bearings.specific_load_left, "derived",
                "specific load of the journal bearings within what the practice and the pair allow"),
        _Sought("bearing film", bearings.film_left, "derived",
                "film of the journal bearings over their roughness as the practice asks for"),
        _Sought("axial thrust", bearings.axial_thrust_left, "derived",
                "axial thrust within what the thrust face bears"),
        *(_Sought(name, left, "derived", "") for name, left in extra.items()),
        _Sought(POWER_RESOLUTION, lambda at: power_over_no_flow(at) - least, resolution.status,
                "the set point of a low-power trip fits between the power at no flow and the power at this one",
                "low power" in trips and "low flow" not in trips,
                "power hardly changes with flow; guard the least flow by a flow meter")]


def circulation_left(situation: Situation) -> Array:
    """How far the internal circulation is from what the practice asks of it; negative where it is short.

    Beyond pull-out the rings fall out of step and nothing circulates.
    """
    asked = (situation.practice[name].value
             for name in ("vapour_margin_pressure", "vapour_margin_temperature", "wall_margin_temperature"))
    runs = vapour.share_to_annulus(situation) - vapour.LEAST_SHARE_TO_ANNULUS
    left = np.minimum(np.minimum(distance(situation.solved, *asked), runs), situation.losses.coupling_ratio - 1)
    to_onset = liquid_limits.lowest_onset(situation) - situation.scalars[:, solve.HOTTEST_WALL]
    return np.where(np.isnan(to_onset), left, np.minimum(left, to_onset / liquid_limits.SCALE))


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

    return situation.per_liquid(lambda liquid, chosen: temperatures_of(
        liquid.arrays, enthalpy[chosen], pressure[chosen], inputs.temperature[chosen])) - inputs.temperature


def power_over_no_flow(situation: Situation) -> Array:
    """Shaft power above that at no flow [W]: the impeller's alone, the other losses hardly change with flow."""
    point = situation.solved.point
    return situation.scalars[:, solve.DENSITY_IN] * (point.power_over_density - point.still_power_over_density)


def _continued_below(rise: FlowLimit, situation: Situation, first: Array, left: Array) -> FlowLimit:
    """The limit by temperature rise below the flows looked at: the heat at the first of them, spread over less flow.

    ``left`` is what is left of the rise allowed at the first flow.
    """
    open_, allowed = rise.lowest == 0.0, situation.practice["bulk_temperature_rise"].value
    if not open_.any():
        return rise
    pressure = pressure_at_flow(situation, np.arange(situation.count), first)
    temperature = situation.solved.inputs.temperature
    density, capacity = (situation.per_liquid(lambda liquid, chosen, name=name: getattr(liquid.state(  # type: ignore[misc]
        temperature[chosen], pressure[chosen]), name)) for name in ("density", "heat_capacity"))
    heat = density * first * capacity * (allowed - left)
    least = np.asarray(least_thermal_flow(heat, density, capacity, allowed))
    return replace(rise, lowest=np.where(open_, np.clip(least, 0.0, first), rise.lowest))


def _of_the_curve(situation: Situation) -> tuple[FlowLimit, ...]:
    """Limits that the tested curve and the maker set, carried to speed, trim and viscosity of the cases."""
    impeller, scale = situation.pump.impeller, _over_tested_flow(situation)
    faster = situation.solved.inputs.speed / impeller.tested.speed
    nothing, everything = np.zeros(situation.count), np.full(situation.count, np.inf)
    nowhere = np.zeros(situation.count, bool)
    stable = FlowLimit("stable curve", _stable_from(situation.pump) * scale, everything, nowhere, True, "derived",
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


@once_per_pump
def _stable_from(pump: PumpFile) -> float:
    return stable_from(pump.impeller.tested.curve)


def _over_tested_flow(situation: Situation) -> Array:
    """Flow of a case over the flow of the test that it corresponds to."""
    return situation.solved.point.best_flow / situation.pump.impeller.tested.curve.best_flow


def _end_of_curve(situation: Situation) -> Array:
    return situation.pump.impeller.tested.curve.last_flow * _over_tested_flow(situation)
