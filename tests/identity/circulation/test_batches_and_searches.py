"""Batches against single solves, warm starts against cold ones, and the searches for what is missing."""

import demo_models as demo
import numpy as np
import pytest
import w1_circulation as w1
from plain_frame import W1_C

from wetpath.circulation import solve
from wetpath.circulation.batch import solve_batch
from wetpath.circulation.continuation import solve_cases
from wetpath.circulation.outcome import Outcome
from wetpath.rating.missing import (
    PRESSURE_RESOLUTION,
    TEMPERATURE_RESOLUTION,
    distance,
    missing_cooling,
    missing_suction_pressure,
)

MARGINS = [solve.PRESSURE_MARGIN, solve.TEMPERATURE_MARGIN, solve.WALL_MARGIN]


@pytest.mark.parametrize("liquid", ["n-Butane", "Water"])
def test_a_batch_equals_single_solves_bit_for_bit(liquid):
    model = demo.model("medium", liquid)
    count = 16
    batch = demo.inputs(model, share=np.linspace(0.1, 1.5, count), temperature=demo.USUAL[liquid],
                        above=np.linspace(-0.2e5, 3e5, count))
    together = model.solve(batch, place_losses=True)
    for case in range(count):
        alone = model.solve(batch.chosen(np.array([case])), place_losses=True)
        for ours, theirs in zip(together.solution.states, alone.solution.states, strict=True):
            assert np.array_equal(ours[case], theirs[0])
        assert together.solution.outcome[case] == alone.solution.outcome[0]
        assert np.array_equal(together.solution.lost_share[case], alone.solution.lost_share[0], equal_nan=True)
        assert together.solution.lost_at[case] == alone.solution.lost_at[0]


def test_the_same_batch_twice_is_the_same_to_the_last_bit():
    model = demo.model("medium", "Propane")
    batch = demo.inputs(model, share=np.linspace(0.05, 1.6, 40), temperature=300.0, above=1e5)
    first, second = model.solve(batch, place_losses=True), model.solve(batch, place_losses=True)
    for ours, theirs in zip(first.solution.states, second.solution.states, strict=True):
        assert np.array_equal(ours, theirs)


def test_a_path_of_warm_starts_ends_at_the_cold_solution():
    """From 5 to 15 m3/h in steps, each from the state before; tolerance: where the passes stop."""
    net = w1.network(returns_to="suction")
    machine, liquid = w1.machine(net), w1.liquid("n-Butane").arrays
    _, cold = w1.run(W1_C, flow=15 / 3600, head=29.0, efficiency=0.48)
    _, path = w1.run(W1_C, flow=5 / 3600, head=35.0, efficiency=0.32)
    states = path.states
    for part in np.linspace(0.1, 1.0, 10):
        between = w1.cases(W1_C, flow=(5 + 10 * part) / 3600, head=35.0 - 6.0 * part, efficiency=0.32 + 0.16 * part)
        solve_batch(net.topology, machine, liquid, between, True, states)
        assert states.scalars[0, solve.CONVERGED] == 1.0
    np.testing.assert_allclose(states.flow, cold.states.flow, rtol=1e-7)
    np.testing.assert_allclose(states.temperature, cold.states.temperature, rtol=0, atol=1e-5)
    np.testing.assert_allclose(states.pressure, cold.states.pressure, rtol=1e-8)


def test_one_machine_of_many_is_picked_by_its_number():
    """Two frames in one batch, each with its own loss, against each of them alone."""
    net = w1.network(returns_to="suction")
    one, other = w1.machine(net), w1.machine(net, heat=1.5)
    both = type(one)(*(np.concatenate(pair) for pair in zip(one, other, strict=True)))
    cases = w1.cases(W1_C, count=2)._replace(pump=np.array([1, 0]))
    found = solve_cases(net.topology, both, w1.liquid("n-Butane").arrays, cases)
    for case, machine in ((0, other), (1, one)):
        alone = solve_cases(net.topology, machine, w1.liquid("n-Butane").arrays, w1.cases(W1_C))
        assert np.array_equal(found.states.temperature[case], alone.states.temperature[0])


@pytest.mark.parametrize("pump", ["medium", "medium_suction", "small"])
@pytest.mark.parametrize("liquid", ["n-Butane", "Water", "Propane"])
def test_more_suction_pressure_never_lowers_a_margin(pump, liquid):
    model = demo.model(pump, liquid)
    above = np.linspace(0.0, 15e5, 61)
    for share in (0.3, 1.0):
        solved = model.solve(demo.inputs(model, share=share, temperature=demo.USUAL[liquid], above=above))
        assert (solved.solution.outcome != Outcome.NO_SOLUTION).all()
        margins = solved.solution.states.scalars[:, MARGINS]
        assert (np.diff(margins, axis=0) > 0).all()


def short(model):
    return demo.inputs(model, share=np.array([0.3, 0.7, 1.0, 1.1]), temperature=demo.USUAL["n-Butane"], above=0.1e5)


def test_the_missing_suction_pressure_is_just_enough():
    """Given what is missing the tightest margin holds, and within the resolution it is zero."""
    model = demo.model("medium", "n-Butane")
    cases = short(model)
    asked = {"pressure_margin": 2e5, "temperature_margin": 8.0, "wall_margin": 2.0}
    missing = missing_suction_pressure(model, cases, **asked)
    assert (missing > 0).all()
    enough = distance(model.solve(cases.changed(pressure=cases.pressure + missing)), *asked.values())
    less = distance(model.solve(cases.changed(pressure=cases.pressure + missing - 2 * PRESSURE_RESOLUTION)),
                    *asked.values())
    assert (enough >= 0).all()
    assert (less < 0).all()
    assert (enough < 2 * PRESSURE_RESOLUTION / 1e5).all()


def test_the_missing_cooling_is_just_enough():
    model = demo.model("medium", "n-Butane")
    cases = short(model)
    asked = {"pressure_margin": 2e5, "temperature_margin": 8.0, "wall_margin": 2.0}
    missing = missing_cooling(model, cases, **asked)
    assert (missing > 0).all()
    enough = distance(model.solve(cases.changed(temperature=cases.temperature - missing)), *asked.values())
    less = distance(model.solve(cases.changed(temperature=cases.temperature - missing + 2 * TEMPERATURE_RESOLUTION)),
                    *asked.values())
    assert (enough >= 0).all()
    assert (less < 0).all()


def test_nothing_is_missing_where_the_margins_hold():
    model = demo.model("medium", "Water")
    cases = demo.inputs(model, share=np.array([0.5, 1.0]), temperature=320.0, above=5e5)
    assert (missing_suction_pressure(model, cases, pressure_margin=1e5, temperature_margin=5.0,
                                     wall_margin=0.0) == 0).all()
    assert (missing_cooling(model, cases, pressure_margin=1e5, temperature_margin=5.0, wall_margin=0.0) == 0).all()


def test_what_cannot_be_had_is_nan():
    """A margin of 80 bar is beyond the 60 bar that are looked through."""
    model = demo.model("medium", "Water")
    cases = demo.inputs(model, temperature=320.0)
    assert np.isnan(missing_suction_pressure(model, cases, pressure_margin=80e5)).all()
