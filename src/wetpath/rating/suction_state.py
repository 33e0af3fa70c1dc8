"""The suction side of every case: flange pressure out of a vessel, NPSH, what warm circulation costs, gas."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.edge.practice import Limit as PracticeLimit
from wetpath.edge.quantities import PRESSURE, RATIO, TEMPERATURE
from wetpath.edge.units import express
from wetpath.liquids.liquid import Liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.pump.dissolved_gas import (
    carried_gas_share,
    degassing_pressure,
    dissolved_share,
    released_gas_share,
)
from wetpath.physics.pump.npsh import (
    npsh_available,
    npsh_needed_chemical,
    npsh_needed_hydrocarbon,
    suction_pressure_needed,
)
from wetpath.physics.validity import Limit, limit
from wetpath.rating.suction_entries import GasEntry, SuctionVessel
from wetpath.words import told

if TYPE_CHECKING:
    from wetpath.rating.pump_model import Selection
    from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

#: The suction line loses head with this power of the flow. Common practice.
LINE_EXPONENT = 2.0
#: No flange pressure is taken below this, where a line would lose more than there is [Pa].
LEAST_PRESSURE = 100.0
#: Largest gas share at which bubbles still move with the liquid.
BUBBLY_SHARE = 0.3


@dataclass(frozen=True)
class Vessels:
    """Vessels of the cases, first axis the case; NaN where a case has none."""

    level: Array         # height of the liquid above the shaft [m]
    line_loss: Array     # [m], at the flow of the case
    flow: Array          # that flow [m3/s]

    @property
    def given(self) -> NDArray[np.bool_]:
        """Cases that draw from a vessel."""
        return ~np.isnan(self.level)

    def chosen(self, cases: Selection) -> Vessels:
        """Those of some cases."""
        return Vessels(self.level[cases], self.line_loss[cases], self.flow[cases])


@dataclass(frozen=True)
class SuctionState:
    """The suction side, first axis the case; SI."""

    eye_rise: Array            # temperature in the impeller eye above that at the suction flange [K]
    npsh_without_return: Array  # NPSH available if no warm circulation came back to the eye [m]
    npsh_lost: Array           # what the warm circulation takes of it [m]
    npsh_needed: Array         # NPSH3 with the margin of the practice [m]
    level: Array               # of the liquid in the vessel above the shaft [m], NaN without a vessel
    lowest_level: Array        # down to which NPSH holds with its margin [m], NaN without a vessel
    degassing: Array           # degassing pressure where the gas share is largest [Pa], NaN without gas
    gas_share: Array           # largest gas share by volume, NaN without gas
    gas_at: tuple[str, ...]    # where that is
    limits: tuple[Limit, ...]


def suction_area(pump: PumpFile) -> float:
    """Clear area of the suction flange [m2]."""
    return float(np.pi * pump.casing.suction_bore**2 / 4)


def flange_pressure(vessel: SuctionVessel, vapour_pressure: float, density: float, velocity: float) -> float:
    """Pressure at the suction flange of a pump that draws from a vessel [Pa].

    ``velocity`` is that in the flange: what the liquid gained in speed it lacks in pressure there.
    """
    pressure = vapour_pressure if vessel.pressure is None else vessel.pressure
    head = npsh_available(pressure, vapour_pressure, density, elevation=vessel.level,
                          friction_loss=vessel.loss_at(density * STANDARD_GRAVITY))
    return float(suction_pressure_needed(head, vapour_pressure, density, velocity))


def pressure_at_flow(situation: Situation, cases: Selection, flow: Array) -> Array:
    """Pressure at the suction flange of cases at other flows [Pa].

    As given where it is given at the flange; out of a vessel with the line's loss and the speed in the flange at that
    flow.
    """
    given, vessels = situation.solved.inputs.pressure[cases], situation.demands.vessels
    if vessels is None or not vessels.given.any():
        return given
    own = vessels.flow[cases]
    density = situation.scalars[cases, solve.DENSITY_IN]
    dynamic = 0.5 * density / suction_area(situation.pump)**2
    lost = density * STANDARD_GRAVITY * vessels.line_loss[cases] * ((flow / own) ** LINE_EXPONENT - 1)
    found = given - lost - dynamic * (flow**2 - own**2)
    return np.where(vessels.given[cases], np.maximum(found, LEAST_PRESSURE), given)


def npsh_needed(situation: Situation) -> tuple[Array, PracticeLimit]:
    """NPSH3 with the margin that the practice asks of this service [m], and the limit that stands for the rule."""
    practice, point = situation.practice, situation.solved.point
    required = point.npsh_required
    if situation.demands.service == "hydrocarbon":
        rule = practice["npsh_margin_head_hydrocarbon"]
        return npsh_needed_hydrocarbon(required, practice["npsh_margin_ratio"].value, rule.value), rule
    preferred = ((point.flow_share >= practice["preferred_flow_lowest"].value)
                 & (point.flow_share <= practice["preferred_flow_highest"].value))
    rule = practice["npsh_margin_head_chemical"]
    return npsh_needed_chemical(
        required, point.suction_specific_speed, preferred, practice["npsh_margin_ratio"].value, rule.value,
        practice["npsh_margin_ratio_outside_preferred"].value, practice["npsh_margin_head_outside_preferred"].value,
        practice["npsh_suction_specific_speed_break"].value), rule


def suction_state(situation: Situation) -> SuctionState:
    """Work out the suction side of every case.

    Notes
    -----
    The lowest level is that at which NPSH just holds; the vapour margins inside the pump may ask for more. It takes
    the rise of temperature in the eye as it is at the given level. Gas is in equilibrium with the liquid, bubbles move
    with it: both on the safe side of what a fast passage makes.
    """
    inputs = situation.solved.inputs
    rise = situation.scalars[:, solve.EYE_TEMPERATURE] - inputs.temperature
    saturation = situation.per_liquid(lambda liquid, chosen: liquid.vapour_pressure(inputs.temperature[chosen]))
    cold = np.asarray(npsh_available(inputs.pressure, saturation, situation.scalars[:, solve.DENSITY_IN],
                                     inputs.flow / suction_area(situation.pump)))
    available, (needed, _) = situation.npsh_available, npsh_needed(situation)
    vessels = situation.demands.vessels
    level = np.full(situation.count, np.nan) if vessels is None else vessels.level
    degassing, share, places, limits = _gas(situation, saturation)
    return SuctionState(
        eye_rise=rise, npsh_without_return=cold, npsh_lost=cold - available, npsh_needed=needed, level=level,
        lowest_level=level - (available - needed), degassing=degassing, gas_share=share, gas_at=places, limits=limits)


def _gas(situation: Situation, saturation: Array) -> tuple[Array, Array, tuple[str, ...], tuple[Limit, ...]]:
    """Degassing pressure and gas share where that is largest, the place, and what must be said of it."""
    gas, count = situation.demands.gas, situation.count
    own = situation.model_of == 0
    if gas is None or not own.any():
        return np.full(count, np.nan), np.full(count, np.nan), ("",) * count, ()
    inputs, states = situation.solved.inputs, situation.solution.states
    pressure = np.column_stack([inputs.pressure, states.pressure])
    temperature = np.column_stack([inputs.temperature, states.temperature])
    vapour = np.column_stack([saturation, states.saturation])
    degas, share = _gas_at(gas, situation.liquid, pressure, temperature, vapour)
    degas, share = np.where(own[:, None], degas, np.nan), np.where(own[:, None], share, np.nan)
    at = np.argmax(np.where(np.isnan(share), -1.0, share), axis=1)
    worst = np.arange(count), at
    stations = situation.titles(np.maximum(at - 1, 0))
    places = tuple("suction flange" if index == 0 else station for index, station in zip(at, stations, strict=True))
    return degas[worst], share[worst], places, _gas_limits(gas, situation, pressure, temperature, degas, share, places)


def _gas_at(gas: GasEntry, liquid: Liquid, pressure: Array, temperature: Array, vapour: Array) -> tuple[Array, Array]:
    """Degassing pressure and gas share at places, first column the suction flange."""
    bubbles = carried_gas_share(gas.bubbles, (pressure - vapour)[:, :1], temperature[:, :1], pressure - vapour,
                                temperature)
    if not gas.henry_constant:
        return np.full_like(pressure, np.nan), bubbles
    henry = henry_at(gas, temperature)
    if gas.dissolved is not None:
        brought = np.full((pressure.shape[0], 1), gas.dissolved)
    else:
        reference = temperature[:, :1] if gas.saturated_temperature is None else np.full_like(
            temperature[:, :1], gas.saturated_temperature)
        brought = dissolved_share(gas.saturated_pressure, liquid.vapour_pressure(reference), henry_at(gas, reference))
    molar_volume = (np.nan if liquid.molar_mass is None else liquid.molar_mass) / liquid.state(
        temperature, pressure).density
    released = released_gas_share(brought, dissolved_share(pressure, vapour, henry), pressure, vapour, temperature,
                                  molar_volume)
    boils = (released >= 1) | (bubbles >= 1)
    with_liquid = sum(np.where(boils, 0.0, one) / (1 - np.where(boils, 0.0, one)) for one in (released, bubbles))
    return (np.asarray(degassing_pressure(vapour, henry, brought)),
            np.where(boils, 1.0, with_liquid / (1 + with_liquid)))


def henry_at(gas: GasEntry, temperature: Array) -> Array:
    """Henry constant at temperatures [Pa]: its logarithm on straight lines over 1/T, held at the ends."""
    if not gas.temperatures:
        return np.full_like(temperature, gas.henry_constant[0])
    return np.exp(np.interp(-1 / temperature, -1 / np.array(gas.temperatures), np.log(gas.henry_constant)))


def _gas_limits(gas: GasEntry, situation: Situation, pressure: Array, temperature: Array, degas: Array, share: Array,
                places: tuple[str, ...]) -> tuple[Limit, ...]:
    worst = share.max(axis=1)
    case = int(np.argmax(np.where(np.isnan(worst), -1.0, worst)))
    at = int(np.argmax(share[case]))
    comes_out = degas > pressure
    found = [
        limit(told("{gas} comes out of the liquid below {degas}; at {place}, {pressure}, gas takes up to {worst} of "
                   "the volume", gas=gas.name, degas=express(degas[case, at], PRESSURE), place=places[case],
                   pressure=express(pressure[case, at], PRESSURE), worst=express(worst[case], RATIO)),
              comes_out),
        limit(told("gas takes {worst} of the volume at {place}: from {bubbly:.0%} on bubbles no longer move "
                   "with the liquid and the share is an indication only", worst=express(worst[case], RATIO),
                   place=places[case], bubbly=BUBBLY_SHARE), share > BUBBLY_SHARE),
        limit(told("the molar mass of {liquid} is not known: the volume of the {gas} that comes out of solution cannot "
                   "be told", liquid=situation.liquid.name, gas=gas.name),
              bool(gas.henry_constant) and situation.liquid.molar_mass is None)]
    if gas.temperatures:
        low, high = gas.temperatures[0], gas.temperatures[-1]
        found.append(limit(
            told("the Henry constant of {gas} is known from {low} to {high}; outside it is held at its end",
                 gas=gas.name, low=express(low, TEMPERATURE), high=express(high, TEMPERATURE)),
            (temperature < low) | (temperature > high)))
    return tuple(found)
