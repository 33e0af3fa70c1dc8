"""Rates of change of all states of the lumped pump; compiled.

Each band of the shell exchanges heat with the liquid beside it, the air outside and, where there is vapour, the inner
ring. Liquid above its boiling temperature evaporates within `BOILING_TIME`; the vapour pushes the even mixture out
of the annulus, and the circulation washes it out. Gas and vapour leave a pump that stands and has liquid before it. The
level in the vessel moves the suction pressure, and the gas that comes when its outlet is hardly covered.
"""

from typing import Any

import numpy as np

from wetpath.liquids.lookup import LiquidArrays, saturation_state, saturation_temperature, vapour_pressure
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.heat.radiation import facing_emissivity, radiated_flux
from wetpath.physics.heat.shell_wall import RESISTIVITY_REFERENCE
from wetpath.physics.published import compiled, in_kernel

#: Bands of shell and annulus.
BANDS = 10
# States behind the wall and liquid of the bands.
(CASING, BEARING, INNER, OUTER, VAPOUR, GAS, SPIN, HEAT_IN, HEAT_OUT, DRY,
 CASING_VAPOUR, LEVEL) = range(2 * BANDS, 2 * BANDS + 12)
STATES = 2 * BANDS + 12
# Columns of the conditions at the knots, then those of the bands.
(OUTER_SPEED, SOLVED_SPEED, MAIN_FLOW, SUCTION_T, SUCTION_P, GAS_IN, ANNULUS_FLOW, INLET_OFFSET, INLET_FIXED,
 OTHER_HEAT, SOURCE_HEAT, TORQUE, PULL_OUT, INNER_AT, OUTER_AT, REAR_RISE, CASING_RISE, NPSH_ASKED, OUT_OF_STEP,
 LOCKED, SLIP_FACTOR, DENSITY, HEAT_SHARE, INVENTORY, VAPOUR_SHARE, VESSEL_AREA, VESSEL_INFLOW,
 VESSEL_OUTLET, VENT_TIME, BANDS_FROM) = range(30)
COLUMNS = BANDS_FROM + 3 * BANDS
# Constants of the pump.
(WALL_HEAT, BAND_MASS_HEAT, CASING_HEAT, BEARING_HEAT, RING_HEAT, OUTER_TIME, HEAT_CAPACITY, RESIST, AIR_W, DRY_W,
 RING_W, RING_OFFSET, BEARING_W, BEARING_DRY_W, DRY_POWER, AIR, OUTER_SHARE, LATENT, REAR_VOLUME, CASING_VOLUME,
 VAPOUR_DENSITY, INNER_SLOPE, OUTER_SLOPE, SLIP_OUTER, SLIP_INNER, SHEATH, PUMP_INERTIA, FROM_CASING, VELOCITY_HEAD,
 NPSH_START, RATED_SPEED, EDDY_DRAG, STATIC_SHARE, CARRY, GAS_LIMIT, CAPACITY_AT, CAPACITY_SLOPE, CASING_METAL,
 OUTSIDE_AREA, INSIDE_AREA, EMISSIVITY, RATED_WALL, COVER, RATED_FLOW) = range(44)
CONSTANTS = 44

#: In which overheated liquid boils [s]; small against every other time here, so that it stands at boiling.
BOILING_TIME = 0.1
#: Share of the heat capacity of a band's liquid that stays when it is empty, for the vapour and wetted metal.
LEFT = 1e-3
#: Volume share of gas at which half the head is gone, and how sharply. Common practice, no source.
GAS_HALF, GAS_POWER = 0.08, 6.0
#: Volume share of liquid at which a bearing counts as half dry. Common practice, no source.
DRY_BELOW = 0.3
WET_STILL = 1.0 / (1.0 + (1.0 / DRY_BELOW) ** 6)
#: NPSH over NPSH3 at which half the head is gone, and a power that leaves 97 % at NPSH3, as it is defined.
NPSH_HALF, NPSH_POWER = 0.8, 15.6
#: Head over the static one, as a share, below which the flow goes linearly to nothing; numerical.
ROUNDING = 1e-3
#: Forced convection follows this power of the speed, and drag that one.
FILM_POWER, DRAG_POWER = 0.8, 2.75


@in_kernel
def npsh_share(available: float, asked: float) -> float:
    """Share of the head that is left at an NPSH: 97 % where it equals NPSH3 (ISO 9906), none far below."""
    ratio = available / asked
    if ratio <= 0.05:
        return 0.0
    return 1.0 / (1.0 + (NPSH_HALF / ratio) ** NPSH_POWER)


@in_kernel
def gas_share(gas: float, half: float) -> float:
    """Share of the head that is left with a volume share of gas in the impeller."""
    return 1.0 / (1.0 + (max(gas, 0.0) / half) ** GAS_POWER)


@in_kernel
def void_of(state: Any) -> float:
    """Volume share of gas and vapour in the casing."""
    return min(max(state[GAS], 0.0) + max(state[CASING_VAPOUR], 0.0), 1.0)


@in_kernel
def delivered_share(head: float, static: float) -> float:
    """Flow over that asked when the head is this share of the knot's, in a system with a share of static head.

    The square root of what is left over the static head, its slope at nothing held finite.
    """
    over = max((head - static) / (1.0 - static), 0.0)
    return over * np.sqrt((1.0 + ROUNDING) / (over + ROUNDING))


@in_kernel
def conditions(table: Any, knots: Any, time: float, row: Any) -> None:
    """Fill ``row`` with the conditions at a time, straight between knots."""
    last = knots.shape[0] - 1
    place = min(max(np.searchsorted(knots, time, side="right") - 1, 0), last - 1)
    share = min(max((time - knots[place]) / (knots[place + 1] - knots[place]), 0.0), 1.0)
    for column in range(row.shape[0]):
        row[column] = table[place, column] + share * (table[place + 1, column] - table[place, column])


@in_kernel
def slope(table: Any, knots: Any, time: float, column: int) -> float:
    """Rate of change of one condition [1/s times its unit]."""
    last = knots.shape[0] - 1
    place = min(max(np.searchsorted(knots, time, side="right") - 1, 0), last - 1)
    return (table[place + 1, column] - table[place, column]) / (knots[place + 1] - knots[place])


@in_kernel
def suction_pressure(now: Any, state: Any) -> float:
    """Pressure at the suction flange: that of the course, and the level in the vessel that has fallen [Pa]."""
    return max(now[SUCTION_P] + now[DENSITY] * STANDARD_GRAVITY * state[LEVEL], 1.0)


@in_kernel
def gas_drawn(c: Any, now: Any, state: Any) -> float:
    """Volume share of gas that comes: that of the course, or what an outlet hardly covered draws in."""
    covered = (now[VESSEL_OUTLET] + state[LEVEL]) / c[COVER]
    return max(now[GAS_IN], min(max(1.0 - covered, 0.0), 1.0))


@in_kernel
def head_share(liquid: LiquidArrays, c: Any, now: Any, state: Any) -> float:
    """Head over that of the knot, without the speed: gas and cavitation."""
    vapour = now[VAPOUR_SHARE] * vapour_pressure(liquid, now[SUCTION_T])
    available = (suction_pressure(now, state) - vapour) / (now[DENSITY] * STANDARD_GRAVITY)
    left = gas_share(void_of(state), c[GAS_LIMIT])
    if available == available:
        left *= min(npsh_share(available + c[VELOCITY_HEAD], now[NPSH_ASKED]) / c[NPSH_START], 1.0)
    return left


@in_kernel
def strength(c: Any, now: Any, state: Any) -> tuple[float, float]:
    """Remanence of inner and outer ring over that at the knot."""
    inner = (1.0 + c[INNER_SLOPE] * (state[INNER] - RESISTIVITY_REFERENCE)) / (
        1.0 + c[INNER_SLOPE] * (now[INNER_AT] - RESISTIVITY_REFERENCE))
    outer = (1.0 + c[OUTER_SLOPE] * (state[OUTER] - RESISTIVITY_REFERENCE)) / (
        1.0 + c[OUTER_SLOPE] * (now[OUTER_AT] - RESISTIVITY_REFERENCE))
    return max(inner, 0.0), max(outer, 0.0)


@in_kernel
def pump_torque(c: Any, now: Any, state: Any, speed: float, head: float) -> float:
    """Torque that the pump asks of the inner ring at its speed [N m]; dry bearings rub."""
    faster = speed / now[SOLVED_SPEED]
    void = void_of(state)
    wet = (1.0 - void) * (1.0 - state[VAPOUR])
    return (now[TORQUE] * faster * abs(faster) * (0.1 + 0.9 * head) * (1.0 - void)
            + (1.0 - wet) * c[DRY_POWER] / c[RATED_SPEED] * np.tanh(200.0 * speed / c[RATED_SPEED]))


@in_kernel
def warmth(c: Any, temperature: float) -> float:
    """Heat in the liquid over its heat capacity at the rated inlet [K]; the capacity is straight in temperature."""
    above = temperature - c[CAPACITY_AT]
    return temperature + 0.5 * c[CAPACITY_SLOPE] * above * above


@in_kernel
def capacity_share(c: Any, temperature: float) -> float:
    """Heat capacity of the liquid over that at the rated inlet; the slope of `warmth`."""
    return 1.0 + c[CAPACITY_SLOPE] * (temperature - c[CAPACITY_AT])


@in_kernel
def vapour_made(liquid: LiquidArrays, c: Any, boils: float) -> float:
    """Heat that makes a cubic metre of vapour at a boiling temperature [J/m3]."""
    if boils == boils:
        density, latent, _ = saturation_state(liquid, boils)
        if density * latent > 0.0:
            return density * latent
    return c[LATENT] * c[VAPOUR_DENSITY]


@compiled
def rates(time: float, state: Any, table: Any, knots: Any, c: Any, liquid: LiquidArrays, slipping: bool) -> Any:
    """Rates of change of the states [1/s times their units]."""
    change = np.zeros(STATES)
    now = np.empty(COLUMNS)
    conditions(table, knots, time, now)
    slipping = slipping or now[OUT_OF_STEP] > 0.5
    outer_speed = now[OUTER_SPEED]
    inner_speed = state[SPIN] * c[RATED_SPEED]
    faster = max(inner_speed / now[SOLVED_SPEED], 0.0)
    driven = outer_speed / now[SOLVED_SPEED]
    left = head_share(liquid, c, now, state)
    drive = np.sqrt(left) * faster
    vapour = min(max(state[VAPOUR], 0.0), 1.0)
    wet = 1.0 - vapour
    gas = void_of(state)
    film = (faster * faster + 1e-4) ** (0.5 * FILM_POWER) / 1.00004
    drag = faster**DRAG_POWER
    capacity = c[HEAT_CAPACITY] * now[HEAT_SHARE]
    band_heat = c[BAND_MASS_HEAT] * now[INVENTORY]
    casing_liquid = (c[CASING_HEAT] - c[CASING_METAL]) * now[INVENTORY]
    circulation = now[ANNULUS_FLOW] * wet * (1.0 - gas)
    circulation *= drive if c[FROM_CASING] > 0.5 else 1.0
    inlet = state[CASING] + now[INLET_OFFSET] if c[FROM_CASING] > 0.5 else now[INLET_FIXED]
    suction, gas_in = suction_pressure(now, state), gas_drawn(c, now, state)
    pressure = suction + now[REAR_RISE] * left * faster * faster
    boils = saturation_temperature(liquid, pressure / now[VAPOUR_SHARE], state[BANDS])
    known = boils == boils
    inner_strength, outer_strength = strength(c, now, state)

    if slipping:
        field = now[SLIP_FACTOR] * (c[SLIP_OUTER] * outer_strength**2 * driven * driven
                                    + c[SLIP_INNER] * inner_strength**2 * faster * faster)
    else:
        field = (0.5 * (inner_strength + outer_strength)) ** 2 * driven * driven
    slip = max(outer_speed - inner_speed, 0.0) if slipping else 0.0
    carried = c[SHEATH] * outer_strength**2 * slip * slip

    made, lost, walls, liquids, boiled = carried, 0.0, 0.0, 0.0, 0.0
    mean = 0.0
    for band in range(BANDS):
        mean += state[BANDS + band] / BANDS
    from_ring = c[RING_W] * film * wet * (state[INNER] - mean - c[RING_OFFSET])  # to each band
    before = entered = warmth(c, inlet)
    supply = now[ANNULUS_FLOW] * (1.0 - gas) * (drive if c[FROM_CASING] > 0.5 else 1.0)
    vented = max(1.0 - faster, 0.0) ** 2 * (1.0 - gas_in) / now[VENT_TIME]      # rotation holds gas in the middle
    filled = vapour * (supply / (now[DENSITY] * c[REAR_VOLUME]) + (1.0 - gas) * vented)
    for band in range(BANDS):
        wall, here = state[band], state[BANDS + band]
        eddy = now[BANDS_FROM + band] * field / max(1.0 + c[RESIST] * (wall - RESISTIVITY_REFERENCE), 0.1)
        to_liquid = now[BANDS_FROM + BANDS + band] * film * wet * (wall - here)
        to_ring = c[DRY_W] * vapour * (wall - state[INNER]) + c[INSIDE_AREA] * vapour * radiated_flux(
            wall, state[INNER], facing_emissivity(c[EMISSIVITY]))
        to_air = c[AIR_W] * (wall - c[AIR])
        if wall > c[RATED_WALL]:      # up to there the air-side coefficient holds what is radiated
            to_air += c[OUTSIDE_AREA] * radiated_flux(wall, c[RATED_WALL], c[EMISSIVITY])
        rubbed = now[BANDS_FROM + 2 * BANDS + band] * drag * wet
        change[band] = (eddy - to_liquid - to_ring - to_air) / c[WALL_HEAT]
        steam = 0.0
        if known:
            steam = wet * band_heat * (here - boils) / BOILING_TIME
            if steam < 0.0:
                steam *= vapour / (vapour + 0.02) * (1.0 - gas) ** 3  # what collapses is filled from the casing
        heat = warmth(c, here)
        change[BANDS + band] = (circulation * capacity * (before - heat) + filled * band_heat * (entered - heat)
                                + to_liquid + rubbed + from_ring - steam) / (
            band_heat * (wet + LEFT) * capacity_share(c, here))
        change[INNER] += to_ring - from_ring
        made += eddy + rubbed
        lost += to_air + steam
        boiled += steam
        walls += wall / BANDS
        liquids += band_heat * heat
        before = heat
    change[INNER] = (change[INNER] + carried) / c[RING_HEAT]

    grown = boiled / (now[VAPOUR_SHARE] * vapour_made(liquid, c, boils) * c[REAR_VOLUME])
    grown *= wet if grown > 0.0 else 1.0
    change[VAPOUR] = grown - filled

    main = now[MAIN_FLOW] * delivered_share(left * faster * faster, c[STATIC_SHARE])
    bearing_wet = wet * (1.0 - gas)
    rubbing = (1.0 - bearing_wet) * c[DRY_POWER] * faster
    to_film = c[BEARING_W] * bearing_wet * (state[BEARING] - inlet)
    to_holder = c[BEARING_DRY_W] * (1.0 - bearing_wet) * (state[BEARING] - state[CASING])
    change[BEARING] = (rubbing - to_film - to_holder) / c[BEARING_HEAT]
    change[DRY] = min(faster, 1.0) * max(1.0 / (1.0 + (bearing_wet / DRY_BELOW) ** 6) - WET_STILL, 0.0)

    hydraulic = now[SOURCE_HEAT] * faster**3 * (0.1 + 0.9 * left) * (1.0 - gas)
    other = now[OTHER_HEAT] * drag * wet * (1.0 - gas)
    brought = circulation * capacity * (before - entered)
    away = main * capacity * (warmth(c, state[CASING]) - warmth(c, now[SUCTION_T]))
    pressure = suction + 0.5 * now[CASING_RISE] * left * faster * faster
    casing_boils = saturation_temperature(liquid, pressure / now[VAPOUR_SHARE], state[CASING])
    casing_steam = 0.0
    if casing_boils == casing_boils:
        casing_steam = (1.0 - gas) * (c[CASING_METAL] + casing_liquid) * (state[CASING] - casing_boils) / (
            10.0 * BOILING_TIME)
        if casing_steam < 0.0:
            there = max(state[CASING_VAPOUR], 0.0)
            casing_steam *= there / (there + 0.02)
    change[CASING] = (hydraulic + other + brought - away + to_film + to_holder - casing_steam) / (
        c[CASING_METAL] + casing_liquid * capacity_share(c, state[CASING]))
    made += hydraulic + other + rubbing
    lost += away + casing_steam + liquids * grown - filled * band_heat * BANDS * entered
    # another liquid in the same volume holds another heat: what is put in with it
    swapped = slope(table, knots, time, INVENTORY) / now[INVENTORY]
    lost -= swapped * (liquids * (wet + LEFT) + casing_liquid * warmth(c, state[CASING]))
    change[HEAT_IN] = made
    change[HEAT_OUT] = lost
    swept = main / (now[DENSITY] * c[CASING_VOLUME])
    change[GAS] = swept * (gas_in - state[GAS]) - vented * state[GAS]
    change[CASING_VAPOUR] = casing_steam / (
        now[VAPOUR_SHARE] * vapour_made(liquid, c, casing_boils) * c[CASING_VOLUME]) * (
        (1.0 - gas) if casing_steam > 0.0 else 1.0) - (swept + vented) * state[CASING_VAPOUR]
    change[LEVEL] = (now[VESSEL_INFLOW] * c[RATED_FLOW] - main / now[DENSITY]) / now[VESSEL_AREA]
    change[OUTER] = (c[AIR] + c[OUTER_SHARE] * (walls - c[AIR]) - state[OUTER]) / c[OUTER_TIME]

    if now[LOCKED] > 0.5:
        change[SPIN] = -state[SPIN] / 0.02
    elif slipping:
        braked = c[EDDY_DRAG] * inner_strength**2 * inner_speed
        torque = c[CARRY] * outer_strength**2 * slip - braked - pump_torque(c, now, state, inner_speed, left)
        change[SPIN] = torque / (c[PUMP_INERTIA] * c[RATED_SPEED])
        if state[SPIN] <= 0.0 and change[SPIN] < 0.0:
            change[SPIN] = -state[SPIN] / 0.02
    else:
        change[SPIN] = (outer_speed / c[RATED_SPEED] - state[SPIN]) / 0.02
    return change


@compiled
def torques(times: Any, states: Any, table: Any, knots: Any, c: Any, liquid: LiquidArrays) -> Any:
    """Along a course: torque asked and pull-out torque [N m], share of head left, heat of all bands in step [W]."""
    result = np.zeros((times.shape[0], 4))
    now = np.empty(COLUMNS)
    for step in range(times.shape[0]):
        conditions(table, knots, times[step], now)
        state = states[step]
        left = head_share(liquid, c, now, state)
        inner, outer = strength(c, now, state)
        result[step, 0] = pump_torque(c, now, state, state[SPIN] * c[RATED_SPEED], left)
        result[step, 1] = now[PULL_OUT] * inner * outer
        result[step, 2] = left
        field = (0.5 * (inner + outer)) ** 2 * (now[OUTER_SPEED] / now[SOLVED_SPEED]) ** 2
        for band in range(BANDS):
            result[step, 3] += now[BANDS_FROM + band] * field / max(
                1.0 + c[RESIST] * (state[band] - RESISTIVITY_REFERENCE), 0.1)
    return result
