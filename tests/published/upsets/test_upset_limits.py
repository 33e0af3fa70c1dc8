"""Limiting cases of the pump in time that have closed forms."""

import numpy as np
import pytest

import wetpath as wp
from wetpath.machine.shut_in_volume import liquid_volume, metal_mass
from wetpath.physics.heat.dry_shell import dry_heating_time
from wetpath.upsets import Upset, simulate
from wetpath.upsets import right_side as rhs
from wetpath.upsets.knots import Factors
from wetpath.upsets.simulation import _integrate, beginning, follow, prepare


@pytest.fixture(scope="module")
def water():
    return wp.rate(wp.demo_enquiry("hot_water"), pump=wp.demo_pump("medium"))


def dry(rating, **constants):
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


def test_head_at_npsh3_is_down_by_three_per_cent(against):
    against("iso-9906-2012", "recalled", "share of head where NPSH equals NPSH3", rhs.npsh_share(4.0, 4.0), 0.97,
            abs=1e-3)


@pytest.mark.common_practice
def test_stalled_shell_sees_a_quarter_to_a_half_of_the_loss(water):
    """With the inner ring at rest the shell takes about a quarter to a half of its loss in step."""
    _, knots, _ = prepare(water, [], 0, 10.0, Factors())
    assert 0.2 < knots.constants[rhs.SLIP_OUTER] < 0.6
