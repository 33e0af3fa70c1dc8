"""Balances and limits of the pump in time: rest, heat, mass, order of events, messages."""

from functools import cache
from importlib import import_module
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

import wetpath as wp
from wetpath.errors import InputError, LimitError, UnknownName
from wetpath.upsets import KINDS, SPREADS, Upset, drawn, ensemble, simulate
from wetpath.upsets.knots import Factors, _capacity_slope
from wetpath.upsets.observe import _crossing, _shut_in
from wetpath.upsets.simulation import ROUGHER, carried_margin, follow, prepare

module = import_module("wetpath.upsets.ensemble")
CASES = [("butane_reflux", "medium"), ("hot_water", "medium"), ("cold_water", "large"),
         ("dichloromethane", "medium_ceramic"), ("propane_suction_return", "medium_suction"),
         ("acrylic_ester_flushed", "medium_flush")]
ENQUIRIES = Path(wp.__file__).parent / "data" / "demo" / "enquiries"


@cache
def rating_of(enquiry: str, pump: str) -> wp.Rating:
    return wp.rate(ENQUIRIES / f"{enquiry}.toml", pump=wp.demo_pump(pump))


@pytest.mark.parametrize(("enquiry", "pump"), CASES)
def test_rated_state_stays(enquiry, pump):
    """Without an upset nothing moves, and the walls stand at the temperatures of the rating."""
    rating = rating_of(enquiry, pump)
    line = simulate(rating, [])
    for course in (line.shell_wall, line.annulus_liquid, line.casing_temperature, line.bearing_temperature,
                   line.magnet_temperature, line.outer_magnet_temperature, line.shaft_power, line.flow):
        assert np.abs(course / course[0] - 1).max() < 1e-6
    assert (line.rear_liquid_share == 1).all()
    assert line.shaft_power[0] == pytest.approx(rating.losses.shaft[0], rel=1e-9)
    assert line.flow[0] == pytest.approx(rating.inputs.flow[0], rel=1e-9)


@pytest.mark.parametrize(("enquiry", "pump"), CASES[:2])
@pytest.mark.parametrize("kind", KINDS)
def test_heat_made_is_carried_off_or_stored(enquiry, pump, kind):
    line = simulate(rating_of(enquiry, pump), [Upset(kind)])
    assert line.energy_error < 1e-6
    for share in (line.rear_liquid_share, line.casing_liquid_share, line.bearing_liquid_share):
        assert share.min() >= 0
        assert share.max() <= 1
    times = [event.time for event in line.events]
    assert times == sorted(times)
    assert line.events[0].time <= 10.0
    assert np.isfinite(line.shell_wall).all()
    assert np.isfinite(line.motor_power).all()


def test_cause_comes_before_its_effects():
    line = simulate(rating_of("hot_water", "medium"), [Upset("suction pressure decay")])
    assert line.when("cause") < line.when("priming lost") < line.when("liquid lost behind") < line.when("rear empty")
    assert line.when("rear empty") < line.when("shell limit")


def test_less_circulation_heats_the_wall_more():
    rating = rating_of("butane_reflux", "medium")
    walls = [simulate(rating, [Upset("feed plugging", values={"share": share})]).shell_wall.max()
             for share in (0.8, 0.4, 0.1)]
    assert walls[0] < walls[1] < walls[2]


def test_a_short_slug_passes():
    """After a mild slug of cold water everything is as before."""
    line = simulate(rating_of("cold_water", "large"),
                    [Upset("hot slug", values={"rise": 5.0, "fall": -5.0, "lasts": 20.0})], duration=1800.0)
    assert line.casing_temperature.max() - line.casing_temperature[0] > 1.0
    assert line.casing_temperature[-1] == pytest.approx(line.casing_temperature[0], abs=0.01)


def test_upsets_come_together():
    """Wear and plugging together are hotter than each alone."""
    rating = rating_of("butane_reflux", "medium")
    plugging = Upset("feed plugging", values={"share": 0.3})
    slug = Upset("hot slug", values={"rise": 1.0, "fall": 0.0})
    hottest = [simulate(rating, some).shell_wall.max() for some in ([plugging], [slug], [plugging, slug])]
    assert hottest[2] > max(hottest[:2]) + 0.3


def test_factor_on_the_loss_out_of_step_heats_more():
    rating = rating_of("butane_reflux", "medium")
    hot = [simulate(rating, [Upset("solidified", values={"factor": factor})], duration=60.0).shell_wall.max()
           for factor in (1.0, 2.0)]
    assert hot[1] > hot[0] + 10


def test_bands_hold_the_middle_and_are_repeatable():
    rating = rating_of("butane_reflux", "medium")
    first, second = (ensemble(rating, [Upset("dry start")], copies=16, duration=120.0) for _ in range(2))
    band = first.bands["shell limit"]
    assert band.low < band.middle < band.high
    assert band.share == 1
    np.testing.assert_array_equal(first.times["shell limit"], second.times["shell limit"])


def broken(count: int):
    """`simulate` that cannot follow the first so many copies with drawn numbers."""
    left = [count]

    def follow_or_not(rating, upsets, **told):
        if told["rougher"] > 1.0 and left[0] > 0:
            left[0] -= 1
            raise LimitError("the course of this upset cannot be followed")
        return simulate(rating, upsets, **told)

    return follow_or_not


def test_a_copy_that_cannot_be_followed_is_counted(monkeypatch):
    """Its bands are those of the others; when none can be followed, that is told as an error."""
    rating = rating_of("butane_reflux", "medium")
    whole = ensemble(rating, [Upset("dry start")], copies=8, duration=30.0)
    assert whole.failed == 0
    monkeypatch.setattr(module, "simulate", broken(3))
    found = ensemble(rating, [Upset("dry start")], copies=8, duration=30.0)
    assert found.failed == 3
    np.testing.assert_array_equal(found.times["shell limit"], whole.times["shell limit"][3:])
    monkeypatch.setattr(module, "simulate", broken(8))
    with pytest.raises(LimitError):
        ensemble(rating, [Upset("dry start")], copies=8, duration=30.0)


def test_numbers_drawn_tell_their_source():
    """Every number of the model that is drawn says where its ends come from, and holds the nominal one."""
    assert set(SPREADS) == set(Factors.__dataclass_fields__)
    for name, one in SPREADS.items():
        assert one.low < getattr(Factors(), name) < one.high
        assert one.text
        assert (one.source == "published") == bool(one.cited)
    for copy in drawn(32):
        assert all(one.low <= getattr(copy, name) <= one.high for name, one in SPREADS.items())
    assert drawn(0) == []


def test_messages():
    with pytest.raises(UnknownName) as unknown:
        Upset("dry stat")
    assert str(unknown.value) == 'kind = "dry stat" is not an upset known here. Did you mean dry start?'
    with pytest.raises(InputError) as outside:
        Upset("gas entrained", values={"share": 1.5})
    assert str(outside.value) == "share = 1.5 - is outside the allowed range 0 to 1 -"
    with pytest.raises(InputError) as no_time:
        simulate(rating_of("cold_water", "large"), [], duration=0.0)
    assert str(no_time.value) == "duration = 0 s must be above 0 s"


def test_a_case_that_does_not_run_is_refused():
    with pytest.raises(InputError) as dead:
        simulate(rating_of("butane_as_found", "medium_plugged"), [])
    assert str(dead.value) == ('case = "A normal" has no liquid solution to begin with: an upset starts from a rated '
                               "state that runs\n  do:  take another case")


def test_flow_stops_where_the_head_falls_to_the_static_one():
    """Out of step the pump cannot lift into a system with static head: no flow, within two seconds."""
    line = simulate(rating_of("hot_water", "medium"), [Upset("magnets pulled out")], duration=60.0)
    assert line.flow[line.time > 12.0].max() == 0.0
    assert line.flow[line.time < 10.0].min() > 0.0


@pytest.mark.parametrize("kind", ["return plugging", "suction lost", "discharge closed", "magnets pulled out"])
def test_copies_of_rougher_tolerance_tell_the_same_times(kind):
    rating = rating_of("hot_water", "medium")
    fine, rough = (simulate(rating, [Upset(kind)], duration=400.0, rougher=one) for one in (1.0, ROUGHER))
    times = {event.name: event.time for event in fine.events}
    assert {event.name for event in rough.events} == set(times)
    for event in rough.events:
        assert event.time == pytest.approx(times[event.name], rel=1e-3, abs=1e-3)


def test_spread_numbers_of_harm_move_its_time():
    """More dry seconds or less loss out of step: damage later; a brighter shell is hotter in the end."""
    rating = rating_of("hot_water", "medium")
    dry = [simulate(rating, [Upset("dry start")], factors=Factors(dry_seconds=one)).when("bearings dry")
           for one in (15.0, 60.0)]
    assert dry[1] - dry[0] == pytest.approx(45.0, abs=1.0)
    ends = [simulate(rating, [Upset("dry start")], duration=600.0, factors=Factors(emissivity=one)).shell_wall[-1].max()
            for one in (0.2, 0.8)]
    assert ends[0] > ends[1] + 20.0
    slipping = [simulate(rating, [Upset("magnets pulled out")], duration=60.0, factors=Factors(slip=one)
                         ).shell_wall[-1].max() for one in (0.75, 1.35)]
    assert slipping[1] > slipping[0]


def test_a_start_behind_a_cooler_begins_cool():
    """The hot oil arrives cooled behind the inner ring: magnets that may not see the oil do not begin at its heat."""
    rating = rating_of("hot_oil", "medium_hot")
    line = simulate(rating, [Upset("start decoupled")], case=rating.verdict.case, duration=60.0)
    assert line.magnet_temperature[0] < rating.inputs.temperature[rating.verdict.case] - 5.0
    assert line.when("magnet limit") > 0.0


def test_relief_pressure_waits_for_the_valves():
    """A hot slug before the valves are shut makes no pressure of expansion."""
    rating = rating_of("hot_water", "medium")
    line = simulate(rating, [Upset("hot slug", 10.0, {"rise": 20.0, "fall": -20.0, "lasts": 60.0}),
                             Upset("blocked in", 200.0)], duration=600.0)
    assert line.when("relief pressure") > 200.0


def test_rings_slip_when_the_margin_of_the_magnets_ends():
    """Not a step of the output before: a coarse output tells the time of a fine one, and there no margin is left."""
    course, knots, liquid = prepare(rating_of("hot_water", "medium"),
                                    [Upset("wrong liquid", values={"density": 4.0, "over": 100.0})], 0, 150.0,
                                    Factors())
    found = []
    for points in (16, 15001):
        told = follow(course, knots, liquid, np.linspace(0.0, 150.0, points))
        margin = carried_margin(knots, liquid, told.time, told.states)
        at = int(np.flatnonzero(told.time == told.slips_at)[0])
        assert abs(margin[at]) < 2e-3 * margin[0]
        assert (margin[:at] > 0).all()
        assert (np.diff(told.time) > 0).all()
        found.append(told.slips_at)
    assert found[0] == pytest.approx(found[1], abs=0.1)


def made_up(mean: float):
    """A liquid of heat capacity 1 at the beginning, whose mean up to boiling at 350 K is another."""
    def state(temperature, _):
        return SimpleNamespace(heat_capacity=1.0, enthalpy=mean * (temperature - 300.0))

    return SimpleNamespace(saturation_temperature=lambda _: 350.0, temperature_range=(200.0, 500.0), state=state)


@pytest.mark.parametrize(("mean", "others", "held"), [(1.2, [300.0], False), (0.4, [300.0], True),
                                                      (1.2, [200.0, 320.0], False), (1.3, [150.0], True)])
def test_heat_capacity_stays_positive_where_it_is_used(mean, others, held):
    """A heat capacity that falls steeply to boiling, or rises so steeply that it ends below the coldest air."""
    slope, told = _capacity_slope(made_up(mean), 300.0, 1e5, np.array(others))
    assert told is held
    for there in (350.0, *others):
        assert 1.0 + slope * (there - 300.0) >= 0.2 - 1e-12
    if not held:
        assert 50.0 * (1.0 + 25.0 * slope) == pytest.approx(50.0 * mean)      # heat taken up to boiling


def test_another_liquid_is_told():
    """It warns where conditions of another liquid come, and not before."""
    rating = rating_of("hot_water", "medium")
    told = simulate(rating, [Upset("wrong liquid")], duration=30.0).warnings
    assert any(one.startswith("another liquid:") for one in told)
    assert not any(one.startswith("another liquid:") for one in simulate(rating, [Upset("hot slug")]).warnings)


def test_a_more_volatile_liquid_is_lost():
    """Lighter and with ten times the vapour pressure it boils; with the vapour pressure rated it does not."""
    rating = rating_of("hot_water", "medium")
    calm, boils = (simulate(rating, [Upset("wrong liquid", values={"density": 0.7, "vapour_pressure": one})],
                            duration=60.0) for one in (1.0, 10.0))
    assert np.isinf(calm.when("liquid lost behind"))
    assert boils.when("margin lost") < 15.0
    assert boils.when("liquid lost behind") < 15.0
    assert max(calm.energy_error, boils.energy_error) < 1e-6


def test_liquid_shut_in_is_looked_at_only_between_closed_valves():
    """What is there already when the valves close is told from there, not from an earlier time by interpolation."""
    rating = rating_of("hot_water", "medium")
    blocked = [Upset("blocked in", 10.0, {"over": 4.0})]
    line = simulate(rating, blocked, duration=60.0)
    course, knots, _ = prepare(rating, blocked, 0, 60.0, Factors())
    told = _shut_in(course, line, knots)
    assert np.isnan(told[line.time < 11.9]).all()
    assert (told[line.time > 12.1] > 350.0).all()
    time = np.array([0.0, 5.0, 10.0, 15.0])
    assert _crossing(time, np.array([np.nan, np.nan, 400.0, 410.0]), 350.0) == 10.0
    assert _crossing(time, np.array([np.nan, np.nan, 400.0, 410.0]), 405.0) == 12.5
    assert _crossing(time, np.array([np.nan, 400.0, np.nan, np.nan]), 405.0) == np.inf


def test_the_station_that_boils_first_is_named():
    line = simulate(rating_of("butane_reflux", "medium"), [Upset("suction pressure decay")])
    event = next(one for one in line.events if one.name == "margin lost")
    margin = line.station_margin[line.time > event.time][0]
    first = line.station_names[int(np.nanargmin(margin))]
    assert f"first at station {first}, " in event.text


def test_a_vessel_empties_by_its_area_and_the_net_outflow():
    """Level and suction pressure fall as outflow less inflow over the surface says, until the outlet draws gas."""
    rating = rating_of("cold_water", "large")
    values = {"over": 0.01, "inflow": 0.25, "area": 5.0, "above_outlet": 2.0}
    line = simulate(rating, [Upset("vessel emptied", 10.0, values)], duration=600.0)
    flow, bore = float(rating.inputs.flow[0]), rating.pump.casing.suction_bore
    expected = 10.0 + (2.0 - bore) * 5.0 / (0.75 * flow)
    assert line.when("gas drawn in") == pytest.approx(expected, rel=1e-3)
    assert line.when("gas drawn in") < line.when("priming lost")
    at = int(np.searchsorted(line.time, expected - 5.0))
    fallen = line.over_outlet[0] - line.over_outlet[at]
    density = float(rating.liquid.state(line.suction_temperature[0], line.suction_pressure[0]).density)
    assert line.suction_pressure[0] - line.suction_pressure[at] == pytest.approx(density * 9.80665 * fallen, rel=1e-6)
    assert line.over_outlet.min() > 0.0
    assert line.energy_error < 1e-6


def test_a_vessel_that_gets_as_much_as_it_gives_stands():
    rating = rating_of("cold_water", "large")
    line = simulate(rating, [Upset("vessel emptied", values={"inflow": 1.0})], duration=600.0)
    assert np.abs(line.over_outlet - line.over_outlet[0]).max() < 1e-6
    assert line.flow[-1] == pytest.approx(line.flow[0], rel=1e-6)
    assert np.isnan(simulate(rating, [Upset("hot slug")], duration=60.0).over_outlet).all()


def test_a_pump_without_prime_has_to_stand_and_vent():
    """Liquid comes back after 20 s: a pump that turns stays bound by gas, one that stood and vented pumps again."""
    rating = rating_of("cold_water", "large")
    lost = Upset("suction lost", 10.0, {"lasts": 20.0})
    turning = simulate(rating, [lost])
    assert np.isinf(turning.when("prime regained"))
    assert turning.flow[-1] == 0.0
    vented, shut = (simulate(rating, [lost, Upset("hot restart", 14.0, {"stands": 160.0, "vents": one})])
                    for one in (30.0, 1e6))
    assert turning.when("priming lost") < vented.when("prime regained") < 14.0 + 160.0 + 5.0
    assert vented.flow[-1] == pytest.approx(vented.flow[0], rel=1e-3)
    assert shut.flow[-1] == 0.0
    assert max(one.energy_error for one in (turning, vented, shut)) < 1e-6


def test_gas_leaves_a_standing_pump_with_its_time_constant():
    """With liquid before it the rest of the gas falls by e in the time told."""
    rating = rating_of("cold_water", "large")
    line = simulate(rating, [Upset("suction lost", 10.0, {"lasts": 5.0}),
                             Upset("hot restart", 11.0, {"stands": 400.0, "vents": 40.0})], duration=300.0)
    first, last = (float(np.interp(time, line.time, 1.0 - line.casing_liquid_share)) for time in (60.0, 140.0))
    assert first > 1e-3
    assert last / first == pytest.approx(np.exp(-2.0), rel=1e-3)


def test_liquid_that_comes_back_is_as_cold_as_it_arrives():
    """Behind the impeller the space fills again; what fills it is no hotter than boiling, and the hot shell is told."""
    line = simulate(rating_of("hot_water", "medium"), [Upset("suction lost", 10.0, {"lasts": 20.0})], duration=120.0)
    assert line.when("rear empty") < line.when("liquid back behind") < line.when("prime regained") < 60.0
    assert line.rear_liquid_share[-1] == pytest.approx(1.0, abs=1e-3)
    assert any("hotter than boiling" in one for one in line.warnings)
    assert line.return_temperature[-1] == pytest.approx(line.return_temperature[0], abs=1.0)
    assert line.energy_error < 1e-6
