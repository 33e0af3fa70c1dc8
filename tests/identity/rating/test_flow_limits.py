"""Flow limits: equal to a fine scan, at home in their checks, and moving the way physics makes them move."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import wetpath
from wetpath.edge.files import load_document, loads_document
from wetpath.edge.practice import Practice, default_practice
from wetpath.liquids.liquid_file import LiquidFile
from wetpath.liquids.specification import load_liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.pump.performance_curve import performance_curve
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.flow_limits import (
    BULK_RISE,
    POWER_RESOLUTION,
    RESOLUTION,
    at_flows,
    bulk_rise,
    circulation_left,
    find_flow_limits,
    power_over_no_flow,
    stable_from,
)
from wetpath.rating.rate import rate

ENQUIRIES = Path(wetpath.__file__).parent / "data" / "demo" / "enquiries"
HOURLY = 1 / 3600


@cache
def parts(name):
    enquiry = load_document(ENQUIRIES / f"{name}.toml", Enquiry)
    entry = enquiry.liquid or load_document(ENQUIRIES / enquiry.liquid_file, LiquidFile).liquid
    return (load_document(ENQUIRIES / enquiry.pump_file, PumpFile), enquiry, load_liquid(entry.specification()))


@cache
def demo(name):
    return rate(*parts(name))


def one_case(name, practice=None, **changes):
    pump, enquiry, liquid = parts(name)
    case = enquiry.cases[0].model_copy(update=changes)
    return rate(pump, enquiry.model_copy(update={"cases": (case,)}), liquid, practice)


def with_limit(name, value):
    limits = default_practice()
    return Practice("own", {**limits, name: replace(limits[name], value=value)})


LEFTS = {
    "internal circulation": circulation_left,
    "NPSH": lambda at: at.npsh_available - at.suction.npsh_needed,
    "coupling pull-out": lambda at: at.losses.coupling_ratio - at.practice["coupling_margin_running"].value,
}


@pytest.mark.parametrize("name", ["propane", "propane_suction_return", "ammonia", "water_test", "hot_water"])
def test_limits_are_those_of_a_fine_scan(name):
    """600 flows to a case, straight from the solve; room is one step of that scan and the resolution of ours."""
    rating = demo(name)
    limits, situation = rating.flow_limits, rating.situation
    for case in range(situation.count):
        flow = np.linspace(limits.scanned_from[case], limits.scanned_to[case], 600)
        fine = at_flows(situation, np.full(flow.size, case), flow)
        room = flow[1] - flow[0] + RESOLUTION * rating.point.best_flow[case]
        for limit, left in LEFTS.items():
            holds, found = left(fine) >= 0, limits[limit]
            if not holds.any():
                assert found.holds_nowhere[case]
                continue
            start = np.abs(np.where(holds, flow, np.inf) - limits.flow[case]).argmin()
            below, above = np.flatnonzero(~holds[:start]), np.flatnonzero(~holds[start:])
            lowest = flow[below[-1] + 1] if below.size else 0.0
            highest = flow[start + above[0] - 1] if above.size else np.inf
            assert found.lowest[case] == pytest.approx(lowest, abs=room), limit
            assert found.highest[case] == pytest.approx(highest, abs=room), limit


def test_some_of_those_limits_have_two_ends_and_some_none():
    """So that the comparison above compares something."""
    circulation = demo("propane").flow_limits["internal circulation"]
    assert (circulation.lowest[1] > 0) & np.isfinite(circulation.highest[1])
    assert demo("propane_suction_return").flow_limits["internal circulation"].holds_nowhere.all()
    assert np.isfinite(demo("ammonia").flow_limits["NPSH"].highest).all()


@pytest.mark.parametrize(("name", "case", "which"), [("propane", 1, "lowest"), ("propane", 1, "highest")])
def test_at_its_limit_a_demand_just_holds(name, case, which):
    situation = demo(name).situation
    flow = getattr(situation.flow_limits["internal circulation"], which)[case]
    step = (-1 if which == "lowest" else 1) * 2 * RESOLUTION * situation.solved.point.best_flow[case]
    left = circulation_left(at_flows(situation, np.full(2, case), np.array([flow, flow + step])))
    assert left[0] >= 0 > left[1]


def test_minimum_and_maximum_are_the_narrowest_and_named():
    limits = demo("ammonia").flow_limits
    counted = [one for one in limits.limits if one.counts]
    for case in range(limits.flow.size):
        lows = {one.name: one.lowest[case] for one in counted if not np.isnan(one.lowest[case])}
        highs = {one.name: one.highest[case] for one in counted if not np.isnan(one.highest[case])}
        assert limits.minimum[case] == max(lows.values()) == lows[limits.minimum_by[case]]
        assert limits.maximum[case] == min(highs.values()) == highs[limits.maximum_by[case]]


def test_own_flow_inside_all_limits_exactly_where_all_demands_hold():
    for name in ("propane", "ammonia", "water_test", "hot_water"):
        situation = demo(name).situation
        limits = situation.flow_limits
        for limit, left in LEFTS.items():
            found = limits[limit]
            inside = (limits.flow >= found.lowest) & (limits.flow <= found.highest)
            np.testing.assert_array_equal(inside & ~found.holds_nowhere, left(situation) >= 0)


def test_more_suction_pressure_widens_the_range():
    """The liquid stays liquid at less flow and at more, and NPSH is reached at more; heat and power hardly change."""
    ranges = [one_case("propane", vessel=None, above_vapour_pressure=above).flow_limits
              for above in (0.2e5, 0.3e5, 0.5e5)]
    for name in ("internal circulation", "NPSH"):
        lowest = np.array([one[name].lowest[0] for one in ranges])
        highest = np.array([one[name].highest[0] for one in ranges])
        assert (np.diff(lowest) <= 0).all()
        assert (highest[1:] >= highest[:-1]).all()


def test_a_smaller_allowed_rise_asks_for_more_flow():
    flows = [one_case("propane", with_limit("bulk_temperature_rise", rise)).flow_limits[BULK_RISE].lowest[0]
             for rise in (2.0, 4.0, 8.0)]
    assert (np.diff(flows) < 0).all()


def test_the_rise_is_the_heat_over_the_flow():
    """Water far from boiling, compression left out by taking it at the same head: dT = (P - P_hyd)/(rho Q cp)."""
    situation = demo("cold_water").situation
    fine = at_flows(situation, np.zeros(3, int), situation.flow_limits.scanned_from[0] * np.array([1.0, 2.0, 4.0]))
    flow, point = fine.solved.inputs.flow, fine.solved.point
    heat = fine.scalars[:, 19] * (point.power_over_density - 9.80665 * flow * point.head) + fine.losses.circulation_heat
    np.testing.assert_allclose(bulk_rise(fine), heat / (fine.scalars[:, 19] * flow * 4190.0), rtol=0.02, atol=0.02)


def test_power_monitor_counts_only_where_it_is_the_guard():
    pump, enquiry, liquid = parts("cold_water")

    def counted(*trips):
        guarded = enquiry.model_copy(update={"protection": enquiry.protection.model_copy(update={"trips": trips})})
        return rate(pump, guarded, liquid).flow_limits[POWER_RESOLUTION].counts

    assert not counted()
    assert counted("low power")
    assert not counted("low power", "low flow")


def test_power_monitor_needs_two_resolutions_above_no_flow():
    situation = demo("cold_water").situation
    lowest = situation.flow_limits[POWER_RESOLUTION].lowest
    rise = power_over_no_flow(at_flows(situation, np.arange(situation.count), lowest))
    np.testing.assert_allclose(rise, 2 * 0.02 * situation.pump.driver.rated_power, rtol=5e-3)


def test_a_flat_power_curve_has_no_resolution():
    rating = one_case("cold_water", with_limit("power_monitor_resolution", 0.5))
    limit = rating.flow_limits[POWER_RESOLUTION]
    assert limit.holds_nowhere.all()
    assert np.isnan(limit.lowest).all()
    assert any("resolution of a power monitor sets a limit that no flow of this pump meets" in warning
               for warning in rating.warnings)


def test_an_unstable_curve_begins_at_its_top():
    flow = np.array([0.0, 10, 20, 30, 40, 50, 60]) * HOURLY
    drooping = performance_curve(flow, [60.0, 62.0, 62.5, 61.0, 58.0, 53.0, 46.0],
                                 efficiency=[0, 0.25, 0.4, 0.5, 0.56, 0.58, 0.55])
    fine = np.linspace(0, flow[-1], 20001)
    assert stable_from(drooping) == pytest.approx(fine[np.argmax(drooping.head(fine))], abs=2 * fine[1])
    twice = performance_curve(flow, [60.0, 61.0, 59.5, 60.5, 58.0, 53.0, 46.0],
                              efficiency=[0, 0.25, 0.4, 0.5, 0.56, 0.58, 0.55])
    beyond_dip = fine[fine > 20 * HOURLY]
    assert stable_from(twice) == pytest.approx(beyond_dip[np.argmax(twice.head(beyond_dip))], abs=2 * fine[1])
    falling = performance_curve(flow, [63.0, 62.8, 62.0, 60.5, 58.0, 53.0, 46.0],
                                efficiency=[0, 0.25, 0.4, 0.5, 0.56, 0.58, 0.55])
    assert stable_from(falling) == 0.0


def test_more_demands_can_be_asked():
    """A demand that holds from 130 to 190 m3/h sets exactly that range, or is outside it and sets the nearest."""
    situation = demo("cold_water").situation
    limits = find_flow_limits(situation, {"own": lambda at: 30 * HOURLY - np.abs(at.solved.inputs.flow - 160 * HOURLY)})
    room = RESOLUTION * situation.solved.point.best_flow
    assert (np.abs(limits["own"].lowest - 130 * HOURLY) <= room).all()
    assert (np.abs(limits["own"].highest - 190 * HOURLY) <= room).all()
    assert limits.minimum_by[0] == "own"


def test_below_the_minimum_the_by_pass_makes_up_the_difference():
    rating = one_case("cold_water", flow=20 * HOURLY)
    limits = rating.flow_limits
    assert limits.by_pass[0] == pytest.approx(limits.minimum[0] - 20 * HOURLY)
    check = next(one for one in rating.checks if one.name == "minimum_continuous_flow")
    assert check.sense == "at least"
    assert check.limit[0] == limits.minimum[0]
    assert not check.holds[0]
    assert limits.minimum_by[0] in check.where[0]
    assert any(f"set by {limits.minimum_by[0]}: a by-pass of" in warning for warning in rating.warnings)


def test_above_the_maximum_the_check_fails_and_its_cause_governs():
    rating = demo("water_test")
    check = next(one for one in rating.checks if one.name == "maximum_flow")
    assert check.sense == "at most"
    np.testing.assert_array_equal(check.limit, rating.flow_limits.maximum)
    assert check.worst_case == 2
    assert not check.holds[2]
    assert "coupling pull-out" in check.where[2]
    assert rating.verdict.check.name != "maximum_flow"


def test_without_the_full_rating_no_flow_check_is_made():
    names = {one.name for one in rate(*parts("cold_water"), full=False).checks}
    assert not names & {"minimum_continuous_flow", "maximum_flow"}
    assert {one.name for one in demo("cold_water").checks} - names == {"minimum_continuous_flow", "maximum_flow"}


def test_out_of_a_vessel_the_suction_pressure_falls_with_the_flow():
    """Bernoulli at two flows: line loss and velocity head grow with the square of the flow."""
    pump, _, liquid = parts("cold_water")
    text = """
        wetpath = "enquiry/1"
        title = "sump"
        [liquid]
        source = "reference equation"
        substance = "water"
        [[cases]]
        name = "A"
        flow = "180 m3/h"
        temperature = "15 degC"
        vessel = { pressure = "1.01325 bar a", level = "3 m", line_loss = "1.2 m" }
        """
    situation = rate(pump, loads_document(text, Enquiry), liquid).situation
    there = at_flows(situation, np.zeros(2, int), np.array([90.0, 180.0]) * HOURLY)
    weight, velocity = 999.1 * 9.80665, there.solved.inputs.flow / (np.pi * pump.casing.suction_bore**2 / 4)
    want = 101325 + weight * (3 - 1.2 * np.array([0.25, 1.0]) - velocity**2 / 2 / 9.80665)
    np.testing.assert_allclose(there.solved.inputs.pressure, want, rtol=1e-4)
    assert there.solved.inputs.pressure[1] == pytest.approx(situation.solved.inputs.pressure[0], rel=1e-12)
    suction = situation.suction
    assert suction.level[0] == 3.0
    lower = rate(pump, loads_document(text.replace('"3 m"', f'"{suction.lowest_level[0]} m"'), Enquiry), liquid)
    assert lower.situation.npsh_available[0] == pytest.approx(lower.situation.suction.npsh_needed[0], rel=1e-4)


def test_warm_return_to_the_eye_costs_npsh():
    cold, warm = demo("propane").situation.suction, demo("propane_suction_return").situation.suction
    np.testing.assert_allclose(cold.npsh_lost, 0, atol=1e-9)
    assert (warm.npsh_lost > 0.1).all()
    situation = demo("propane_suction_return").situation
    slope = situation.liquid.vapour_pressure_slope(situation.solved.inputs.temperature)
    weight = situation.scalars[:, 19] * 9.80665
    np.testing.assert_allclose(warm.npsh_lost, slope * warm.eye_rise / weight, rtol=0.01)
