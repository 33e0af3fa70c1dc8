"""What may be wrong with a running pump, and how its signals move then: courses of the model itself, never typed in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wetpath.errors import InputError, LimitError
from wetpath.physics.instruments.sensor import first_order
from wetpath.questions.protection.instruments import default_instruments
from wetpath.questions.protection.signals import reading_lag
from wetpath.upsets import Timeline, Upset, simulate
from wetpath.upsets.knots import STATIC_SHARE, Factors
from wetpath.upsets.right_side import delivered_share
from wetpath.upsets.simulation import ROUGHER
from wetpath.watching.substitutes import NONE, Substitutes
from wetpath.watching.surrogate import FEED, FLOW, POWER, PRESSURE, RETURN, RISE, SHELL, TEMPERATURE, Surrogate
from wetpath.watching.surrogate import columns_at as told_at

Array = NDArray[np.float64]

#: A course begins with the rated state, goes on behind its change, and behind an empty shell, for so long [s].
BEGINS, GOES_ON, BEHIND_EMPTY = 1.0, 300.0, 60.0
#: Points of a course: along its change, and along its first minutes.
ALONG, EARLY = 24, 24
#: A cause that never moves a signal by more than this many of its errors cannot be seen.
SEEN = 2.0
#: Share of the field's heat that aged magnets leave at the end of that course, of the head that wear takes, of the
#: power that rubbing adds. The ends of courses, not sizes that are expected.
AGED, WORN, RUBBED = 0.6, 0.5, 0.8
STEPS = 12


@dataclass(frozen=True)
class Cause:
    """One cause that can be named.

    ``kinds``: upsets of the catalogue that it covers, each with the values of its courses; several of them move these
    signals alike. ``apart``: what would tell those apart. ``operating``: a change of the operating point, which is no
    fault in itself.
    """

    name: str
    title: str
    kinds: Mapping[str, tuple[Mapping[str, float], ...]] = field(default_factory=dict)
    apart: str = ""
    operating: bool = False
    slow: bool = False


def _each(name: str, values: tuple[float, ...], **others: float) -> tuple[Mapping[str, float], ...]:
    return tuple({name: value, **others} for value in values)


#: Severities are ends of courses that pass through all lesser ones; times are from quick to slow.
CAUSES: dict[str, Cause] = {one.name: one for one in (
    Cause("suction_falling", "suction valve or strainer closing, or vessel losing pressure", {
        "suction strangled": _each("over", (20.0, 200.0, 2000.0), share=0.15),
        "suction pressure decay": _each("over", (60.0, 600.0), share=-0.2)},
        "the pressure in the vessel, or a pressure before the strainer", operating=True),
    Cause("suction_rising", "suction pressure rising", operating=True),
    Cause("hot_slug", "hot liquid coming in", {"hot slug": tuple(
        {"over": over, "rise": 40.0, "fall": -40.0, "lasts": 3000.0} for over in (5.0, 60.0, 600.0))}, operating=True),
    Cause("suction_cooling", "suction getting colder", operating=True),
    Cause("flow_falling", "discharge valve closing, or running below the least flow", {
        "below minimum flow": _each("over", (5.0, 60.0, 600.0), share=0.02),
        "discharge closed": _each("over", (5.0, 60.0)), "blocked in": _each("over", (5.0,))},
        "the positions of the valves", operating=True),
    Cause("flow_rising", "flow rising", operating=True),
    Cause("speed_falling", "speed falling", operating=True),
    Cause("speed_rising", "speed rising", operating=True),
    Cause("feed_plugging", "feed or return passage plugging", {
        "feed plugging": _each("over", (600.0, 3600.0), share=0.01),
        "return plugging": _each("over", (600.0, 3600.0), share=0.01)},
        "a pressure in the containment shell: it falls when the feed plugs and rises when the return does", slow=True),
    Cause("gas_entrained", "gas drawn in with the liquid", {
        "gas entrained": _each("over", (2.0, 60.0, 600.0), share=0.2)}),
    Cause("suction_lost", "suction lost: gas instead of liquid", {"suction lost": _each("over", (1.0, 10.0))}),
    Cause("wrong_liquid", "another liquid: denser, lighter or thicker", {"wrong liquid": (
        *_each("over", (2.0, 60.0), density=1.8), *_each("over", (2.0, 60.0), density=0.6),
        {"over": 60.0, "viscosity": 30.0})}),
    Cause("out_of_step", "the rings have fallen out of step", {"magnets pulled out": ({},)}),
    Cause("cooler_failing", "cooler without coolant", {"cooler failure": _each("over", (10.0, 600.0))}),
    Cause("bearing_wear", "bearing clearance growing", {"bearing wear": _each("over", (600.0,), growth=8.0)},
          slow=True),
    Cause("rear_ring_worn", "rear ring worn", {"worn rear ring": _each("over", (600.0,), core=1.9)}, slow=True),
    Cause("magnets_ageing", "magnets getting weaker", slow=True),
    Cause("head_loss", "head falling: wear", slow=True),
    Cause("power_gain", "power rising: rubbing, or a motor that takes more", slow=True))}

#: Which instrument of the defaults stands for each signal, and what it sees; the order is that of the reconciliation.
_SEEN: tuple[tuple[str, Callable[[Timeline, int], Array]], ...] = (
    ("low_flow", lambda line, _: line.flow),
    ("high_suction_temperature", lambda line, _: line.suction_temperature),
    ("", lambda line, _: line.outer_speed),
    ("low_suction_pressure", lambda line, _: line.suction_pressure),
    ("low_discharge_pressure", lambda line, _: line.discharge_pressure),
    ("low_power", lambda line, _: line.motor_power),
    ("shell_temperature", lambda line, band: line.shell_wall[:, band]),
    ("high_return_temperature", lambda line, _: line.return_temperature))


@dataclass(frozen=True, eq=False)
class Library:
    """Courses of all causes that can be seen, as points one behind the other; SI.

    Changes are told so that a model that is off by a factor cancels: flow, speed, rise of the pressure and power as
    shares of what they were; suction temperature and pressure, and shell and return over the suction, as differences.
    """

    points: Array                      # (points, 8)
    cause: NDArray[np.int64]           # (points,) place in `names`
    follows: NDArray[np.bool_]         # (points,) whether a point goes on from the one before
    amount: Array                      # (points,) of the feed passages the area that is gone, as a share; NaN elsewhere
    names: tuple[str, ...]
    unseen: tuple[str, ...]            # causes that these signals do not see


def library_of(surrogate: Surrogate, errors: Array, told: Substitutes = NONE) -> Library:
    """Courses of every cause for the pump of a quick model.

    Parameters
    ----------
    surrogate : Surrogate
    errors : array (8,)
        Errors of the instruments, by which it is told whether a cause is seen at all; SI.
    told : Substitutes
        Signals told by others: a level does not see what happens in the line or above it.
    """
    usual = _usual(surrogate)
    scale = np.array([errors[0] / usual[0], errors[1], errors[2] / usual[2], errors[3],
                      errors[4] / _told(surrogate, usual)[RISE], errors[5] / _told(surrogate, usual)[POWER],
                      errors[6], errors[7]])
    parts: list[tuple[int, Array, Array]] = []
    names: list[str] = []
    unseen: list[str] = []
    for cause in CAUSES.values():
        found = [*_simulated(surrogate, cause, told), *((one, np.full(len(one), np.nan)) for one in
                                                       _steady(surrogate, cause, usual, told))]
        seen = [one for one in found if (np.abs(one[0]) > SEEN * scale).any()]
        if not seen:
            unseen.append(cause.name)
            continue
        parts += [(len(names), points, amount) for points, amount in seen]
        names.append(cause.name)
    return Library(
        np.concatenate([points for _, points, _ in parts]),
        np.concatenate([np.full(len(points), place) for place, points, _ in parts]),
        np.concatenate([np.arange(len(points)) > 0 for _, points, _ in parts]),
        np.concatenate([amount for *_, amount in parts]), tuple(names), tuple(unseen))


def _usual(surrogate: Surrogate) -> Array:
    inputs, case = surrogate.rating.inputs, surrogate.case
    return np.array([inputs.flow[case], inputs.temperature[case], inputs.speed[case], inputs.pressure[case]])


def _told(surrogate: Surrogate, state: Array) -> Array:
    return np.asarray(told_at(surrogate.at_feed(1.0), surrogate.low, surrogate.high, state[None, :])[0])


def _simulated(surrogate: Surrogate, cause: Cause, told: Substitutes) -> list[tuple[Array, Array]]:
    found: list[tuple[Array, Array]] = []
    for kind, courses in cause.kinds.items():
        for values in courses:
            try:
                found.append(_course(surrogate, Upset(kind, BEGINS, values), told))
            except (InputError, LimitError):      # no vapour pressure, or conditions that the model cannot follow
                continue
    return found


def _course(surrogate: Surrogate, upset: Upset, told: Substitutes) -> tuple[Array, Array]:
    """Changes along one upset, as the instruments read them with their lag, and the area of feed that is gone."""
    over = float(upset.values.get("over", 1.0))
    line = simulate(surrogate.rating, [upset], case=surrogate.case, duration=BEGINS + over + GOES_ON, rougher=ROUGHER)
    ends = min(line.time[-1], line.when("rear empty") + BEHIND_EMPTY)
    times = BEGINS + np.unique(np.r_[np.linspace(0.0, over, ALONG), np.geomspace(2.0, over + GOES_ON, EARLY)])
    times = times[times <= ends]
    gone = np.full(times.size, np.nan)
    if upset.kind == "feed plugging":
        gone = (1 - upset.number("share")) * np.clip((times - BEGINS) / over, 0.0, 1.0)
    return _changes(line, surrogate.band, times, told), gone


def _changes(line: Timeline, band: int, times: Array, told: Substitutes) -> Array:
    instruments, rated = default_instruments(), float(line.annulus_flow[0])
    read = np.empty((line.time.size, len(_SEEN)))
    for place, (name, seen) in enumerate(_SEEN):
        read[:, place] = told.pressure(line.vessel_level, line.flow) if told.by_level and place == PRESSURE else seen(
            line, band)
        if name:
            one = instruments[name]
            read[:, place] = first_order(line.time, read[:, place],
                                         reading_lag(one.signal, one.time_constant, line, rated))
    first = read[0].copy()
    read = np.stack([np.interp(times, line.time, column) for column in read.T], axis=1)
    return changes_from(first, read)


def changes_from(first: Array, read: Array) -> Array:
    """Changes of readings (samples, 8) against those before (8,), as a `Library` tells them."""
    rise, before = read[:, 4] - read[:, PRESSURE], first[4] - first[PRESSURE]
    return np.column_stack([
        read[:, FLOW] / first[FLOW] - 1, read[:, TEMPERATURE] - first[TEMPERATURE], read[:, 2] / first[2] - 1,
        read[:, PRESSURE] - first[PRESSURE], rise / before - 1, read[:, 5] / first[5] - 1,
        read[:, 6] - read[:, TEMPERATURE] - first[6] + first[TEMPERATURE],
        read[:, 7] - read[:, TEMPERATURE] - first[7] + first[TEMPERATURE]])


#: Steady changes of the operating point: the unknown, and whether it rises.
_MOVES = {"suction_falling": (PRESSURE, False), "suction_rising": (PRESSURE, True), "hot_slug": (TEMPERATURE, True),
          "suction_cooling": (TEMPERATURE, False), "flow_falling": (FLOW, False), "flow_rising": (FLOW, True),
          "speed_falling": (2, False), "speed_rising": (2, True)}


def _steady(surrogate: Surrogate, cause: Cause, usual: Array, told: Substitutes) -> list[Array]:
    share = np.linspace(0.0, 1.0, STEPS + 1)
    if cause.name in _MOVES:
        one, rises = _MOVES[cause.name]
        states = np.tile(usual, (share.size, 1))
        states[:, one] += share * ((surrogate.high if rises else surrogate.low)[one] - usual[one])
        before, after = signals_at(surrogate, usual[None, :])[0], signals_at(surrogate, states)
        if told.by_level and one == PRESSURE:        # from the level, and from what a level does not see
            unseen = np.where(np.arange(after.shape[1]) == PRESSURE, usual[PRESSURE], after)
            return [changes_from(before, after), changes_from(before, unseen)]
        return [changes_from(before, after)]
    if cause.name == "head_loss":
        left = 1 - WORN * share
        controlled = np.zeros((share.size, 8))
        controlled[:, 4] = left - 1
        states = np.tile(usual, (share.size, 1))
        states[:, FLOW] *= [delivered_share(one, STATIC_SHARE) for one in left]
        free = changes_from(signals_at(surrogate, usual[None, :])[0], signals_at(surrogate, states))
        free[:, 4] = (1 + free[:, 4]) * left - 1
        return [controlled, free]
    if cause.name == "power_gain":
        more = np.zeros((share.size, 8))
        more[:, 5] = RUBBED * share
        return [more]
    if cause.name == "magnets_ageing":
        line = simulate(surrogate.rating, [], case=surrogate.case, duration=GOES_ON, factors=Factors(eddy=AGED),
                        rougher=ROUGHER)
        return [share[:, None] * _changes(line, surrogate.band, line.time[-1:], told)]
    return []


def signals_at(surrogate: Surrogate, states: Array) -> Array:
    """What instruments show in steady states (samples, 4), (samples, 8)."""
    told = told_at(surrogate.at_feed(float(surrogate.high[FEED])), surrogate.low, surrogate.high, states)
    warm, pressure = states[:, TEMPERATURE], states[:, PRESSURE]
    return np.column_stack([states, pressure + told[:, RISE], told[:, POWER], warm + told[:, SHELL],
                            warm + told[:, RETURN]])
