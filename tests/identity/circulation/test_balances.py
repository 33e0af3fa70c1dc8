"""Mass, energy and pressure close at every station and along every branch; limits in which the answer is known."""

from dataclasses import replace
from math import pi, sqrt

import demo_models as demo
import numpy as np
import pytest
import w1_circulation as w1
from plain_frame import W1, W1_A, W1_B, W1_C

from wetpath.circulation import annulus_cells as ring
from wetpath.circulation import branch, solve
from wetpath.circulation.batch import BatchArrays
from wetpath.circulation.continuation import solve_cases
from wetpath.circulation.network import Network, Tap
from wetpath.circulation.outcome import Outcome

DUTIES = {"W1-a": W1_A, "W1-b": W1_B, "W1-c": W1_C}


def balances(net: Network, states: BatchArrays, case: int) -> tuple[float, float, float]:
    """Relative error of mass at inner stations, of enthalpy where streams mix, and of the heat through the taps."""
    arrays, flow, heat, enthalpy = net.topology, states.flow[case], states.heat[case], states.enthalpy[case]
    carried = np.abs(flow)
    from_, to = np.where(flow >= 0, arrays.start, arrays.end), np.where(flow >= 0, arrays.end, arrays.start)
    outlet = enthalpy[from_] + heat / carried
    inner = np.flatnonzero(arrays.unknown >= 0)
    into = np.array([carried[to == station].sum() for station in range(enthalpy.size)])
    out_of = np.array([carried[from_ == station].sum() for station in range(enthalpy.size)])
    brought = np.array([(carried * outlet)[to == station].sum() for station in range(enthalpy.size)])
    mass = np.abs(into - out_of)[inner].max() / carried.max()
    mixing = np.abs(brought - into * enthalpy)[inner].max() / heat.sum()
    taps = arrays.taps
    heat_out = (brought - out_of * enthalpy)[taps].sum()
    return mass, mixing, abs(heat_out - heat.sum()) / heat.sum()


@pytest.mark.parametrize("duty", DUTIES)
def test_frame_w1_closes(duty):
    net, found = w1.run(DUTIES[duty])
    mass, mixing, energy = balances(net, found.states, 0)
    assert mass < 1e-10
    assert mixing < 1e-8
    assert energy < 1e-8
    assert found.states.scalars[0, solve.MASS_RESIDUAL] < 1e-10
    assert found.states.scalars[0, solve.HEAT_RESIDUAL] < 1e-8


@pytest.mark.parametrize("liquid", demo.LIQUIDS)
@pytest.mark.parametrize("pump", demo.PUMPS)
def test_demo_pumps_close(pump, liquid):
    model = demo.model(pump, liquid)
    solved = model.solve(demo.inputs(model, share=np.array([0.3, 0.7, 1.0, 1.2]), temperature=demo.USUAL[liquid]))
    for case in range(4):
        assert solved.solution.outcome[case] != Outcome.NO_SOLUTION
        mass, mixing, energy = balances(model.pump.network, solved.solution.states, case)
        assert mass < 1e-10
        assert mixing < 1e-8
        assert energy < 1e-8


def test_heats_of_the_branches_add_up_to_the_scalars():
    _, found = w1.run(W1_B)
    x = found.states.scalars[0]
    parts = x[solve.EDDY] - x[solve.TO_AIR] + x[[solve.WINDAGE, solve.DISCS, solve.JOURNALS, solve.THRUSTS,
                                                 solve.COOLER]].sum()
    assert found.states.heat[0].sum() == pytest.approx(parts, rel=1e-12)
    assert x[solve.LIQUID_HEAT] == pytest.approx(parts, rel=1e-12)


@pytest.mark.parametrize("duty", DUTIES)
def test_without_heat_the_enthalpy_is_the_same_everywhere(duty):
    """Outside insulated. Only throttling and the gain of rotation change the temperature: 0.02 to 0.1 K here."""
    net, found = w1.run(DUTIES[duty], replace(W1, U_air=0.0), heat_scale=0.0)
    feed = found.states.enthalpy[0, net.stations.index("F")]
    np.testing.assert_allclose(found.states.enthalpy[0], feed, rtol=1e-12)
    assert np.ptp(found.states.temperature[0]) < 0.1
    assert np.ptp(found.states.temperature[0]) > 0.001
    np.testing.assert_allclose(found.states.heat[0], 0.0, atol=1e-6)


def test_without_speed_the_flow_is_that_of_restrictions_in_series():
    """Two sharp holes without length and an annulus too wide to matter: m = sqrt(2 rho dp/sum(zeta/A2))."""
    first, second = 4e-3, 3e-3
    net = Network((branch.hole("in", "1", "2", count=1, diameter=first, length=0.0),
                   branch.shell_annulus("annulus", "2", "3", rotor_radius=0.04, gap=0.01, length=0.05),
                   branch.hole("out", "3", "4", count=2, diameter=second, length=0.0, loss=2.5)),
                  (Tap("1", "casing", head_share=0.9), Tap("4", "casing", head_share=0.3)))
    cases = w1.cases(W1_A, speed=1e-3)
    found = solve_cases(net.topology, w1.machine(net), w1.liquid("Water").arrays, cases)
    states = found.states
    drop = states.pressure[0, 0] - states.pressure[0, 3]
    assert drop == pytest.approx(0.6 * states.scalars[0, solve.DENSITY_IN] * 9.80665 * cases.head[0], rel=1e-9)
    density = w1.liquid("Water").state(states.temperature[0, 0], states.pressure[0, 0]).density
    resistance = 1.5 / (pi / 4 * first**2) ** 2 + 2.5 / (2 * pi / 4 * second**2) ** 2
    assert states.flow[0, 0] == pytest.approx(sqrt(2 * density * drop / resistance), rel=1e-4)
    np.testing.assert_allclose(states.flow[0], states.flow[0, 0], rtol=1e-9)


def test_pressure_follows_the_laws_of_the_branches():
    """Body terms alone stand between stations whose branch loses nothing: rear cavity and front chamber."""
    net, found = w1.run(W1_B, wall_friction=False)
    ours = w1.answers(net, found)
    density = w1.liquid("n-Butane").state(found.states.temperature[0], found.states.pressure[0]).density
    at = dict(zip(net.stations, density, strict=True))
    speed = 2 * pi * W1.speed
    assert ours["P_C"] - ours["P_B"] == pytest.approx(0.5 * at["B"] * (0.43 * speed * W1.ri) ** 2, rel=1e-7)
    squares = W1.ri**2 - W1.r_front**2
    assert ours["P_D"] - ours["P_E"] == pytest.approx(0.5 * at["D"] * (0.47 * speed) ** 2 * squares, rel=1e-7)


@pytest.mark.parametrize("speed", [1e-3, 1.0, 10.0, 2 * pi * W1.speed])
def test_equal_pressures_at_all_taps(speed):
    """At rest nothing flows; turning, only the rotor's own head moves liquid. No failure either way."""
    insulated = replace(W1, U_air=0.0)
    net = w1.network(insulated)
    net = Network(net.branches, tuple(Tap(tap.station, "casing", head_share=0.5) for tap in net.taps))
    found = solve_cases(net.topology, w1.machine(net, insulated), w1.liquid("Water").arrays,
                        w1.cases(W1_A, insulated, speed=speed, heat_scale=0.0))
    assert found.outcome[0] == Outcome.LIQUID
    largest = np.abs(found.states.flow[0]).max()
    # creeping flow goes with the square of the speed
    assert largest < min(2e-5 * speed**2, 0.1)
    assert speed < 100 or largest > 1e-3


def test_reversed_taps_reverse_the_flow():
    """Feed and return exchanged, slow rotor: every branch runs backwards, and the balances still close."""
    net = w1.network()
    feed, back, bearing = net.taps
    reversed_ = Network(net.branches,
                        (replace(feed, head_share=back.head_share), replace(back, head_share=0.96, core_rotation=0.0),
                                       replace(bearing, head_share=0.96, core_rotation=0.0)))
    found = solve_cases(reversed_.topology, w1.machine(reversed_), w1.liquid("Water").arrays,
                        w1.cases(W1_A, speed=30.0))
    assert found.outcome[0] == Outcome.LIQUID
    assert (found.states.flow[0] < 0).all()
    mass, mixing, energy = balances(reversed_, found.states, 0)
    assert mass < 1e-10
    assert mixing < 1e-8
    assert energy < 1e-8


@pytest.mark.parametrize("duty", DUTIES)
def test_worst_margins_are_the_least_of_all_places(duty):
    """Taken anew from the solved pressures and temperatures with the liquid's own vapour pressure."""
    _, found = w1.run(DUTIES[duty])
    states, x, liquid = found.states, found.states.scalars[0], w1.liquid(DUTIES[duty].liquid)
    pressure, temperature = states.pressure[0], states.temperature[0]
    bulk = pressure - liquid.vapour_pressure(temperature)
    warmer = liquid.saturation_temperature(pressure) - temperature
    wall = liquid.saturation_temperature(states.cells[0, ring.CELL_PRESSURE]) - states.cells[0, ring.CELL_WALL]
    for margin, at, places in ((solve.PRESSURE_MARGIN, solve.PRESSURE_MARGIN_AT, bulk),
                               (solve.TEMPERATURE_MARGIN, solve.TEMPERATURE_MARGIN_AT, warmer),
                               (solve.WALL_MARGIN, solve.WALL_MARGIN_AT, wall)):
        assert x[margin] == pytest.approx(places.min(), rel=1e-9)
        assert x[at] == places.argmin()
    assert x[solve.HOTTEST_WALL] == states.cells[0, ring.CELL_WALL].max()
