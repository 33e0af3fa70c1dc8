"""Limiting cases of the pump in time that have closed forms."""

from pathlib import Path

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

import wetpath as wp
from wetpath.machine.shut_in_volume import liquid_volume, metal_mass
from wetpath.physics.constants import STEFAN_BOLTZMANN
from wetpath.physics.heat.dry_shell import dry_heating_time
from wetpath.physics.heat.radiation import radiated_flux
from wetpath.upsets import Upset, simulate
from wetpath.upsets import right_side as rhs
from wetpath.upsets.knots import Factors
from wetpath.upsets.simulation import _integrate, beginning, follow, prepare


@pytest.fixture(scope="module")
def water():
    return wp.rate(wp.demo_enquiry("hot_water"), pump=wp.demo_pump("medium"))


def dry(rating, **constants):
    """An empty pump; its walls radiate nothing unless they are told to."""
    constants = {"EMISSIVITY": 0.0, **constants}
    course, knots, liquid = prepare(rating, [Upset("dry start")], 0, 60.0, Factors(dry_film=0.0))
    for name, value in constants.items():
        knots.constants[getattr(rhs, name)] = value
    return course, knots, liquid


def test_dry_wall_heats_as_a_thin_wall_does(against, water):
    """Without liquid each band is a wall with its own heat and the air: closed form with constant resistivity.

    Over the first tenth of a second the flow runs down and the load angle, and with it the heat, still changes.
    """
    course, knots, liquid = dry(water, RESIST=0.0, INNER_SLOPE=0.0, OUTER_SLOPE=0.0)
    time = np.linspace(0.0, 60.0, 6001)
    states = follow(course, knots, liquid, time).states
    c = knots.constants
    for band in (0, 5, 9):
        wall = states[:, band]
        reached = wall[0] + 40.0
        ours = float(np.interp(reached, wall, time))
        expected = dry_heating_time(knots.table[-1, rhs.BANDS_FROM + band], c[rhs.WALL_HEAT], c[rhs.AIR_W], wall[0],
                                    reached, c[rhs.AIR])
        against("dry-wall-balance", "derived", f"time of band {band} to heat by 40 K", ours, expected, rel=1e-3,
                unit="s")


def test_wall_cools_by_its_time_constant(against, water):
    """No heat, no liquid: the rise over the air falls by e in C/U."""
    course, knots, liquid = dry(water)
    knots.table[:, rhs.OUTER_SPEED] = 0.0
    time = np.linspace(0.0, 60.0, 61)
    start = beginning(course, knots)
    start[:rhs.BANDS] += 200.0
    states = _integrate(knots, liquid, start, time, slipping=False)
    c = knots.constants
    expected = 200.0 * np.exp(-60.0 * c[rhs.AIR_W] / c[rhs.WALL_HEAT])
    against("dry-wall-balance", "derived", "rise of a cooling wall after 60 s", states[-1, 4] - c[rhs.AIR], expected,
            rel=1e-5, unit="K")


def test_hot_wall_cools_by_radiation_alone(against, water):
    """Towards surroundings at 0 K and without other paths: 1/T^3 grows evenly with time."""
    course, knots, liquid = dry(water, EMISSIVITY=0.6, AIR_W=0.0, DRY_W=0.0, INSIDE_AREA=0.0, RATED_WALL=0.0)
    knots.table[:, rhs.OUTER_SPEED] = 0.0
    time = np.linspace(0.0, 60.0, 61)
    start = beginning(course, knots)
    start[:rhs.BANDS] = 900.0
    states = _integrate(knots, liquid, start, time, slipping=False)
    c = knots.constants
    expected = (900.0**-3 + 3 * 0.6 * STEFAN_BOLTZMANN * c[rhs.OUTSIDE_AREA] * 60.0 / c[rhs.WALL_HEAT]) ** (-1 / 3)
    assert expected < 800.0
    against("stefan-boltzmann", "derived", "wall that radiates, after 60 s", states[-1, 4], expected, rel=1e-6,
            unit="K")


def test_blackbody_at_500_degc(against):
    """Tables of heat transfer give 20.3 kW/m2 for a black surface at 500 degC."""
    against("stefan-boltzmann", "recalled", "black surface at 500 degC", radiated_flux(773.15, 0.0, 1.0), 20.26e3,
            rel=1e-3, unit="W/m2")


def marched(rise):
    """Time in which a dry shell warms by ``rise``: explicit Euler steps of 1 ms, nothing of ours in it.

    86.2 mm bore, 50 mm under the magnets, 0.8 mm of UNS N10276; 450 W at 20 degC with 1.5e-4/K; 60 W/(m2 K) to a ring
    and 30 W/(m2 K) to air that stay at 25 degC. Density and heat capacity of the alloy, 8890 kg/m3 and 427 J/(kg K),
    are recalled.
    """
    inside, outside, middle = (2 * np.pi * radius * 0.05 for radius in (0.0431, 0.0439, 0.0435))
    heat = 8890.0 * 427.0 * 0.0008 * middle
    wall, steps = 298.15, 0
    while wall < 298.15 + rise:
        made = 450.0 / (1.0 + 1.5e-4 * (wall - 293.15))
        wall += 1e-3 * (made - (60.0 * inside + 30.0 * outside) * (wall - 298.15)) / heat
        steps += 1
    return 1e-3 * steps


@pytest.mark.parametrize(("rise", "printed"), [(5.0, 0.46), (20.0, 1.9), (175.0, 22.0)])
def test_dry_shell_of_a_small_frame_by_an_explicit_march(against, water, rise, printed):
    """The bands against `marched`, whose ring stays at 25 degC; ours is made heavy for it.

    ``printed``: the same march with a ring that warms, done once elsewhere and kept to two digits.
    """
    expected = marched(rise)
    assert expected == pytest.approx(printed, rel=0.03)
    inside, outside, middle = (2 * np.pi * radius * 0.05 for radius in (0.0431, 0.0439, 0.0435))
    course, knots, liquid = dry(
        water, WALL_HEAT=8890.0 * 427.0 * 0.0008 * middle / rhs.BANDS, AIR_W=30.0 * outside / rhs.BANDS,
        DRY_W=60.0 * inside / rhs.BANDS, RESIST=1.5e-4, INNER_SLOPE=0.0, OUTER_SLOPE=0.0, AIR=298.15, RING_HEAT=1e9)
    knots.table[:, rhs.BANDS_FROM:rhs.BANDS_FROM + rhs.BANDS] = 450.0 / rhs.BANDS
    knots.table[:, rhs.OUTER_SPEED] = knots.table[0, rhs.SOLVED_SPEED]
    time = np.linspace(0.0, 40.0, 4001)
    wall = _integrate(knots, liquid, beginning(course, knots), time, slipping=False)[:, 4]
    assert wall[0] == 298.15
    against("dry-wall-balance", "computed", f"time of a dry shell to heat by {rise:g} K",
            float(np.interp(298.15 + rise, wall, time)), expected, rel=5e-3, unit="s")


def test_liquid_shut_in_reaches_the_relief_pressure_when_the_rating_says_so(against, water):
    """The rating heats liquid and metal evenly with the power at shut-off; here shell and ring heat too."""
    line = simulate(water, [Upset("blocked in", start=1.0, values={"over": 0.05})], duration=600.0)
    expected = float(water.situation.standstill.time_to_relief[0])
    assert 1.0 < expected < 600.0
    against("energy-balance", "derived", "time to the relief pressure between closed valves",
            line.when("relief pressure") - 1.0, expected, rel=0.25, unit="s")


def test_closed_pump_heats_by_the_first_law(against, water):
    """Both valves shut: all hydraulic power stays in liquid and metal, dT/dt = P / sum(m cp)."""
    line = simulate(water, [Upset("blocked in", start=1.0, values={"over": 0.05})], duration=61.0)
    first, last = (int(np.searchsorted(line.time, when)) for when in (20.0, 60.0))
    ours = (line.casing_temperature[last] - line.casing_temperature[first]) / (line.time[last] - line.time[first])
    liquid = water.liquid.state(line.casing_temperature[0], line.discharge_pressure[first])
    c = prepare(water, [], 0, 10.0, Factors())[1].constants
    heavy = (liquid_volume(water.pump) * float(liquid.density * liquid.heat_capacity) + metal_mass(water.pump) * 480.0
             + c[rhs.RING_HEAT] + rhs.BANDS * c[rhs.WALL_HEAT])
    losses = water.losses
    shut_off = water.situation.driver.shut_off_power[0] - losses.dry_side[0] - losses.eddy_to_air[0]
    against("energy-balance", "derived", "heating rate between closed valves", ours, shut_off / heavy, rel=0.03,
            unit="K/s")


@pytest.mark.parametrize("other", [{"density": 1.5}, {"density": 0.7, "heat_capacity": 0.5}])
def test_closed_pump_of_another_liquid_heats_by_the_first_law(against, water, other):
    """Density and heat capacity of the liquid that is in it count, not those of the liquid rated."""
    line = simulate(water, [Upset("wrong liquid", start=0.0, values={"over": 1.0, **other}),
                            Upset("blocked in", start=5.0, values={"over": 0.05})], duration=61.0)
    first, last = (int(np.searchsorted(line.time, when)) for when in (20.0, 60.0))
    ours = (line.casing_temperature[last] - line.casing_temperature[first]) / (line.time[last] - line.time[first])
    liquid = water.liquid.state(line.casing_temperature[0], line.discharge_pressure[first])
    c = prepare(water, [], 0, 10.0, Factors())[1].constants
    heavy = (liquid_volume(water.pump) * float(liquid.density * liquid.heat_capacity)
             * other["density"] * other.get("heat_capacity", 1.0)
             + metal_mass(water.pump) * 480.0 + c[rhs.RING_HEAT] + rhs.BANDS * c[rhs.WALL_HEAT])
    kept = line.shaft_power[first] - water.losses.dry_side[0] - water.losses.eddy_to_air[0]
    against("energy-balance", "derived", f"heating rate between closed valves, density times {other['density']}", ours,
            kept / heavy, rel=0.03, unit="K/s")


def test_heat_to_boiling_is_that_of_the_liquid(against):
    """The straight heat capacity of the model takes up what CoolProp says from the rated inlet to boiling."""
    folder = Path(wp.__file__).parent / "data" / "demo" / "enquiries"
    propane = wp.rate(folder / "propane_suction_return.toml", pump=wp.demo_pump("medium_suction"))
    _, knots, liquid = prepare(propane, [], 2, 10.0, Factors())
    c, pressure = knots.constants, float(knots.states.pressure[0].max())
    start = c[rhs.CAPACITY_AT]
    boils = float(liquid.saturation_temperature(pressure))
    assert boils > start + 5.0
    expected = PropsSI("H", "T", boils - 1e-3, "P", pressure, "Propane") - PropsSI("H", "T", start, "P", pressure,
                                                                                   "Propane")
    ours = c[rhs.HEAT_CAPACITY] * (rhs.warmth(c, boils - 1e-3) - rhs.warmth(c, start))
    against("coolprop", "computed", "heat of propane from 35 degC to boiling", ours, expected, rel=2e-3, unit="J/kg")


def test_head_at_npsh3_is_down_by_three_per_cent(against):
    against("iso-9906-2012", "recalled", "share of head where NPSH equals NPSH3", rhs.npsh_share(4.0, 4.0), 0.97,
            abs=1e-3)


@pytest.mark.common_practice
def test_stalled_shell_sees_a_quarter_to_a_half_of_the_loss(water):
    """With the inner ring at rest the shell takes about a quarter to a half of its loss in step."""
    _, knots, _ = prepare(water, [], 0, 10.0, Factors())
    assert 0.2 < knots.constants[rhs.SLIP_OUTER] < 0.6
