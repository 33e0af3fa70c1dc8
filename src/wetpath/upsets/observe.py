"""What instruments would see of solved states, what happens when, and which limits of the model were crossed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation.outcome import Outcome
from wetpath.circulation.passage_states import temperatures_when_full
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.electrical.motor_current import current_of_load
from wetpath.physics.electrical.motor_loss import motor_loss
from wetpath.physics.heat.temperature_class import class_limit
from wetpath.physics.validity import limit, messages
from wetpath.rating.rate import Rating
from wetpath.rating.standstill_state import STEPS
from wetpath.upsets import right_side as rhs
from wetpath.upsets.course import Course
from wetpath.upsets.knots import OF_THE_LIQUID, Knots
from wetpath.upsets.right_side import BANDS
from wetpath.upsets.timeline import Event, Timeline
from wetpath.upsets.upset import KINDS, Upset
from wetpath.words import told

Array = NDArray[np.float64]

#: Liquid is lost where less than this volume share of it is left; head is lost below that one.
LIQUID_LOST, PRIMING_LOST = 0.9, 0.5
#: The level of a vessel with a surface from this on counts as standing [m2].
LARGEST_VESSEL = 1e6
#: The prime is there again with this share of the head.
PRIME_BACK = 0.9
#: With less liquid than this share no margin of it is told, and the space counts as empty.
EMPTY = 0.05
#: Above this wall temperature radiation counts [K].
HOT = 573.15
CLASSES = ("T6", "T5", "T4", "T3", "T2", "T1")


def observe(rating: Rating, case: int, course: Course, knots: Knots, time: Array, states: Array, slips_at: float,
            upsets: Sequence[Upset]) -> Timeline:
    """Observables, events and warnings along a solved course."""
    situation, pump = rating.situation, rating.pump
    liquid = situation.models[situation.model_of[case]].liquid
    c, network = knots.constants, knots.states

    def at(values: Array) -> Array:
        flat = values.reshape(values.shape[0], -1)
        columns = [np.interp(time, knots.time, column) for column in flat.T]
        return np.asarray(np.stack(columns, axis=1).reshape(time.size, *values.shape[1:]))

    now = at(knots.table)
    torque, pull_out, left, eddy = rhs.torques(time, states, knots.table, knots.time, c, liquid.arrays).T
    slipping = time >= slips_at
    inner_speed = states[:, rhs.SPIN] * c[rhs.RATED_SPEED]
    faster = inner_speed / now[:, rhs.SOLVED_SPEED]
    drive = np.sqrt(left) * np.maximum(faster, 0.0)
    vapour, gas = np.clip(states[:, rhs.VAPOUR], 0, 1), np.clip(states[:, rhs.GAS] + states[:, rhs.CASING_VAPOUR], 0, 1)
    from_casing = c[rhs.FROM_CASING] > 0.5
    circulation = now[:, rhs.ANNULUS_FLOW] * (1 - vapour) * (1 - gas) * (drive if from_casing else 1.0)
    inlet = states[:, rhs.CASING] + now[:, rhs.INLET_OFFSET] if from_casing else now[:, rhs.INLET_FIXED]
    suction = np.maximum(now[:, rhs.SUCTION_P] + now[:, rhs.DENSITY] * STANDARD_GRAVITY * states[:, rhs.LEVEL], 1.0)
    rise = left * np.maximum(faster, 0.0) ** 2
    walls, liquids = states[:, :BANDS], states[:, BANDS:2 * BANDS]
    heating = np.clip(rise, 0.0, 1.0)[:, None] * (1 - vapour)[:, None]
    outside = walls + at(knots.shell_drop) * np.where(slipping[:, None], c[rhs.SLIP_OUTER], 1.0) * np.clip(
        eddy / max(eddy[0], 1e-9), 0, 2)[:, None]
    hottest = (walls + knots.hot_over_mean * heating).max(axis=1)

    stations = at(network.pressure - np.maximum(course["suction_pressure"], 1e3)[:, None]) * rise[:, None] + suction[
        :, None]
    temperature = inlet[:, None] + at(knots.station_offset) + at(knots.station_share) * (
        liquids[:, -1] - inlet)[:, None]
    margin = np.where(np.isnan(temperature), np.nan, stations - now[:, rhs.VAPOUR_SHARE, None]
                      * liquid.vapour_pressure(temperature))
    margin = np.where((vapour > 1 - EMPTY)[:, None], np.nan, margin)
    boiling = liquid.saturation_temperature(np.maximum(suction + now[:, rhs.REAR_RISE] * rise, 1.0)
                                            / now[:, rhs.VAPOUR_SHARE])

    outer_speed = now[:, rhs.OUTER_SPEED]
    slip = np.maximum(outer_speed - inner_speed, 0.0)
    out_of_step = now[:, rhs.SLIP_FACTOR] * eddy * c[rhs.SLIP_OUTER] + c[rhs.CARRY] * slip * outer_speed
    dry_side = knots.dry_side * (outer_speed / outer_speed[0]) ** 2
    brake = 0.5 * eddy  # the torque on the inner ring already holds the rest of the braking power
    shaft = np.where(slipping, out_of_step + dry_side, torque * outer_speed + brake + dry_side)
    rated_shaft = float(situation.losses.shaft[case])
    if not slipping[0] and course.filled:
        shaft = np.where(slipping, shaft, np.maximum(shaft + (rated_shaft - shaft[0]) * (outer_speed / outer_speed[0])
                                                     ** 2, 0.0))
    driver = pump.driver
    running = outer_speed > 0.01 * outer_speed.max()
    motor = np.where(running, shaft + motor_loss(shaft, driver.rated_power, situation.driver.efficiency), 0.0)
    current = np.where(running, current_of_load(shaft / driver.rated_power), 0.0)

    bearing_wet = (1 - vapour) * (1 - gas)
    static = c[rhs.STATIC_SHARE]
    over = np.maximum((rise - static) / (1 - static), 0.0)
    flow = now[:, rhs.MAIN_FLOW] / now[:, rhs.DENSITY] * over * np.sqrt((1 + rhs.ROUNDING) / (over + rhs.ROUNDING))
    level = np.full(time.size, np.nan)
    vessels = situation.demands.vessels
    if vessels is not None:
        level = float(vessels.level[case]) + states[:, rhs.LEVEL]
    empties = bool((course["vessel_area"] < LARGEST_VESSEL).any())
    over_outlet = course["vessel_outlet"].min() + states[:, rhs.LEVEL] if empties else np.full(time.size, np.nan)
    vibration = np.where(slipping | (bearing_wet < 0.5), 2, np.where((gas > 0.02) | (left < 0.97), 1, 0))
    angle = np.where(slipping | (torque > pull_out), np.nan, _load_angle(pump, torque, pull_out, case, situation))
    liquid_heat = (warmth(c, liquids).sum(axis=1) * (1 - states[:, rhs.VAPOUR] + rhs.LEFT) * c[rhs.BAND_MASS_HEAT]
                   + (c[rhs.CASING_HEAT] - c[rhs.CASING_METAL]) * warmth(c, states[:, rhs.CASING]))
    stored = (states[:, :BANDS] * c[rhs.WALL_HEAT]).sum(axis=1) + liquid_heat * now[:, rhs.INVENTORY]
    for place, heat in ((rhs.CASING, rhs.CASING_METAL), (rhs.BEARING, rhs.BEARING_HEAT), (rhs.INNER, rhs.RING_HEAT)):
        stored = stored + states[:, place] * c[heat]

    line = Timeline(
        time=time, outer_speed=outer_speed, inner_speed=inner_speed, shaft_power=shaft, motor_power=motor,
        current_share=current, suction_pressure=suction, discharge_pressure=suction + now[:, rhs.CASING_RISE] * rise,
        flow=flow, suction_temperature=now[:, rhs.SUCTION_T], casing_temperature=states[:, rhs.CASING],
        return_temperature=liquids[:, -1], annulus_flow=circulation, shell_wall=outside, annulus_liquid=liquids,
        bearing_temperature=states[:, rhs.BEARING], magnet_temperature=states[:, rhs.INNER],
        outer_magnet_temperature=states[:, rhs.OUTER], rear_liquid_share=1 - vapour, casing_liquid_share=1 - gas,
        bearing_liquid_share=bearing_wet, bearing_dry_time=states[:, rhs.DRY],
        bearing_clearance_share=course.at("clearance", time), station_names=tuple(pump.network.stations),
        station_margin=margin, wall_margin=np.where(vapour > 1 - EMPTY, np.nan, boiling - hottest),
        torque=torque, pull_out=pull_out, load_angle=angle,
        vessel_level=level, over_outlet=over_outlet, vibration_class=vibration,
        heat_in=states[:, rhs.HEAT_IN], heat_out=states[:, rhs.HEAT_OUT],
        heat_stored=stored - stored[0], slip_loss_share=float(c[rhs.SLIP_OUTER]), events=(), warnings=())
    return _with(line, rating, case, course, knots, left, slips_at, upsets)


def warmth(c: Array, temperature: Array) -> Array:
    """`right_side.warmth` of many temperatures."""
    above = temperature - c[rhs.CAPACITY_AT]
    return np.asarray(temperature + 0.5 * c[rhs.CAPACITY_SLOPE] * above**2)


def _load_angle(pump: object, torque: Array, pull_out: Array, case: int, situation: object) -> Array:
    """Load angle of a sine through the pull-out torque, scaled to that of the rating [rad]."""
    rated = float(situation.solved.load_angle[case])  # type: ignore[attr-defined]
    sine = np.arcsin(np.clip(torque / pull_out, -1, 1))
    return np.asarray(sine * (rated / sine[0] if abs(sine[0]) > 1e-9 else 1.0))


def _with(line: Timeline, rating: Rating, case: int, course: Course, knots: Knots, left: Array, slips_at: float,
          upsets: Sequence[Upset]) -> Timeline:
    pump = rating.pump
    time = line.time
    events = []
    if upsets:
        running = course.filled and course.coupled
        events.append(Event("cause", min(one.start for one in upsets) if running else 0.0,
                            f"cause begins: {', '.join(KINDS[one.kind].title for one in upsets)}"))
    material = pump.shell_material
    hottest = line.shell_wall.max(axis=1)
    shell_limit = material.highest_temperature
    if np.isnan(shell_limit) and len(material.allowable_temperatures) > 1:
        shell_limit = material.allowable_temperatures[-1]
    marks = [
        ("margin lost", -np.nan_to_num(line.station_margin, nan=np.inf).min(axis=1), 0.0,
         f"the liquid reaches its vapour pressure, first at {_least_margin(line, pump)}"),
        ("wall boils", np.nan_to_num(-line.wall_margin, nan=-1.0), 0.0, "the wall under the magnets reaches boiling"),
        ("liquid lost behind", LIQUID_LOST - line.rear_liquid_share, 0.0, "a tenth of the liquid behind is vapour"),
        ("rear empty", EMPTY - line.rear_liquid_share, 0.0, "the space behind is empty of liquid"),
        ("priming lost", PRIMING_LOST - left, 0.0, "half of the head is lost"),
        ("gas drawn in", -line.over_outlet, -knots.constants[rhs.COVER],
         "the outlet of the vessel is covered by less than a bore: gas comes in"),
        ("bearings dry", line.bearing_dry_time, knots.dry_seconds,
         f"the bearings ran dry for {knots.dry_seconds:.0f} s"),
        ("magnet limit", line.magnet_temperature, pump.inner_magnet.highest_temperature,
         "the inner magnets reach the limit of their grade"),
        ("shell limit", hottest, shell_limit, "the shell reaches the limit of its material"),
        ("relief pressure", _shut_in(course, line, knots), _full_at(rating, case, course, line, knots),
         "liquid shut in reaches the relief pressure by expansion, if it fills the pump and nothing gives way"),
        *((f"temperature class {name}", hottest, class_limit(name, with_margin=False),
            told("the shell outside passes class {name}", name=name)) for name in CLASSES)]
    marks += _coming_back(line, left)
    for name, values, level, text in marks:
        if np.isnan(level):
            continue
        when = _crossing(time, values, level)
        if np.isfinite(when) and (when > 0 or values[0] >= level):
            events.append(Event(name, when, text))
    if np.isfinite(slips_at):
        events.append(Event("out of step", slips_at, "the rings fall out of step"))
    line = replace(line, events=tuple(sorted(events, key=lambda one: one.time)))
    low, high = rating.situation.models[rating.situation.model_of[case]].liquid.temperature_range
    warnings = messages(
        limit("liquid boils in the rated state already: the simulation begins on the way from it to a worse one",
              rating.outcomes[case] not in (Outcome.LIQUID, Outcome.WALL_BOILING, Outcome.UNKNOWN)),
        limit("the vapour pressure of the liquid is not known: nothing boils here, which says nothing about the pump",
              rating.outcomes[case] == Outcome.UNKNOWN),
        limit("below the least flow at which the network is solved the circulation is carried on with the head",
              bool((course["flow"] < 0.08 * float(rating.point.best_flow[case])).any())),
        limit("the network did not close at some conditions: the last state that closed is kept", knots.stuck),
        limit("the annulus flows backwards: it is taken as stalled", knots.backwards),
        limit("the heat capacity of the liquid changes more with temperature than is followed here", knots.bent),
        limit("another liquid: its density, viscosity, heat capacity and vapour pressure are those told; conductivity, "
              "latent heat and expansion are taken from the rated liquid, and it is everywhere in the pump at once",
              any(bool((course[name] != 1.0).any()) for name in OF_THE_LIQUID)),
        limit("vapour and liquid are an even mixture in the whole rear space; where it collects is not computed",
              bool((line.rear_liquid_share < 0.99).any())),
        limit("head with gas falls as common practice says, half at 8 % by volume; pumps differ by a factor of two",
              bool((line.casing_liquid_share < 0.99).any())),
        limit("dry bearings: friction 0.15 and 30 s are common practice without a source",
              bool((line.bearing_liquid_share < 0.9).any())),
        limit("the shell is hotter than 300 °C: without conduction along it, and with an emissivity of "
              f"{knots.constants[rhs.EMISSIVITY]:g} for its radiation, it is a rough value",
              bool((hottest > HOT).any())),
        limit(f"{knots.constants[rhs.STATIC_SHARE]:.0%} of the head is taken as static in the system, which tells when "
              "the flow stops",
              bool((line.flow < 0.9 * course.at("flow", time)).any())),
        limit("the liquid that a pump holds is taken to stay in it when the prime is lost; where it can run back out "
              "of the suction, take the dry start as the worst case",
              bool((left < PRIMING_LOST).any()) and course.filled),
        limit("liquid comes back to a shell hotter than boiling: steam, and the shock to shell and ceramics, are not "
              "computed", _quenched(line)),
        limit("the vessel is taken as upright, gas as coming in from one bore of liquid above its outlet on, and the "
              "loss of the suction line as it is", bool(np.isfinite(line.over_outlet).any())),
        limit("losses out of step are means of the model: the factor on them is an input",
              bool(np.isfinite(slips_at))),
        limit("a temperature leaves the property table of the liquid: it is held at its end",
              bool((line.annulus_liquid > high).any() or (line.suction_temperature > high).any()
                   or (line.suction_temperature < low).any())),
        limit("liquid between closed valves is taken to boil at the suction pressure, as with some gas in it; one that "
              "fills the pump builds up pressure instead, and a relief valve is needed",
              bool((course["open"] < 0.5).any())))
    return replace(line, warnings=warnings)


def _coming_back(line: Timeline, left: Array) -> list[tuple[str, Array, float, str]]:
    """Marks of head and liquid that come back after they were lost; NaN before."""
    marks = []
    for name, values, lost, back, text in (
            ("prime regained", left, PRIMING_LOST, PRIME_BACK, "nine tenths of the head are there again"),
            ("liquid back behind", line.rear_liquid_share, LIQUID_LOST, LIQUID_LOST,
             "liquid is back behind the impeller")):
        since = np.maximum.accumulate(values < lost)
        marks.append((name, np.where(since, values, np.nan), back, text))
    return marks


def _quenched(line: Timeline) -> bool:
    """Whether liquid comes back to a wall that is hotter than it boils there."""
    back = line.when("liquid back behind")
    if not np.isfinite(back):
        return False
    return bool(np.interp(back, line.time, np.nan_to_num(line.wall_margin, nan=-1.0)) < 0.0)


def _mean_liquid(line: Timeline, knots: Knots) -> Array:
    """Temperature of all liquid in the pump, by its heat [K]."""
    c = knots.constants
    rear, casing = rhs.BANDS * c[rhs.BAND_MASS_HEAT], c[rhs.CASING_HEAT] - c[rhs.CASING_METAL]
    return np.asarray((rear * line.annulus_liquid.mean(axis=1) + casing * line.casing_temperature) / (rear + casing))


def _shut_in(course: Course, line: Timeline, knots: Knots) -> Array:
    """The same where both valves are closed; NaN where not."""
    return np.where(course.at("open", line.time) < 0.5, _mean_liquid(line, knots), np.nan)


def _least_margin(line: Timeline, pump: PumpFile) -> str:
    """Station that is first below its vapour pressure."""
    margin = np.nan_to_num(line.station_margin, nan=np.inf)
    below = np.flatnonzero((margin <= 0.0).any(axis=1))
    name = line.station_names[int(margin[below[0]].argmin())] if below.size else ""
    title = next((one.title for one in pump.stations if one.name == name), "")
    return f"station {name}, {title}" if title else f"station {name}"


def _full_at(rating: Rating, case: int, course: Course, line: Timeline, knots: Knots) -> float:
    """Mean temperature at which liquid shut in has reached the relief pressure by expansion [K]; NaN: not shut in."""
    shut = np.flatnonzero(~np.isnan(_shut_in(course, line, knots)))
    if not shut.size:
        return np.nan
    situation, casing = rating.situation, rating.pump.casing
    liquid = situation.models[situation.model_of[case]].liquid
    begins = _mean_liquid(line, knots)[shut[:1]]
    relief = float(casing.relief_pressure or casing.pressure_rating)
    density = np.asarray(liquid.state(begins, line.discharge_pressure[shut[:1]]).density)
    return float(temperatures_when_full(liquid.arrays, begins, density, relief, float(liquid.temperature_range[1]),
                                        STEPS)[0])


def _crossing(time: Array, values: Array, level: float) -> float:
    """When values first reach a level, straight between points; from where they are known, when they begin above it."""
    above = np.flatnonzero(values >= level)
    if not above.size:
        return float("inf")
    first = int(above[0])
    if first == 0 or np.isnan(values[first - 1]):
        return float(time[first])
    before, after = float(values[first - 1]), float(values[first])
    share = (level - before) / (after - before) if after > before else 1.0
    return float(time[first - 1] + share * (time[first] - time[first - 1]))
