"""Simulate upsets of a rated pump in time."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import ODEintWarning, odeint

from wetpath.errors import InputError, LimitError
from wetpath.liquids.liquid import Liquid
from wetpath.physics.published import entry
from wetpath.rating.rate import Rating
from wetpath.upsets import right_side as rhs
from wetpath.upsets.course import Course, course_of
from wetpath.upsets.knots import Factors, Knots, knots_of
from wetpath.upsets.observe import observe
from wetpath.upsets.timeline import Timeline
from wetpath.upsets.upset import Upset

Array = NDArray[np.float64]

#: Relative tolerance of the solver, and that of its error in temperatures [K], shares and heats [J].
RELATIVE, KELVIN, SHARE, JOULE = 1e-8, 1e-7, 1e-9, 1e-3
#: The tolerances of a copy with drawn numbers, over those: its times are known far less well than the solver is exact.
ROUGHER = 100.0
#: Two moments no further apart than this are one [s].
INSTANT = 1e-9
#: Even steps of the output; more stand behind each change.
LEAST_POINTS = 400


@dataclass(frozen=True, eq=False)
class Followed:
    """A solved course: states over time and from when on the rings slip (infinite: never)."""

    time: Array
    states: Array
    slips_at: float


def simulate(rating: Rating, upsets: Sequence[Upset], *, case: int | str = 0, duration: float = 600.0,
             factors: Factors | None = None, rougher: float = 1.0) -> Timeline:
    """Follow one or more upsets from the rated state of a case.

    Parameters
    ----------
    rating : Rating
    upsets : sequence of Upset
        Together; none follows the rated state itself.
    case : int or str
        Number or name of the operating case.
    duration : float [s]
    factors : Factors, optional
        Uncertain numbers of the model.
    rougher : float
        Tolerances of the solver over the usual ones, for copies of the model.

    Raises
    ------
    InputError
        For a duration that is not positive, or a case that has no liquid solution to begin with.

    Notes
    -----
    Quasi-steady hydraulics (the network is solved at knots of the course; between them and below them affinity), lumped
    heat, even mixtures. The solver is the LSODA method (Hindmarsh and Petzold) in scipy. Limits are in ``warnings``.
    """
    if not duration > 0:
        raise InputError("must be above 0 s", field="duration", value=f"{duration:g} s")
    number = rating.case_number(case)
    course, knots, liquid = prepare(rating, upsets, number, duration, factors or Factors())
    solved = follow(course, knots, liquid, grid(course, duration), rougher)
    return observe(rating, number, course, knots, solved.time, solved.states, solved.slips_at, upsets)


def prepare(rating: Rating, upsets: Sequence[Upset], case: int, duration: float, factors: Factors
            ) -> tuple[Course, Knots, Liquid]:
    """Conditions over time, and the network along them."""
    inputs = rating.inputs
    model = rating.situation.models[rating.situation.model_of[case]]
    rated = {"flow": float(inputs.flow[case]), "speed": float(inputs.speed[case]),
             "suction_pressure": float(inputs.pressure[case]), "suction_temperature": float(inputs.temperature[case])}
    course = course_of(upsets, rated, duration, model.liquid)
    return course, knots_of(rating, case, course, factors), model.liquid


def grid(course: Course, duration: float) -> Array:
    """Times of the output: fine after each change of the conditions, coarser later."""
    pieces = [np.linspace(0.0, duration, LEAST_POINTS + 1), course.time]
    for begins in course.time:
        pieces.append(begins + np.geomspace(0.02, 120.0, 60))
    time = np.unique(np.concatenate(pieces))
    return np.asarray(time[(time >= 0) & (time <= duration)])


def beginning(course: Course, knots: Knots) -> Array:
    """States at time zero: the rated ones, or an empty pump, or a pump that stands."""
    start = knots.start.copy()
    if not course.filled:
        air = knots.constants[rhs.AIR]
        start[:rhs.CASING], start[rhs.VAPOUR], start[rhs.GAS] = air, 1.0, 1.0
        start[[rhs.CASING, rhs.BEARING, rhs.INNER, rhs.OUTER]] = air
    if not course.coupled:
        start[rhs.SPIN] = 0.0
        if course.filled:
            rear = knots.constants[rhs.CAPACITY_AT]          # as the circulation arrives, behind a cooler cool
            start[:rhs.CASING] = start[rhs.BEARING] = start[rhs.INNER] = rear
            start[rhs.CASING], start[rhs.OUTER] = knots.table[0, rhs.SUCTION_T], knots.constants[rhs.AIR]
    return start


def follow(course: Course, knots: Knots, liquid: Liquid, time: Array, rougher: float = 1.0) -> Followed:
    """Integrate; from where the pump asks for more torque than the magnets carry, go on out of step.

    The margin of the magnets is taken as straight between two times of the output; where it ends is one more of them.
    """
    start = beginning(course, knots)
    states = _integrate(knots, liquid, start, time, slipping=False, rougher=rougher)
    margin = carried_margin(knots, liquid, time, states)
    prescribed = course.at("out_of_step", time) > 0.5
    lost = np.flatnonzero((margin < 0) & ~prescribed)
    first = int(np.flatnonzero(prescribed)[0]) if prescribed.any() else time.size
    if not lost.size or lost[0] >= first:
        return Followed(time, states, float(time[first]) if first < time.size else np.inf)
    after = int(lost[0])
    before = max(after - 1, 0)
    slips_at, last = float(time[before]), states[before]
    if margin[before] > 0:
        slips_at += float(margin[before] / (margin[before] - margin[after]) * (time[after] - time[before]))
    if slips_at > time[before] + INSTANT:
        last = _integrate(knots, liquid, last, np.array([time[before], slips_at]), slipping=False, rougher=rougher)[-1]
    kept = time < slips_at - INSTANT
    time = np.concatenate([time[kept], [slips_at], time[time > slips_at + INSTANT]])
    rest = _integrate(knots, liquid, last, time[kept.sum():], slipping=True, rougher=rougher)
    return Followed(time, np.concatenate([states[kept], rest]), slips_at)


def _integrate(knots: Knots, liquid: Liquid, start: Array, time: Array, *, slipping: bool, rougher: float = 1.0
               ) -> Array:
    tolerance = np.full(rhs.STATES, KELVIN)
    tolerance[[rhs.VAPOUR, rhs.GAS, rhs.CASING_VAPOUR, rhs.SPIN, rhs.LEVEL]] = SHARE
    tolerance[[rhs.HEAT_IN, rhs.HEAT_OUT]] = JOULE
    times = knots.time
    breaks = times[(times > time[0]) & (times < time[-1])]
    steps = np.union1d(time, breaks)        # the solver may not step over a change of the conditions
    held = knots.table, times, knots.constants, liquid.arrays, slipping
    with warnings.catch_warnings():
        warnings.simplefilter("error", ODEintWarning)
        try:
            states = odeint(entry(rhs.rates, float(time[0]), start, *held), start, steps, held,  # type: ignore[call-overload]
                            rtol=rougher * RELATIVE, atol=rougher * tolerance, mxstep=20000, tfirst=True,
                            tcrit=breaks if breaks.size else None)
        except ODEintWarning as warning:
            raise LimitError("the course of this upset cannot be followed: its conditions change too fast for the "
                             "solver; let the cause come more slowly, or look at a shorter time") from warning
    return np.asarray(states[np.searchsorted(steps, time)])


def carried_margin(knots: Knots, liquid: Liquid, time: Array, states: Array) -> Array:
    """Pull-out torque less the torque asked, along the course [N m]."""
    told = np.asarray(rhs.torques(time, states, knots.table, knots.time, knots.constants, liquid.arrays))
    return np.asarray(told[:, 1] - told[:, 0])
