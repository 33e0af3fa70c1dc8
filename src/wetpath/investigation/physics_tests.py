"""Tests of the mechanisms by the physics: could this pump, in this case, have failed that way?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from wetpath.circulation import solve
from wetpath.circulation.outcome import Outcome
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.units import METRIC, UnitSet, express
from wetpath.errors import InputError
from wetpath.investigation.reality import Reality, boils_at_wall, lost, margin
from wetpath.machine.smallest_passage import smallest_passage, tightest_bearing
from wetpath.rating.check import Check
from wetpath.rating.thrust_state import thrust_state

Amount = tuple[float, Kind]

# Where a test says yes and where no: common practice, no source, all of them.
#: Shares of the holes that are blocked, and up to where plugging can be what happened.
BLOCKED = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95)
MOST_BLOCKED = 0.9
#: Flows that are looked at, over that of the case.
THROTTLED = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2, 0.15, 0.1, 0.05)
LEAST_THROTTLED = 0.1
#: Shares of the pressure above vapour pressure that are lost at the suction; a clogged strainer takes this much [Pa].
SUCTION_LOST = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.99)
STRAINER = 0.5e5
#: Warmer suction [K], and how much of it an upset of a process is.
WARMER = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 30.0, 40.0)
UPSET, FAR_UPSET = 10.0, 30.0
#: Pull-out torque over running torque: below the first it lets go in ordinary scatter, above the second it does not.
WEAK, STRONG = 1.15, 2.0
#: Thrust over what the faces carry.
FULL, HALF = 1.0, 0.5
#: A metal shows heat tint from about this temperature in minutes [K]. Recalled, nickel and stainless alloys.
TINT = 573.0
#: Said where nothing has to happen for the liquid to be lost.
ALREADY = "the pump as rated loses the liquid in this case already, without any cause besides"
#: Share of the rating life of the outer bearings from which they are due.
DUE = 1.0
#: A liquid freezes where it stands this much above the coldest air [K]; this much below it, not.
FREEZES, NOT_FREEZING = 0.0, -10.0


class Says(StrEnum):
    """What a test says of its mechanism."""

    FOR = "for"
    AGAINST = "against"
    NOTHING = "says nothing"


@dataclass(frozen=True)
class PhysicsTest:
    """One test: what it says of one mechanism, in a sentence with places for its numbers."""

    name: str
    mechanism: str
    question: str
    says: Says
    text: str
    amounts: tuple[Amount, ...] = ()

    def sentence(self, units: UnitSet = METRIC) -> str:
        """The result, in a set of units."""
        return self.text.format(*(express(value, kind, units=units) for value, kind in self.amounts))


def _judged(value: float, yes: float, no: float) -> Says:
    """FOR from ``yes`` on, AGAINST from ``no`` on, on whichever side of each other they lie."""
    if np.isnan(value):
        return Says.NOTHING
    sense = 1 if yes > no else -1
    if sense * (value - yes) >= 0:
        return Says.FOR
    return Says.AGAINST if sense * (value - no) <= 0 else Says.NOTHING


def plugging(reality: Reality) -> PhysicsTest:
    """Share of the feed (or return) holes that has to be blocked before the liquid is lost."""
    name, question = "plugging", "could a plugged passage have lost the liquid?"
    if reality.already_lost:
        return PhysicsTest(name, "plugged", question, Says.NOTHING, ALREADY)
    if reality.narrowed is None or np.isnan(reality.vapour_pressure):
        why = "there are no feed or return holes" if reality.narrowed is None else "the vapour pressure is not known"
        return PhysicsTest(name, "plugged", question, Says.NOTHING, f"not tried: {why}")
    holes = reality.narrowed[1]
    for share in BLOCKED:
        rating = reality.with_blocked(share)
        if rating is None:
            break
        if lost(rating)[0]:
            says = Says.FOR if share <= MOST_BLOCKED else Says.NOTHING
            if rating.situation.solution.outcome[0] == Outcome.NO_SOLUTION:
                return PhysicsTest(name, "plugged", question, says, f"with {{0}} of the {holes} blocked no flow "
                                   "carries the heat away as liquid", ((share, q.RATIO),))
            return PhysicsTest(name, "plugged", question, says, f"with {{0}} of the {holes} blocked the liquid is "
                               "lost: {1} is missing", ((share, q.RATIO), (-margin(rating), q.PRESSURE_DIFFERENCE)))
        last = margin(rating)
    else:
        return PhysicsTest(name, "plugged", question, Says.AGAINST, f"with {{0}} of the {holes} blocked the liquid is "
                           "still liquid, by {1}", ((BLOCKED[-1], q.RATIO), (last, q.PRESSURE_DIFFERENCE)))
    return PhysicsTest(name, "plugged", question, Says.NOTHING, f"with {{0}} of the {holes} blocked nothing can be "
                       "computed", ((share, q.RATIO),))


def throttling(reality: Reality) -> PhysicsTest:
    """Flow below which the liquid is lost."""
    name, question = "throttling", "could a closed or throttled discharge have lost the liquid?"
    if reality.already_lost:
        return PhysicsTest(name, "low_flow", question, Says.NOTHING, ALREADY)
    if np.isnan(reality.vapour_pressure):
        return PhysicsTest(name, "low_flow", question, Says.NOTHING, "not tried: the vapour pressure is not known")
    rating = reality.varied(flow=[share * reality.flow for share in THROTTLED])
    gone = np.flatnonzero(lost(rating))
    power = reality.at(reality.rating.situation.driver.shut_off_power)
    if not gone.size:
        return PhysicsTest(name, "low_flow", question, Says.NOTHING, "down to {0} the liquid stays liquid in steady "
                           "running; fully closed it warms at {1} a minute, at {2}",
                           ((THROTTLED[-1] * reality.flow, q.VOLUME_FLOW),
                            (60 * reality.at(reality.rating.situation.standstill.heating_rate),
                             q.TEMPERATURE_DIFFERENCE), (power, q.POWER)))
    share = THROTTLED[int(gone[0])]
    says = Says.FOR if share >= LEAST_THROTTLED else Says.NOTHING
    return PhysicsTest(name, "low_flow", question, says, "from {0} down the liquid is lost; the power would fall from "
                       "{1} to {2} at closed discharge", ((share * reality.flow, q.VOLUME_FLOW),
                                                          (reality.shaft_power, q.POWER), (power, q.POWER)))


def starving(reality: Reality) -> PhysicsTest:
    """Loss of suction pressure with which NPSH or the circulation fails."""
    name, question = "starving", "how much suction pressure has to be lost?"
    above = reality.pressure - reality.vapour_pressure
    if reality.already_lost:
        return PhysicsTest(name, "suction_starved", question, Says.NOTHING, ALREADY)
    if np.isnan(above):
        return PhysicsTest(name, "suction_starved", question, Says.NOTHING,
                           "not tried: the vapour pressure is not known")
    rating = reality.varied(pressure=[reality.pressure - share * above for share in SUCTION_LOST])
    short = rating.situation.npsh_available < rating.point.npsh_required
    failed = np.flatnonzero(short | lost(rating))
    if not failed.size:
        return PhysicsTest(name, "suction_starved", question, Says.AGAINST,
                           "with {0} less it has NPSH and stays liquid",
                           ((SUCTION_LOST[-1] * above, q.PRESSURE_DIFFERENCE),))
    first = int(failed[0])
    loss = SUCTION_LOST[first] * above
    what = "NPSH available falls below NPSH3" if short[first] else "the liquid is lost inside"
    return PhysicsTest(name, "suction_starved", question, _judged(loss, STRAINER, np.inf),
                       f"with {{0}} less {what}", ((loss, q.PRESSURE_DIFFERENCE),))


def warming(reality: Reality) -> PhysicsTest:
    """Rise of the suction temperature that loses the liquid at the same suction pressure."""
    name, question = "warming", "how much warmer may the suction be?"
    if reality.already_lost:
        return PhysicsTest(name, "vapour_inside", question, Says.FOR, ALREADY)
    if np.isnan(reality.vapour_pressure):
        return PhysicsTest(name, "vapour_inside", question, Says.NOTHING, "not tried: the vapour pressure is not known")
    in_table = [one for one in WARMER if reality.temperature + one <= reality.liquid.temperature_range[1]]
    rises = [one for one in in_table if float(reality.liquid.vapour_pressure(reality.temperature + one))
             < reality.pressure]
    rating = reality.varied(temperature=[reality.temperature + one for one in rises]) if rises else None
    gone = np.flatnonzero(lost(rating)) if rating is not None else np.array([], int)
    at_wall = bool(boils_at_wall(reality.rating)[reality.case])
    wall = "; the shell wall boils its liquid in this case already" if at_wall else ""
    if gone.size:
        rise = rises[int(gone[0])]
        return PhysicsTest(name, "vapour_inside", question, _judged(rise, UPSET, FAR_UPSET),
                           f"with {{0}} more the liquid is lost at a station{wall}",
                           ((rise, q.TEMPERATURE_DIFFERENCE),))
    if len(rises) < len(in_table):
        rise = in_table[len(rises)]
        return PhysicsTest(name, "vapour_inside", question, _judged(rise, UPSET, FAR_UPSET),
                           f"with {{0}} more the suction itself boils; inside it stays liquid until then{wall}",
                           ((rise, q.TEMPERATURE_DIFFERENCE),))
    if not rises:
        return PhysicsTest(name, "vapour_inside", question, Says.NOTHING, "not tried: the property table ends")
    says = Says.AGAINST if rises[-1] >= FAR_UPSET else Says.NOTHING
    return PhysicsTest(name, "vapour_inside", question, says, f"with {{0}} more it is still liquid inside{wall}",
                       ((rises[-1], q.TEMPERATURE_DIFFERENCE),))


def letting_go(reality: Reality) -> PhysicsTest:
    """Pull-out torque at hot magnets over the torque of the case, and at the start."""
    losses, start = reality.rating.losses, reality.rating.situation.start
    running, starting = reality.at(losses.coupling_ratio), reality.at(start.ratio)
    return PhysicsTest("letting_go", "decoupling", "could the rings have let go?", _judged(min(running, starting), WEAK,
                                                                                          STRONG),
                       "pull-out torque is {0} times the running torque and {1} times that at the start",
                       ((running, q.NUMBER), (starting, q.NUMBER)))


def weakening(reality: Reality) -> PhysicsTest:
    """Magnets at duty against their temperature limit, and the field against them when they slip."""
    pump, situation = reality.rating.pump, reality.rating.situation
    limit, now = pump.inner_magnet.highest_temperature, reality.scalar(solve.INNER_RING)
    opposing = max(reality.at(ring) for ring in situation.coupling.field_opposing)
    says = Says.FOR if now > limit or opposing > 1 else Says.NOTHING
    return PhysicsTest("weakening", "demagnetised", "could heat or slip have weakened the magnets?", says,
                       "the inner magnets are at {0} in this case, their limit is {1}; the field against them is {2} "
                       "of their coercivity when they slip", ((now, q.TEMPERATURE), (limit, q.TEMPERATURE),
                                                           (opposing, q.RATIO)))


def running_dry(reality: Reality) -> PhysicsTest:
    """How fast the shell heats without liquid, and to which temperature."""
    surfaces = reality.rating.situation.surfaces
    question = "what would dry running have done to the shell?"
    rate = reality.at(surfaces.dry_rate)
    reached = reality.at(next(one.temperature for one in surfaces.malfunctions if one.name == "dry running"))
    if not rate > 0 or np.isnan(reached):
        return PhysicsTest("running_dry", "dry_running", question, Says.NOTHING,
                           "the shell makes no heat of its own: no tint on it, only the bearings tell")
    now = reality.scalar(solve.HOTTEST_WALL)
    if now >= TINT:
        return PhysicsTest("running_dry", "dry_running", question, Says.NOTHING,
                           "the shell is at {0} in this case already, where metal tints: a tint does not tell dry "
                           "running", ((now, q.TEMPERATURE),))
    return PhysicsTest("running_dry", "dry_running", question, Says.FOR if reached > TINT else Says.NOTHING,
                       "a dry shell warms by {0} a second at first; at that rate it passes {1}, where metal tints, "
                       "in {2}",
                       ((rate, q.TEMPERATURE_DIFFERENCE), (TINT, q.TEMPERATURE),
                        ((TINT - now) / rate, q.TIME)))


def hot_standing(reality: Reality) -> PhysicsTest:
    """Whether the liquid behind the impeller boils off after a stop, which leaves the bearings dry at the restart."""
    standstill = reality.rating.situation.standstill
    left = reality.at(standstill.margin)
    says = Says.NOTHING if np.isnan(left) or left >= 0 else Says.FOR
    if np.isnan(left):
        return PhysicsTest("hot_standing", "hot_restart", "does it boil dry after a stop?", says,
                           "cannot be told: the vapour pressure is not known")
    return PhysicsTest("hot_standing", "hot_restart", "does it boil dry after a stop?", says,
                       "after a stop the liquid in the shell settles at {0}, "
                       + ("below boiling by {1}" if left >= 0 else "above boiling by {1}"),
                       ((reality.at(standstill.soaked), q.TEMPERATURE), (abs(left), q.TEMPERATURE_DIFFERENCE)))


def ring_wear(reality: Reality) -> PhysicsTest:
    """Axial thrust with a worn rear ring against what the faces carry."""
    thrust = reality.rating.situation.thrust
    question = "could a worn rear ring have overloaded a thrust face?"
    if not thrust.ring_counts:
        why = "a rear ring does not set it" if thrust.stated else "the pump file does not say what balances the thrust"
        return PhysicsTest("ring_wear", "worn_rear_ring", question, Says.NOTHING, f"not tried: {why}")
    specific = reality.rating.practice["thrust_specific_load"].value
    new, worn = reality.at(thrust.new.total), reality.at(thrust.worn.total)
    allowed = reality.at(thrust.allowable(thrust.worn.total, specific))
    return PhysicsTest("ring_wear", "worn_rear_ring", question, _judged(_share(worn, allowed), FULL, HALF),
                       "the axial thrust is {0} with a worn ring and {1} with a new one, the face carries {2}",
                       ((abs(worn), q.FORCE), (abs(new), q.FORCE), (allowed, q.FORCE)))


def running_out(reality: Reality) -> PhysicsTest:
    """Axial thrust and NPSH at the end of the curve."""
    question = "could running out beyond the curve have overloaded it?"
    furthest = _end_of_curve(reality)
    try:
        rating = reality.varied(flow=[furthest])
    except InputError as error:
        return PhysicsTest("running_out", "axial_overload", question, Says.NOTHING, f"not tried: {error.problem.text}")
    thrust = thrust_state(rating.situation)
    load = float(thrust.new.total[0])
    allowed = float(thrust.allowable(thrust.new.total, rating.practice["thrust_specific_load"].value)[0])
    npsh = float(rating.situation.npsh_available[0] - rating.point.npsh_required[0])
    says = Says.FOR if npsh < 0 else _judged(_share(load, allowed), FULL, HALF)
    words = "the thrust is {1}, the face carries {2}; " if not np.isnan(load) else "the thrust cannot be told; "
    return PhysicsTest("running_out", "axial_overload", question, says, f"at {{0}} {words}NPSH available is {{3}} "
                       f"{'below' if npsh < 0 else 'above'} NPSH3",
                       ((furthest, q.VOLUME_FLOW), (abs(load), q.FORCE), (allowed, q.FORCE), (abs(npsh), q.HEAD)))


def _share(load: float, allowed: float) -> float:
    return abs(load) / allowed if allowed > 0 else np.nan if np.isnan(load) else np.inf


def _end_of_curve(reality: Reality) -> float:
    """Largest flow of the tested curve at the speed and diameter of the case [m3/s]."""
    impeller = reality.rating.pump.impeller
    faster = float(reality.rating.inputs.speed[reality.case]) / impeller.tested.speed
    return impeller.tested.flow[-1] * faster * impeller.diameter / impeller.tested.diameter


def solids(reality: Reality) -> PhysicsTest:
    """Solids of the enquiry, or those found, against gaps and passages."""
    question = "could the solids have worn it?"
    name, gap = tightest_bearing(reality.rating.pump)
    stated = reality.rating.enquiry.solids
    size = reality.recorded.particle_size or (stated.largest_size if stated else None)
    if size is None:
        return PhysicsTest("solids", "hard_solids", question, Says.NOTHING,
                           f"no solids are told; the gap of the {name} takes up to {{0}}", ((gap, q.LENGTH),))
    short = stated is not None and any(_short(reality, one) for one in ("solids_bearing_gap", "solids_share"))
    says = Says.FOR if size > gap or short else Says.AGAINST
    passage, width = smallest_passage(reality.rating.pump)
    return PhysicsTest("solids", "hard_solids", question, says,
                       f"particles of {{0}} meet a gap of {{1}} in the {name} and {{2}} in the narrowest passage "
                       f"({passage})", ((size, q.LENGTH), (gap, q.LENGTH), (width, q.LENGTH)))


def magnetic(reality: Reality) -> PhysicsTest:
    """Whether the enquiry tells of magnetic solids."""
    question = "are there solids that stick to the magnets?"
    stated = reality.rating.enquiry.solids
    if stated is None:
        return PhysicsTest("magnetic", "magnetic_solids", question, Says.NOTHING, "no solids are told")
    if not stated.magnetic:
        return PhysicsTest("magnetic", "magnetic_solids", question, Says.AGAINST, "the solids of the enquiry are not "
                                                                                  "magnetic")
    return PhysicsTest("magnetic", "magnetic_solids", question, Says.FOR, "{0} of the mass are solids, some magnetic; "
                       "the practice allows {1}", ((stated.share, q.RATIO), (
                           reality.rating.practice["solids_share_magnetic"].value, q.RATIO)))


def _short(reality: Reality, name: str) -> bool:
    check: Check | None = next((one for one in reality.rating.checks if one.name == name), None)
    return check is not None and not bool(check.holds[reality.case])


def setting_solid(reality: Reality) -> PhysicsTest:
    """Freezing or crystallising point against the coldest air of the site."""
    question = "could the product have set while it stood?"
    limits, air = reality.liquid.limits, reality.rating.enquiry.site.air_lowest
    known = [one for one in (limits.solidification, limits.crystallisation) if one is not None]
    if not known:
        return PhysicsTest("setting_solid", "solidified", question, Says.NOTHING, "no freezing or crystallising "
                           "temperature is told; the coldest air is {0}", ((air, q.TEMPERATURE),))
    point = max(known)
    return PhysicsTest("setting_solid", "solidified", question, _judged(point - air, FREEZES, NOT_FREEZING),
                       "it turns solid at {0}, the coldest air is {1}", ((point, q.TEMPERATURE), (air, q.TEMPERATURE)))


def bearing_age(reality: Reality) -> PhysicsTest:
    """Running time of the outer bearings over their rating life."""
    question = "were the outer bearings due?"
    state, run = reality.rating.situation.external_bearings, reality.recorded.running_time
    if state is None or run is None:
        why = "the pump file has none" if state is None else "their running time is not told"
        return PhysicsTest("bearing_age", "outer_bearing", question, Says.NOTHING, f"not tried: {why}")
    life = reality.at(state.least_life)
    return PhysicsTest("bearing_age", "outer_bearing", question, Says.FOR if run >= DUE * life else Says.NOTHING,
                       "they have run {0} of a rating life of {1}", ((run, q.LIFE), (life, q.LIFE)))


#: Every test, in the order of the mechanisms.
TESTS: tuple[Callable[[Reality], PhysicsTest], ...] = (
    running_dry, hot_standing, throttling, starving, warming, plugging, letting_go, weakening, solids, magnetic,
    ring_wear, running_out, setting_solid, bearing_age)


def all_tests(reality: Reality) -> tuple[PhysicsTest, ...]:
    """Make every test; costs some twenty ratings."""
    return tuple(test(reality) for test in TESTS)
