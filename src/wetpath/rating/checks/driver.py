"""The motor: its power with margin, at every case and over the whole curve, its speed and its efficiency."""

import numpy as np

from wetpath.edge.quantities import NUMBER, POWER, RATIO, ROTATIONAL_SPEED, VOLUME_FLOW
from wetpath.edge.units import express
from wetpath.physics.electrical.motor import margin_asked
from wetpath.rating.check import Check, check
from wetpath.rating.driver_state import power_available
from wetpath.rating.situation import Situation
from wetpath.words import told


def rating(situation: Situation) -> Check:
    """What the motor gives at its site over shaft power of rated and normal cases, by the practice's margin rule."""
    practice, state = situation.practice, situation.driver
    asked = float(margin_asked(state.rated_power, (practice["motor_margin_first_break"].value,
                                                   practice["motor_margin_second_break"].value),
                               (practice["motor_margin_small"].value, practice["motor_margin_medium"].value,
                                practice["motor_margin_large"].value)))
    limit = min((practice[name] for name in ("motor_margin_small", "motor_margin_medium", "motor_margin_large")),
                key=lambda one: abs(one.value - asked))
    return check("motor_margin", "motor power at the site over shaft power", NUMBER,
                 state.available / situation.losses.shaft, asked, sense="at least",
                 applies=situation.demands.in_preferred, by_choice=True, where="motor", source=limit.source,
                 status=limit.status, meaning=limit.meaning, remedy=_remedy(situation, limit.remedy))


def nameplate(situation: Situation) -> Check:
    """Shaft power of every case against what the motor gives at its site and at this speed."""
    return check("nameplate", "shaft power", POWER, situation.losses.shaft, power_available(situation),
                 sense="at most", by_choice=True, where="motor", source="common-practice", status="common practice",
                 meaning="no case may take more than the power on the nameplate, less what warm or thin air and a low "
                         "speed on an inverter cost",
                 remedy="a larger motor, a smaller impeller, or a limit on flow with the denser liquid")


def end_of_curve(situation: Situation) -> Check:
    """Largest shaft power from shut-off to the end of the curve; not where somebody holds the flow by hand."""
    state = situation.driver
    flows = state.highest_power_flow.tolist()
    places = {flow: told("at {flow}", flow=express(flow, VOLUME_FLOW)) for flow in set(flows)}
    return check("end_of_curve_power", "largest shaft power over the whole curve", POWER, state.highest_power,
                 state.available, sense="at most", applies=~situation.demands.supervised, by_choice=True,
                 where=tuple(places[flow] for flow in flows),
                 source="common-practice", status="common practice",
                 meaning="when the flow control fails or the system takes more than was thought, the motor must not be "
                         "overloaded; not asked of cold start, cleaning, flush and works test, whose flow is watched",
                 remedy=_remedy(situation, "a larger motor, a smaller impeller, or an orifice that holds the flow"))


def supply_frequency(situation: Situation) -> Check:
    """Speed of the motor against the field of the supply."""
    driver, frequency = situation.pump.driver, situation.demands.site.frequency
    return check("supply_frequency", told("speed of the motor off the field of {frequency} Hz", frequency=frequency),
                 RATIO,
                 np.full(situation.count, situation.driver.off_synchronous),
                 situation.practice["motor_speed_off_field"], applies=driver.inverter is None, by_choice=True,
                 where="motor")


def slowest(situation: Situation) -> Check:
    """Speed of every case against the lowest of the inverter."""
    return _speed(situation, "inverter_lowest_speed", "speed, lowest of the inverter", "at least")


def fastest(situation: Situation) -> Check:
    """Speed of every case against the highest of the inverter."""
    return _speed(situation, "inverter_highest_speed", "speed, highest of the inverter", "at most")


def efficiency(situation: Situation) -> Check:
    """Efficiency of the motor against the class the enquiry asks."""
    state = situation.driver
    asked = state.class_asked or "the class"
    return check("motor_efficiency", "efficiency of the motor", RATIO, np.full(situation.count, state.efficiency),
                 state.efficiency_asked, sense="at least", applies=bool(state.class_asked), scale=0.05, by_choice=True,
                 where="motor",
                 source="iec-60034-30-1", status="recalled",
                 meaning=told("least efficiency of {asked} at this rating and number of poles", asked=asked),
                 remedy="a motor of a better efficiency class")


def _speed(situation: Situation, name: str, title: str, sense: str) -> Check:
    inverter = situation.pump.driver.inverter
    limit = np.nan if inverter is None else (inverter.lowest_speed if sense == "at least" else inverter.highest_speed)
    return check(name, title, ROTATIONAL_SPEED, situation.solved.inputs.speed, limit,
                 sense="at least" if sense == "at least" else "at most", applies=inverter is not None, by_choice=True,
                 where="motor", source="pump-file", status="given", meaning="range of speed of the inverter",
                 remedy="another speed, or an inverter and motor of a wider range")


def _remedy(situation: Situation, otherwise: str) -> str:
    """Names the motor of the series that would do, when it is another than the one fitted."""
    state = situation.driver
    if not np.isfinite(state.recommended) or state.recommended <= state.rated_power * (1 + 1e-9):
        return otherwise
    return told("{remedy}; a motor of {recommended} would do", remedy=otherwise,
                recommended=express(state.recommended, POWER))
