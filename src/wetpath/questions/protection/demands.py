"""What an instrument has to act before: levels of its signal that follow from curve, liquid, shell and limits."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells as ring
from wetpath.circulation import solve
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.heat.temperature_class import class_limit
from wetpath.questions.protection.signals import (
    after_annulus,
    current_share,
    motor_input,
    suction_vapour,
)
from wetpath.rating.checks.liquid_limits import lowest_onset
from wetpath.rating.flow_limits import power_over_no_flow
from wetpath.rating.rate import Rating
from wetpath.upsets import KINDS
from wetpath.upsets.knots import COVER
from wetpath.words import told

Array = NDArray[np.float64]

#: Share of the largest duty above which a high-power trip stands, share of the head that has to be left, share of the
#: free travel of worn bearings. Common practice, no source.
OVER_DUTY, HEAD_LEFT, FREE_TRAVEL = 1.10, 0.5, 0.75
#: The outlet of a vessel lies so far below the lowest level of the cases [m]. Assumed.
OUTLET_BELOW = KINDS["vessel emptied"].parameters["above_outlet"].default


@dataclass(frozen=True, eq=False)
class Demand:
    """A level that the true signal must not pass unseen, first axis the case; NaN where there is none."""

    text: str
    level: Array


Levels = Callable[[Rating], tuple[Demand, ...]]


def demands_on(name: str, rating: Rating) -> tuple[Demand, ...]:
    """Levels that an instrument has to act before, by its name."""
    found = _LEVELS[name](rating)
    return tuple(one for one in found if not np.isnan(one.level).all())


def _low_shaft(rating: Rating) -> tuple[tuple[str, Array], ...]:
    situation, losses = rating.situation, rating.losses
    return (("closed discharge, no flow", losses.shaft - power_over_no_flow(situation)),
            ("dry running or rings out of step", losses.eddy + losses.dry_side))


def _low_power(rating: Rating) -> tuple[Demand, ...]:
    return tuple(Demand(text, motor_input(rating.situation, shaft)) for text, shaft in _low_shaft(rating))


def _low_current(rating: Rating) -> tuple[Demand, ...]:
    return tuple(Demand(text, current_share(rating.situation, shaft)) for text, shaft in _low_shaft(rating))


def _high_power(rating: Rating) -> tuple[Demand, ...]:
    situation = rating.situation
    count = situation.count
    nameplate = motor_input(situation, np.full(count, situation.pump.driver.rated_power))
    largest = motor_input(situation, rating.losses.shaft).max() * OVER_DUTY
    return (Demand("nameplate of the motor", nameplate),
            Demand("110 % of the largest duty", np.full(count, largest)))


def _low_flow(rating: Rating) -> tuple[Demand, ...]:
    least = rating.flow_limits.minimum
    return (Demand("least flow", np.where(np.isfinite(least), least, np.nan)),
            Demand("no flow", np.zeros(rating.situation.count)))


def _margin_left(rating: Rating) -> tuple[tuple[str, Array], ...]:
    """What is left of the suction pressure until something fails [Pa]."""
    situation = rating.situation
    stations = situation.pressure_margin.min(axis=1)
    asked = rating.practice["vapour_margin_pressure"].value
    density = situation.scalars[:, solve.DENSITY_IN]
    head = (situation.npsh_available - rating.point.npsh_required) * density * STANDARD_GRAVITY
    return (("vapour margin of the practice", stations - asked), ("NPSH3", head),
            ("liquid lost at a station", stations))


def _low_suction_pressure(rating: Rating) -> tuple[Demand, ...]:
    vapour = suction_vapour(rating.situation)      # below it nothing but vapour comes
    return tuple(Demand(text, np.fmax(rating.inputs.pressure - left, vapour)) for text, left in _margin_left(rating))


def _low_suction_margin(rating: Rating) -> tuple[Demand, ...]:
    above = rating.inputs.pressure - suction_vapour(rating.situation)
    return tuple(Demand(text, np.maximum(above - left, 0.0)) for text, left in _margin_left(rating))


def _low_level(rating: Rating) -> tuple[Demand, ...]:
    vessels = rating.situation.demands.vessels
    if vessels is None:
        return ()
    weight = rating.situation.scalars[:, solve.DENSITY_IN] * STANDARD_GRAVITY
    covered = np.where(np.isnan(vessels.level), np.nan, vessel_outlet(rating) + COVER * rating.pump.casing.suction_bore)
    return (*(Demand(text, vessels.level - left / weight) for text, left in _margin_left(rating)),
            Demand(f"a bore above the outlet of the vessel, taken {OUTLET_BELOW:g} m below the lowest level", covered))


def vessel_outlet(rating: Rating) -> float:
    """Height of the outlet of the vessel above the shaft: so far below the lowest level of all cases [m]."""
    vessels = rating.situation.demands.vessels
    return np.nan if vessels is None else float(np.nanmin(vessels.level)) - OUTLET_BELOW


def _high_suction_temperature(rating: Rating) -> tuple[Demand, ...]:
    left = rating.situation.temperature_margin.min(axis=1)
    asked = rating.practice["vapour_margin_temperature"].value
    now = rating.inputs.temperature
    return (Demand("vapour margin of the practice", now + left - asked), Demand("liquid lost at a station", now + left))


def _boiling_at_wall(rating: Rating) -> Array:
    boiling = rating.situation.cells[:, ring.CELL_BOILING].min(axis=1)
    return np.where(np.isfinite(boiling), boiling, np.nan)


def _shell(rating: Rating) -> tuple[Demand, ...]:
    situation, pump = rating.situation, rating.pump
    count = situation.count
    margin = rating.practice["wall_margin_temperature"].value
    site, material = rating.enquiry.site, pump.shell_material
    limit = material.highest_temperature
    if np.isnan(limit) and len(material.allowable_temperatures) > 1:
        limit = material.allowable_temperatures[-1]
    area = np.nan if site.temperature_class == "none" else class_limit(site.temperature_class, with_margin=True)
    asked = told(" with {margin:g} K of the practice", margin=margin) if margin else ""
    return (Demand(told("liquid boils at the wall{asked}", asked=asked), _boiling_at_wall(rating) - margin),
            Demand("liquid decomposes or polymerises at the wall", lowest_onset(situation)),
            Demand(told("temperature class {temperature_class} less the margin of the standard",
                        temperature_class=site.temperature_class), np.full(count, area)),
            Demand("limit of the inner magnets", np.full(count, pump.inner_magnet.highest_temperature)),
            Demand("limit of the shell material", np.full(count, limit)))


def _shell_over_suction(rating: Rating) -> tuple[Demand, ...]:
    return tuple(Demand(one.text, one.level - rating.inputs.temperature) for one in _shell(rating))


def _high_return(rating: Rating) -> tuple[Demand, ...]:
    situation = rating.situation
    boiling = situation.solution.states.boiling[np.arange(situation.count), after_annulus(situation)]
    asked = rating.practice["vapour_margin_temperature"].value
    return (Demand("vapour margin of the practice", boiling - asked), Demand("liquid boils in the return", boiling))


def _high_return_rise(rating: Rating) -> tuple[Demand, ...]:
    return tuple(Demand(one.text, one.level - rating.inputs.temperature) for one in _high_return(rating))


def _low_differential(rating: Rating) -> tuple[Demand, ...]:
    return (Demand("half of the head lost", HEAD_LEFT * _head_pressure(rating)),
            Demand("no head", np.zeros(rating.situation.count)))


def _head_pressure(rating: Rating) -> Array:
    return rating.situation.scalars[:, solve.DENSITY_IN] * STANDARD_GRAVITY * rating.point.head


def _low_discharge(rating: Rating) -> tuple[Demand, ...]:
    return (Demand("half of the head lost", rating.inputs.pressure + HEAD_LEFT * _head_pressure(rating)),
            Demand("no head", rating.inputs.pressure))


def _high_discharge(rating: Rating) -> tuple[Demand, ...]:
    shut_off = rating.situation.scalars[:, solve.DENSITY_IN] * STANDARD_GRAVITY * rating.point.shut_off_head
    return (Demand("closed discharge", rating.inputs.pressure + shut_off),)


def _vibration(rating: Rating) -> tuple[Demand, ...]:
    return (Demand("rings out of step, bearings dry", np.full(rating.situation.count, 2.0)),)


def _wear(rating: Rating) -> tuple[Demand, ...]:
    pump = rating.pump
    free = (pump.containment_shell.bore - pump.inner_ring.sheath_diameter) / 2
    clearance = min(bearing.clearance for bearing in pump.journal_bearings)
    return (Demand("three quarters of the way to the shell",
                   np.full(rating.situation.count, max(FREE_TRAVEL * free / clearance, 1.0))),)


def _leak(rating: Rating) -> tuple[Demand, ...]:
    return (Demand("shell at the limit of its material, from where on it may be breached",
                   np.full(rating.situation.count, 1.0)),)


_LEVELS: dict[str, Levels] = {
    "low_power": _low_power, "high_power": _high_power, "low_current": _low_current, "low_flow": _low_flow,
    "low_suction_pressure": _low_suction_pressure, "low_suction_margin": _low_suction_margin, "low_level": _low_level,
    "high_suction_temperature": _high_suction_temperature, "shell_temperature": _shell,
    "shell_over_suction": _shell_over_suction, "high_return_temperature": _high_return,
    "high_return_rise": _high_return_rise, "low_differential_pressure": _low_differential,
    "low_discharge_pressure": _low_discharge, "high_discharge_pressure": _high_discharge, "vibration": _vibration,
    "bearing_wear": _wear, "leak_outside_shell": _leak}
