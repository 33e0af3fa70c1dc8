"""What everybody who applies these pumps knows must come out of the model."""

from math import pi

import demo_models as demo
import numpy as np
import pytest
import w1_circulation as w1
from plain_frame import W1_A, W1_B, W1_C

from wetpath.circulation import solve
from wetpath.coupling.state import load_angle, shell_heat, torque_at, torque_series
from wetpath.rating.machine_arrays import remanences, response_for

pytestmark = pytest.mark.common_practice
CONDUCTIVE, ALL = ("small", "medium", "large", "medium_steel"), demo.PUMPS


def rated(pump, liquid="n-Butane", **columns):
    model = demo.model(pump, liquid)
    return model, model.solve(demo.inputs(model, temperature=demo.USUAL[liquid], **columns))


@pytest.mark.parametrize("pump", ALL)
def test_both_rings_turn_at_one_speed_below_pull_out(pump):
    """No slip: the static torque at the load angle carries the load, at an angle below pull-out."""
    model, solved = rated(pump)
    x, machine = solved.solution.states.scalars[0], model.machine
    series = np.empty(machine.torque.shape[2])
    warmth = x[[solve.INNER_RING, solve.OUTER_RING]] - 293.15
    strength = 1 + machine.ring[0, [solve.INNER_SLOPE, solve.OUTER_SLOPE]] * warmth
    torque_series(machine.torque[0], *strength, series)
    assert torque_at(series, x[solve.ANGLE])[0] == pytest.approx(x[solve.TORQUE], rel=1e-6)
    assert 0 < x[solve.ANGLE] < machine.ring[0, solve.PULL_OUT_ANGLE]
    assert x[solve.TORQUE] < x[solve.PULL_OUT]


def test_an_overloaded_coupling_is_held_at_pull_out():
    series = np.array([100.0, 0.0, -5.0])
    best = max(np.linspace(0, pi, 20001), key=lambda angle: torque_at(series, angle)[0])
    peak = torque_at(series, best)[0]
    assert load_angle(series, 1.5 * peak, best, peak) == best


@pytest.mark.parametrize("guess", [0.0, 0.01, 0.3, 1.2, 5.0])
def test_the_load_angle_does_not_depend_on_where_its_search_starts(guess):
    series = np.array([100.0, 0.0, -5.0])
    best = max(np.linspace(0, pi, 20001), key=lambda angle: torque_at(series, angle)[0])
    angle = load_angle(series, 60.0, best, torque_at(series, best)[0], guess)
    assert torque_at(series, angle)[0] == pytest.approx(60.0, rel=1e-13)
    assert 0 < angle < best


@pytest.mark.parametrize("pump", ["small", "medium", "large"])
def test_most_of_the_feed_goes_through_the_shaft(pump):
    """The bearings get the smaller part."""
    model, solved = rated(pump)
    flow = solved.solution.states.flow[0]
    feed, shaft = flow[demo.place(model, "feed holes")], flow[demo.place(model, "shaft holes")]
    assert 0.5 * feed < shaft < feed


def test_most_of_the_feed_of_frame_w1_goes_through_the_shaft():
    for duty in (W1_A, W1_B, W1_C):
        ours = w1.answers(*w1.run(duty))
        assert 0.5 * ours["m_feed"] < ours["m_shaft"]
        assert ours["m_front"] + ours["m_rear"] < ours["m_shaft"]


@pytest.mark.parametrize("duty", [W1_A, W1_B, W1_C], ids=["W1-a", "W1-b", "W1-c"])
def test_pressure_falls_and_temperature_rises_on_the_way(duty):
    """Save in the rear cavity, where rotation gives head back; mixing with the cooler bearing flow aside."""
    ours = w1.answers(*w1.run(duty))
    pressures = [ours[f"P_{name}"] for name in "FAXBCDER"]
    falls = np.diff(pressures) < 0
    assert falls.tolist() == [True, True, True, False, True, True, True]
    temperatures = [ours[f"T_{name}"] for name in "FAXBCD"]
    assert (np.diff(temperatures) > 0).all()
    assert ours["T_E"] > ours["T_C"]


@pytest.mark.parametrize("pump", CONDUCTIVE)
def test_a_metal_shell_heats_the_liquid(pump):
    """And that heat is most of what the circulation takes up."""
    _, solved = rated(pump)
    x = solved.solution.states.scalars[0]
    into = x[solve.EDDY] - x[solve.TO_AIR]
    assert x[solve.EDDY] > 0
    assert into > 0.8 * x[solve.LIQUID_HEAT]


def test_a_shell_that_does_not_conduct_has_no_loss():
    model, solved = rated("medium_ceramic")
    x = solved.solution.states.scalars[0]
    assert model.machine.shell[0, solve.CONDUCTIVITY] == 0.0
    # what is left is heat between liquid and air through the wall
    assert abs(x[solve.EDDY]) < 1e-9
    _, metal = rated("medium")
    assert x[solve.LIQUID_HEAT] < 0.2 * metal.solution.states.scalars[0, solve.LIQUID_HEAT]


def test_twice_the_speed_four_times_the_loss():
    """At equal magnet temperature and load angle, through the sum over the cells."""
    machine = demo.model("medium", "Water").machine
    cells = machine.inner.shape[1]
    slow, fast = np.empty(cells), np.empty(cells)
    conductivity, speed, angle = machine.shell[0, solve.CONDUCTIVITY], 150.0, 0.4
    magnets = machine.inner[0], machine.outer[0], machine.cross[0]
    for heat, turning in ((slow, speed), (fast, 2 * speed)):
        shell_heat(*magnets, conductivity * turning**2, 0.98, 0.97, angle, heat)
    np.testing.assert_allclose(fast, 4 * slow, rtol=1e-14)
    assert (slow >= 0).all()
    assert slow.sum() > 100.0


@pytest.mark.parametrize("angle", [0.0, 0.3, 0.7, 1.2])
def test_the_solver_sums_the_loss_map_of_the_coupling(angle):
    """At the driver's speed and 20 degC the sum in the kernel is the loss map itself, rear end of the shell first."""
    model = demo.model("medium", "Water")
    machine, response = model.machine, response_for(model.pump)
    conductivity, speed = machine.shell[0, solve.CONDUCTIVITY], model.pump.driver.speed
    heat = np.empty(machine.inner.shape[1])
    own = shell_heat(machine.inner[0], machine.outer[0], machine.cross[0], conductivity * speed**2, 1.0, 1.0, angle,
                     heat)
    expected = response.cell_loss(angle, speed, conductivity, *remanences(model.pump))
    np.testing.assert_allclose(heat, expected[::-1], rtol=1e-9)
    # share of the braking power on the inner ring, up to the lag of the wall's currents
    inner, outer = response.drag(angle, speed, conductivity, *remanences(model.pump))
    assert own == pytest.approx(inner / (inner + outer), abs=0.02)


def test_the_fields_of_facing_rings_add_up():
    """Unlike poles face each other at no load: the wall sees the most field there, and less at every angle."""
    machine = demo.model("medium", "Water").machine
    heat = np.empty(machine.inner.shape[1])
    total = []
    for angle in np.linspace(0.0, pi / 2, 10):
        shell_heat(machine.inner[0], machine.outer[0], machine.cross[0], 1.0, 1.0, 1.0, angle, heat)
        total.append(heat.sum())
    assert (np.diff(total) < 0).all()


def test_colder_magnets_are_stronger_and_heat_more():
    machine = demo.model("medium", "Water").machine
    heat = np.empty((2, machine.inner.shape[1]))
    for row, strength in zip(heat, (1.0, 0.9), strict=True):
        shell_heat(machine.inner[0], machine.outer[0], machine.cross[0], 1.0, strength, strength, 0.3, row)
    np.testing.assert_allclose(heat[1], 0.81 * heat[0], rtol=1e-12)


@pytest.mark.parametrize("pump", ["small", "medium", "large"])
def test_circulation_is_a_few_per_cent_of_the_pumped_flow(pump):
    """2 to 8 % at the best flow, more at part load."""
    model, solved = rated(pump, share=np.array([1.0, 0.25]))
    states = solved.solution.states
    feed = states.flow[:, demo.place(model, "feed holes")] / (states.scalars[:, solve.DENSITY_IN] * solved.inputs.flow)
    assert 0.01 < feed[0] < 0.1
    assert feed[1] > 2 * feed[0]


def test_the_wall_is_nearer_to_boiling_than_the_bulk_in_light_hydrocarbons():
    for liquid in ("n-Butane", "Propane"):
        x = rated("medium", liquid)[1].solution.states.scalars[0]
        assert x[solve.WALL_MARGIN] < x[solve.TEMPERATURE_MARGIN]
