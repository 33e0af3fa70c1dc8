"""Every class of outcome is reached, and told with where and when the liquid is lost; stall is never an exception."""

from dataclasses import replace
from math import sqrt

import demo_models as demo
import numpy as np
import pytest
import w1_circulation as w1
from plain_frame import W1, W1_A, W1_C

from wetpath.circulation import solve
from wetpath.circulation.continuation import Solution, solve_cases
from wetpath.circulation.network import Network
from wetpath.circulation.outcome import Outcome


def starved(area, *, heat_scale=1.0, above=0.6e5):
    """W1-c with its feed hole stopped down to a share of its area."""
    frame = replace(W1, d_feed=W1.d_feed * sqrt(area))
    return w1.run(replace(W1_C, above_psat=above), frame, heat_scale=heat_scale)


@pytest.mark.parametrize(("area", "outcome"), [
    (1.0, Outcome.LIQUID), (0.3, Outcome.WALL_BOILING), (0.12, Outcome.FLASHING), (0.05, Outcome.NO_SOLUTION)])
def test_starving_the_feed_of_frame_w1(area, outcome):
    _, found = starved(area)
    assert found.outcome[0] == outcome


@pytest.mark.parametrize(("diameter", "outcome"), [
    (7.5e-3, Outcome.LIQUID), (3.2e-3, Outcome.WALL_BOILING), (2.6e-3, Outcome.FLASHING), (1.6e-3,
                                                                                           Outcome.NO_SOLUTION)])
def test_starving_the_feed_of_a_demo_pump(diameter, outcome):
    model = demo.model("medium", "n-Butane")
    starved_pump = demo.changed(model, "bush_holder", feed_diameter=diameter)
    solved = starved_pump.solve(demo.inputs(model, temperature=320.0, above=0.2e5), place_losses=True)
    assert solved.solution.outcome[0] == outcome


def test_a_bare_margin_is_lost_at_the_return_before_full_heat():
    """With return to suction 0.1 bar above the vapour pressure the warmed liquid flashes where it comes back."""
    net, found = starved(1.0, above=0.1e5)
    assert found.outcome[0] == Outcome.FLASHING
    assert net.stations[found.lost_at[0]] in ("R", "R1")
    share = found.lost_share[0]
    assert 0.0 < share < 1.0
    for factor, liquid in ((0.99, True), (1.01, False)):
        _, at = starved(1.0, above=0.1e5, heat_scale=share * factor)
        assert bool(at.states.scalars[0, solve.PRESSURE_MARGIN] > 0) is liquid


def test_too_little_pressure_is_lost_without_any_heat():
    """P1 barely above psat: friction and pump work alone flash the return; share 0."""
    _, found = starved(1.0, above=0.02e5)
    assert found.outcome[0] == Outcome.FLASHING
    assert found.lost_share[0] == 0.0


def test_losses_come_earlier_the_smaller_the_feed():
    shares = [starved(area)[1].lost_share[0] for area in (0.16, 0.14, 0.12, 0.10)]
    assert all(0 < share <= 1 for share in shares)
    assert shares == sorted(shares, reverse=True)


def test_liquid_cases_have_no_place_of_loss():
    _, found = starved(1.0)
    assert np.isnan(found.lost_share[0])
    assert found.lost_at[0] == -1


def test_places_are_only_looked_for_when_asked():
    frame = replace(W1, d_feed=W1.d_feed * sqrt(0.12))
    _, found = w1.run(W1_C, frame, place_losses=False)
    assert found.outcome[0] == Outcome.FLASHING
    assert np.isnan(found.lost_share[0])


@pytest.mark.parametrize("area", [0.07, 0.05, 0.02, 0.005])
def test_a_stalled_shaft_branch_is_a_finding(area):
    """Without heat the network closes: the branch of shaft and annulus creeps or turns back, the bearings flow on."""
    _, found = starved(area, heat_scale=0.0)
    states = found.states
    assert states.scalars[0, solve.CONVERGED] == 1.0
    assert states.flow[0, w1.ANNULUS] < 0.05 * states.flow[0, w1.FEED]
    assert states.flow[0, w1.FRONT_THRUST] > 0
    assert np.isfinite(states.temperature).all()
    assert states.scalars[0, solve.MASS_RESIDUAL] < 1e-8
    if area < 0.06:
        assert states.flow[0, w1.ANNULUS] < 0


@pytest.mark.parametrize(("area", "outcome"), [
    (0.08, Outcome.NO_SOLUTION), (0.05, Outcome.NO_SOLUTION), (0.02, Outcome.NO_SOLUTION), (0.005, Outcome.FLASHING)])
def test_with_heat_a_stalled_branch_ends_in_a_told_outcome(area, outcome):
    """With the feed all but shut the annulus is fed backwards from the eye, and that flow, flashing, closes again."""
    net, found = starved(area)
    assert found.outcome[0] == outcome
    assert 0.0 <= found.lost_share[0] < 0.2
    assert 0 <= found.lost_at[0] < len(net.stations)
    for array in found.states:
        assert np.isfinite(array).all()


@pytest.mark.common_practice
def test_losing_the_circulation_is_what_makes_vapour():
    """Common practice, no source: a plugged feed, not the loss itself, brings a magnetic-drive pump to flash.

    Twice the shell loss at full feed leaves the liquid; the usual loss at an eighth of the feed does not.
    """
    _, doubled = w1.run(W1_C, replace(W1, q0=2 * W1.q0))
    _, plugged = starved(0.125)
    assert doubled.states.scalars[0, solve.PRESSURE_MARGIN] > 0
    assert plugged.outcome[0] in (Outcome.FLASHING, Outcome.NO_SOLUTION)


def test_an_unknown_vapour_pressure_is_said_to_be_unknown():
    """No verdict without a vapour pressure: NaN margins are no infinite margin."""
    water = w1.liquid("Water").arrays
    rows = water.rows.copy()
    rows[:, 0] = np.nan
    net = w1.network()
    found = solve_with(net, water._replace(rows=rows))
    assert found.outcome[0] == Outcome.UNKNOWN
    assert np.isnan(found.states.scalars[0, solve.PRESSURE_MARGIN])
    known = solve_with(net, water)
    np.testing.assert_allclose(found.states.flow, known.states.flow, rtol=1e-12)


def solve_with(net: Network, arrays) -> Solution:
    return solve_cases(net.topology, w1.machine(net), arrays, w1.cases(W1_A))


@pytest.mark.parametrize("outcome", Outcome)
def test_every_outcome_has_its_sentence(outcome):
    assert len(outcome.words) > 20
    assert len({one.words for one in Outcome}) == len(Outcome)
