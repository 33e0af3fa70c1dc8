"""Set points from normal operation, from what has to be met, and from the errors of the instrument; or none."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.instruments.resistance_thermometer import tolerance
from wetpath.physics.instruments.sensor import voted_error
from wetpath.questions.protection.demands import Demand, demands_on
from wetpath.questions.protection.instruments import Instrument
from wetpath.questions.protection.normal import NormalOperation, nuisance_trips
from wetpath.questions.protection.signals import motor_input
from wetpath.rating.flow_limits import RESOLUTIONS_APART
from wetpath.rating.operating_point import operating_point
from wetpath.rating.rate import Rating

Array = NDArray[np.float64]

#: Probability with which a group of sensors is neither earlier nor later than counted; noise counted in deviations.
SURE, NOISE_DEVIATIONS = 0.999, 4.0
#: Spans that instruments are set to: preferred numbers (series R5 of ISO 3, recalled).
PREFERRED = (1.0, 1.6, 2.5, 4.0, 6.3, 10.0)
#: The span ends above normal operation by this factor. Common practice, no source.
ROOM_OF_SPAN = 1.25
#: Delays that are tried for nuisance trips [s].
DELAYS = (0.0, 1.0, 2.0, 5.0, 10.0, 30.0, 60.0)
#: Flows at which the power along the curve is looked at.
CURVE_POINTS = 401


@dataclass(frozen=True)
class Met:
    """One level that has to be met, and whether the instrument can tell it from normal operation."""

    text: str
    level: float              # worst of the cases
    case: str                 # of that level
    apart: float              # from normal operation to the level
    needed: float             # what error and noise need between them

    @property
    def resolution(self) -> float:
        """Room over what is needed; 1 and more: it can be told."""
        return self.apart / self.needed if self.needed > 0 else np.inf

    @property
    def told(self) -> bool:
        """Whether a set point fits between normal operation and this level."""
        return self.resolution >= 1.0


@dataclass(frozen=True, eq=False)
class Setting:
    """One instrument with its set point; NaN where there is none."""

    instrument: Instrument
    span: float
    normal_from: float
    normal_to: float
    error: float              # of one sensor at the set point, largest
    noise: float              # standard deviation
    late: float               # error that a group of sensors is taken to be late by
    met: tuple[Met, ...]
    set_point: float
    alarm: float
    by_case: Array            # set points that fit each case alone; NaN: none
    acts_below_flow: Array    # flow at which a low-power trip acts, by case; NaN for others
    nuisance_trips: int
    shortest_delay: float     # of those tried, without a nuisance trip [s]; infinite: none
    samples: int
    reason: str               # why there is no set point; empty when there is

    @property
    def usable(self) -> bool:
        """Whether it has a set point."""
        return not np.isnan(self.set_point)

    @property
    def guards(self) -> tuple[Met, ...]:
        """Levels that are met at this set point."""
        sign = self.instrument.sign
        return tuple(one for one in self.met
                     if self.usable and sign * (one.level - self.set_point) >= self.late * (1 - 1e-9))


def settings_of(rating: Rating, instruments: dict[str, Instrument], normal: NormalOperation, band: int
                ) -> tuple[Setting, ...]:
    """Set points of every instrument for all operating cases and liquids together.

    Parameters
    ----------
    rating : Rating
    instruments : dict
    normal : NormalOperation
    band : int
        Band of the shell with the thermometer.
    """
    return tuple(_setting(rating, one, normal, band) for one in instruments.values())


def cases_in_service(rating: Rating) -> NDArray[np.int64]:
    """Cases that the instruments of the plant see: all but works tests, which run on a bench with its own."""
    served = np.flatnonzero(~rating.situation.demands.works_test)
    return served if served.size else np.arange(rating.situation.count)


def _setting(rating: Rating, instrument: Instrument, normal: NormalOperation, band: int) -> Setting:
    values = instrument.signal.steady(normal.situation, band)
    count, served = rating.situation.count, cases_in_service(rating)
    known = ~np.isnan(values) & np.isin(normal.case, served)
    nothing = np.full(count, np.nan)
    if not known.any():
        reason = ("no case draws from a vessel" if instrument.signal.name == "vessel level"
                  else "its signal is not known in this rating")
        return Setting(instrument, np.nan, np.nan, np.nan, np.nan, np.nan, np.nan, (), np.nan, np.nan, nothing, nothing,
                       0, np.nan, 0, reason)
    values, case = values[known], normal.case[known]
    demands = demands_on(instrument.name, rating)
    span = instrument.given_span or _span(instrument, values, demands)
    found = _fitted(rating, instrument, span, values, demands, served)
    while instrument.given_span is None and found.set_point > instrument.signal.end_of(span):
        span = _preferred(1.01 * span, 3600.0 if instrument.signal.name == "flow" else 1.0)
        found = _fitted(rating, instrument, span, values, demands, served)
    alone = np.full(count, np.nan)
    for number in np.unique(case):
        alone[number] = _fitted(rating, instrument, span, values[case == number], demands,
                                np.array([number])).set_point
    found = replace(found, by_case=alone)
    if found.set_point > instrument.signal.end_of(span):
        found = replace(found, set_point=np.nan, alarm=np.nan, reason="the set point lies beyond the range")
    if not found.usable:
        return replace(found, acts_below_flow=nothing)
    trips, *tried = nuisance_trips(instrument, found.set_point, values, found.error, found.noise,
                                   (instrument.delay, *DELAYS))
    shortest = next((delay for delay, number in zip(DELAYS, tried, strict=True) if number == 0), np.inf)
    below = _flow_at_power(rating, found.set_point) if instrument.name == "low_power" else nothing
    return replace(found, nuisance_trips=trips, shortest_delay=shortest, acts_below_flow=below)


def _fitted(rating: Rating, instrument: Instrument, span: float, values: Array, demands: tuple[Demand, ...],
            cases: NDArray[np.int64]) -> Setting:
    """The set point for some cases, whose normal values are given."""
    sign = instrument.sign
    edge = float((sign * values).max() * sign)
    error = error_at(rating, instrument, span, edge, cases)
    noise = instrument.noise_of_span * span
    early = -float(voted_error(error, instrument.wanted, instrument.fitted, 1 - SURE))
    late = float(voted_error(error, instrument.wanted, instrument.fitted, SURE))
    allowance = early + NOISE_DEVIATIONS * noise
    needed = allowance + late
    if instrument.name == "low_power":      # the smallest step a monitor tells, twice, as the least flow is judged by
        needed = max(needed, RESOLUTIONS_APART * rating.practice["power_monitor_resolution"].value
                     * rating.pump.driver.rated_power)
    met = tuple(sorted((_met(rating, one, sign, edge, needed, cases) for one in demands
                        if not np.isnan(one.level[cases]).all()), key=lambda one: one.apart))
    nearest = next((one for one in met if one.told), None)
    setting = Setting(instrument, span, float(values.min()), float(values.max()), error, noise, late, met, np.nan,
                      np.nan, np.full(1, np.nan), np.full(1, np.nan), 0, np.nan, values.size, "")
    nuisance = edge + sign * allowance
    if instrument.given_set_point is not None:
        return replace(setting, set_point=instrument.given_set_point,
                       alarm=0.5 * (nuisance + instrument.given_set_point))
    if nearest is None:
        reason = "nothing that it has to meet is known here" if not met else "no resolution here"
        return replace(setting, reason=reason)
    last = nearest.level - sign * late
    set_point = last if instrument.rule == "at" else 0.5 * (nuisance + last)
    return replace(setting, set_point=set_point, alarm=0.5 * (nuisance + set_point))


def _met(rating: Rating, demand: Demand, sign: float, edge: float, needed: float, cases: NDArray[np.int64]) -> Met:
    levels = np.where(np.isnan(demand.level[cases]), np.inf, sign * demand.level[cases])
    worst = int(np.argmin(levels))
    level = float(demand.level[cases][worst])
    return Met(demand.text, level, rating.case_names[int(cases[worst])], sign * (level - edge), needed)


def error_at(rating: Rating, instrument: Instrument, span: float, level: float, cases: NDArray[np.int64]) -> float:
    """Largest error of one sensor at a level of its signal, all parts added, in the unit of the signal."""
    error = instrument.error_of_span * span + instrument.error
    if not instrument.tolerance_class:
        return error
    warmest = float(rating.inputs.temperature[cases].max())
    name = instrument.signal.name
    if name == "suction margin":
        situation = rating.situation
        part = float(tolerance(warmest, instrument.tolerance_class))
        slopes = [(float(situation.liquids[situation.model_of[case]].vapour_pressure(rating.inputs.temperature[case]
                                                                                      + part))
                   - float(situation.liquids[situation.model_of[case]].vapour_pressure(
                       rating.inputs.temperature[case]))) for case in cases]
        return error + max(slopes)
    if name.endswith("over suction"):
        return error + float(tolerance(warmest + level, instrument.tolerance_class)
                             + tolerance(warmest, instrument.tolerance_class))
    return error + float(tolerance(level, instrument.tolerance_class))


def _span(instrument: Instrument, values: Array, demands: tuple[Demand, ...]) -> float:
    name = instrument.signal.name
    largest = float(np.abs(values).max())
    if name in ("vibration class", "bearing clearance", "motor current", "leak class"):
        levels = [float(np.nanmax(one.level)) for one in demands]
        return max(largest * ROOM_OF_SPAN, *levels)
    if "temperature" in name:
        return _preferred(max(largest - ZERO_CELSIUS, 40.0) * ROOM_OF_SPAN * 1.6)
    if name.endswith("over suction"):
        return _preferred(max(largest, 40.0) * ROOM_OF_SPAN)
    return _preferred(largest * ROOM_OF_SPAN, 3600.0 if name == "flow" else 1.0)


def _preferred(least: float, scale: float = 1.0) -> float:
    """Next preferred number above a value; ``scale`` turns it into the unit in which it is to be round.

    >>> _preferred(11.0), _preferred(0.3)
    (16.0, 0.4)
    """
    scaled = least * scale
    power = 10.0 ** np.floor(np.log10(scaled))
    return float(next(power * step for step in PREFERRED if power * step >= scaled * (1 - 1e-9)) / scale)


def _flow_at_power(rating: Rating, power: float) -> Array:
    """Flow below which the motor takes less than a power, by case [m3/s]; NaN where it never does or always."""
    situation, inputs, point = rating.situation, rating.inputs, rating.point
    found = np.full(situation.count, np.nan)
    for case in range(situation.count):
        flows = np.linspace(0.0, float(inputs.flow[case]), CURVE_POINTS)
        along = operating_point(rating.pump, flows, np.full(CURVE_POINTS, inputs.speed[case]),
                                np.full(CURVE_POINTS, point.kinematic_viscosity[case]))
        density = situation.scalars[case, solve.DENSITY_IN]
        shaft = rating.losses.shaft[case] + density * (along.power_over_density - point.power_over_density[case])
        below = np.flatnonzero(motor_input(situation, shaft) < power)
        if below.size and below[-1] < CURVE_POINTS - 1:
            found[case] = flows[below[-1]]
    return found
