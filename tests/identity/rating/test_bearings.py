"""Bearing states and checks: limits, scaling, datum, sense, where a demand applies."""

from dataclasses import replace

import bearing_situations
import demo_models
import numpy as np
import pytest
from pydantic import ValidationError

from wetpath.circulation import solve
from wetpath.edge.files import dump_document, loads_document
from wetpath.errors import InputError
from wetpath.machine.external_bearings import ExternalBearings, RollingBearing
from wetpath.machine.impeller import BackVanes
from wetpath.machine.pump_file import PumpFile
from wetpath.rating import bearing_state
from wetpath.rating.bearing_findings import bearing_findings
from wetpath.rating.checks import bearings
from wetpath.rating.thrust_state import axial_thrust, thrust_curve


def with_scalar(situation, column, value):
    """The solved batch with one scalar of every case replaced."""
    scalars = situation.scalars.copy()
    scalars[:, column] = value
    return with_states(situation.solved, scalars=scalars)


def with_states(solved, **arrays):
    solution = replace(solved.solution, states=solved.solution.states._replace(**arrays))
    return replace(solved, solution=solution)


def on_water(**parts):
    return bearing_situations.situation(demo_models.model("medium", "Water"), **parts)


def test_film_is_never_zero_or_negative_and_mixed_film_is_said():
    rough = on_water(journal_bearings={"roughness": 3e-6, "length": 0.012}, impeller={"radial_force_factor": 0.36})
    state = rough.bearings
    assert (state.film_thickness > 0).all()
    assert state.eccentricity_ratio.max() > 0.97
    assert any("mixed film" in sentence for sentence in bearing_findings(rough))
    assert any("beyond the film table" in sentence for sentence in bearing_findings(rough))
    assert "mixed film" in state.film_words()[3] or "surfaces carry" in state.film_words()[0]
    check = bearings.film(rough)
    assert not check.holds.all()
    assert check.limit[0] == rough.practice["film_ratio"].value
    quiet = bearing_findings(bearing_situations.water())
    assert not any("mixed film" in sentence or "beyond" in sentence for sentence in quiet)


def test_load_falls_towards_best_flow():
    load = bearing_situations.water().bearings.load
    assert (np.diff(load[:4], axis=0) < 0).all()


def test_double_volute_relieves():
    single, double = on_water().bearings, on_water(casing={"volute": "double"}).bearings
    assert double.radial_force[0] < 0.3 * single.radial_force[0]


def test_grooves_halve_what_a_bearing_carries():
    with_, without = on_water().bearings, on_water(journal_bearings={"grooves": None}).bearings
    # the circulation changes too, and with it the warmth of the film: 1 % of viscosity
    assert without.sommerfeld / with_.sommerfeld == pytest.approx(2.0, rel=0.03)


def test_film_takes_the_liquid_in_the_bearing():
    situation = bearing_situations.water()
    states, stations = situation.solution.states, situation.pump.network.stations
    middle = (states.temperature[:, stations.index("2")] + states.temperature[:, stations.index("3")]) / 2
    assert situation.bearings.temperature[:, 0] == pytest.approx(middle, rel=1e-12)
    assert (situation.bearings.temperature > situation.solved.inputs.temperature[:, None]).all()


def test_regimes_by_their_limits():
    state = bearing_situations.situation(demo_models.model("medium", "Propane")).bearings
    limit = 41.2 * np.sqrt(0.020 / 40e-6)
    assert (state.regime == np.where(state.reynolds > limit, bearing_state.VORTICES, bearing_state.LAMINAR)).all()
    assert (state.regime == bearing_state.VORTICES).any()
    assert any("laminar limit" in one.text and one.anywhere for one in state.limits)


def test_thin_liquids_are_said():
    propane = bearing_situations.situation(demo_models.model("medium", "Propane"))
    thin = propane.practice["viscosity_lowest"].value
    assert {word for row in propane.bearings.lubricity(thin) for word in row} == {"thin"}
    assert any("thinner than" in sentence for sentence in bearing_findings(propane))
    water = bearing_situations.water()
    assert {word for row in water.bearings.lubricity(thin) for word in row} == {"water-like"}
    assert not any("thinner" in sentence for sentence in bearing_findings(water))


def test_turbulence_stiffens_the_film_above_its_limit_only():
    propane = bearing_situations.situation(demo_models.model("medium", "Propane"))
    state, speed = propane.bearings, propane.solved.inputs.speed
    area, squeeze = 0.040 * 0.032, (0.020 / 40e-6) ** 2 / (2 * np.pi)
    laminar = squeeze * state.viscosity[:, 0] * speed * area / (2 * state.load[:, 0])
    turbulent = state.reynolds[:, 0] > 41.2 * np.sqrt(0.020 / 40e-6)
    factor = np.where(turbulent, 1 + 0.0043 * state.reynolds[:, 0] ** 0.96 / 12, 1.0)
    assert turbulent.any()
    assert state.sommerfeld[:, 0] == pytest.approx(laminar * factor)
    water = bearing_situations.water().bearings
    slow = squeeze * water.viscosity[:, 0] * speed * area / (2 * water.load[:, 0])
    assert water.sommerfeld[:, 0] == pytest.approx(slow)


def test_pull_is_zero_without_offset_and_falls_with_heat_and_angle():
    situation = bearing_situations.water()
    state = situation.bearings
    assert state.magnet_pull / state.pull_stiffness == pytest.approx(state.ring_offset)
    assert state.ring_offset > situation.pump.inner_ring.eccentricity
    warmer = bearing_state.magnet_stiffness(
        situation.pump, with_scalar(situation, solve.INNER_RING, situation.scalars[:, solve.INNER_RING] + 100.0))
    turned = bearing_state.magnet_stiffness(situation.pump, with_scalar(situation, solve.ANGLE, np.pi / 2))
    assert (warmer < state.pull_stiffness).all()
    assert (turned < state.pull_stiffness).all()


def test_one_journal_is_said():
    single = demo_models.model("medium", "Water").pump.journal_bearings[:1]
    load = bearing_state.journal_loads(
        demo_models.model("medium", "Water").pump.model_copy(update={"journal_bearings": single}), np.array([100.0]),
        np.array([20.0]))
    assert load.shape == (1, 1)
    assert load[0, 0] > 120.0
    assert bearing_state._lone_bearing(single)[0].anywhere


def test_specific_load_is_asked_case_by_case():
    mixed = on_water(roles=("minimum flow", "normal", "rated", "normal", "maximum flow"))
    normal, worst = bearings.specific_load(mixed), bearings.specific_load_worst(mixed)
    assert normal.applies.tolist() == [False, True, True, True, False]
    assert worst.applies.tolist() == [True, False, False, False, True]
    assert normal.limit[0] == 0.2e6
    assert worst.limit[0] == 0.5e6
    assert normal.actual[0] == pytest.approx(mixed.bearings.load[0, 0] / (0.040 * 0.032))
    assert normal.where[0] == "front journal bearing"
    assert normal.worst_case == 1


def test_weaker_pair_lowers_the_limits():
    situation = on_water(journal_bearings={"material": "carbon"})
    check = bearings.load_times_speed(situation)
    assert check.limit[0] == 3.5e6
    assert check.actual == pytest.approx(situation.bearings.load[:, 0] / (0.040 * 0.032)
                                         * situation.solved.inputs.speed * 0.020)
    assert bearings.load_times_speed(bearing_situations.water()).limit[0] == 10e6


def test_temperature_shock_only_where_cold_liquid_is_let_in():
    assert not bearings.temperature_shock(bearing_situations.water()).applies.any()
    flushed = on_water(temperatures=(370.0, 370.0, 370.0, 370.0, 280.0),
                       roles=("normal", "normal", "normal", "normal", "flush"))
    check = bearings.temperature_shock(flushed)
    assert check.applies.tolist() == [True] * 4 + [False]
    hottest = max(float(flushed.bearings.temperature[0].max()), 370.0)
    assert check.actual[0] == pytest.approx(hottest - 280.0)
    assert check.limit[0] == 150.0


def test_attack_is_asked_only_where_it_is_known():
    situation = on_water(journal_bearings={"material": "reaction-bonded silicon carbide"})
    assert not bearings.attack(situation).applies.any()
    caustic = replace(situation.models[0], liquid=replace(situation.liquid, cas_number="1310-73-2"))
    attacked = replace(situation, models=(caustic,))
    check = bearings.attack(attacked)
    assert check.applies.all()
    assert not check.holds.any()
    assert check.actual[0] == 0.5      # two journals of four bearings
    assert "sodium hydroxide" in check.where[0]


def test_thrust_does_not_depend_on_the_datum():
    """The same pressure added everywhere moves nothing: front and rear faces have the same area."""
    situation = bearing_situations.water()
    solved = situation.solved
    higher = replace(with_states(solved, pressure=solved.solution.states.pressure + 5e5),
                     inputs=solved.inputs.changed(pressure=solved.inputs.pressure + 5e5))
    before = axial_thrust(situation.pump, solved, 0.25e-3).total
    after = axial_thrust(situation.pump, higher, 0.25e-3).total
    assert after == pytest.approx(before, abs=1e-6 * 5e5)


def test_worn_ring_pushes_towards_the_suction():
    thrust = bearing_situations.water().thrust
    assert (thrust.worn.total > thrust.new.total).all()
    assert (thrust.worn.momentum == thrust.new.momentum).all()


def test_back_vanes_relieve_and_no_balance_does_not():
    vanes = BackVanes(inner_diameter=0.060, outer_diameter=0.200)
    with_vanes = on_water(impeller={"balance": "back vanes", "balance_holes": None, "back_vanes": vanes}).thrust
    none = on_water(impeller={"balance": "none", "balance_holes": None}).thrust
    holes = bearing_situations.water().thrust
    assert (with_vanes.new.total < none.new.total).all()
    assert (holes.new.total < none.new.total).all()
    assert (none.worn.total == none.new.total).all()
    assert not none.ring_counts
    idle = BackVanes(inner_diameter=0.060, outer_diameter=0.200, core_rotation=0.45)
    same = on_water(impeller={"balance": "back vanes", "balance_holes": None, "back_vanes": idle}).thrust
    assert same.new.total == pytest.approx(none.new.total, rel=1e-9)


def test_offset_rings_pull_back_to_centre():
    forward = on_water(outer_ring={"axial_offset": -0.003}).thrust.new.magnetic
    behind = on_water(outer_ring={"axial_offset": 0.003}).thrust.new.magnetic
    assert (forward > 0).all()           # the outer ring stands nearer to the suction and pulls there
    assert (behind < 0).all()
    assert (np.abs(bearing_situations.water().thrust.new.magnetic) < 1e-9).all()


def test_axial_pull_follows_both_remanences():
    situation = on_water(outer_ring={"axial_offset": 0.003})
    magnet = situation.pump.outer_magnet
    before = axial_thrust(situation.pump, situation.solved, 0.25e-3).magnetic
    for column in (solve.INNER_RING, solve.OUTER_RING):
        hot = with_scalar(situation, column, situation.scalars[:, column] + 80.0)
        weaker = 80.0 * magnet.remanence_coefficient / (
            1 + magnet.remanence_coefficient * (situation.scalars[:, column] - 293.15))
        assert axial_thrust(situation.pump, hot, 0.25e-3).magnetic == pytest.approx(before * (1 + weaker))


def test_thrust_check_names_the_face_and_the_direction():
    situation = on_water(thrust_bearings={"allowable_load": None})
    check = bearings.axial_thrust(situation)
    land = 0.8 * np.pi / 4 * (0.060**2 - 0.042**2)
    assert check.limit[0] == pytest.approx(0.5e6 * land)
    assert check.where[0] == "rear thrust face, towards the suction"
    away = on_water(impeller={"rear_ring_diameter": 0.110})
    assert (away.thrust.new.total < 0).all()
    assert bearings.axial_thrust(away).where[0] == "front thrust face, away from the suction"
    assert bearings.axial_thrust(away).limit[0] == 900.0
    assert bearings.axial_thrust(away).status == "given"
    small = on_water(thrust_bearings={"allowable_load": 100.0})
    assert not bearings.axial_thrust(small).holds.any()


def test_thrust_that_no_face_takes_fails():
    one_way = on_water(thrust_bearings={"takes": "away from suction"})
    check = bearings.axial_thrust(one_way)
    assert (one_way.thrust.new.total > 0).all()
    assert not check.holds.any()
    assert "no thrust face" in check.where[0]
    assert np.isnan(one_way.thrust.face_pressure(one_way.thrust.new.total)).all()


def test_unstated_balance_is_not_checked_but_said():
    unstated = on_water(impeller={"balance": "not stated", "balance_holes": None})
    assert not bearings.axial_thrust(unstated).applies.any()
    assert np.isnan(unstated.thrust.new.total).all()
    assert any("axial thrust is not checked" in sentence for sentence in bearing_findings(unstated))


def test_reversal_lies_between_flows_of_either_sign():
    reversing = on_water(impeller={"rear_ring_diameter": 0.0935})
    curve = thrust_curve(reversing, 3)
    assert curve.new[0] * curve.new[-1] < 0
    assert len(curve.reversals_new) == 1
    below, above = curve.new[curve.flow < curve.reversals_new[0]], curve.new[curve.flow > curve.reversals_new[0]]
    assert np.sign(below[-1]) == -np.sign(above[0])
    flow = reversing.solved.inputs.flow[3]
    assert np.interp(flow, curve.flow, curve.new) == pytest.approx(reversing.thrust.new.total[3], abs=1.0)


def test_film_bound_is_an_ideal_pad():
    state = bearing_situations.water().thrust
    assert ((state.film_bound > 0) & (state.film_bound < 100e-6)).all()


def rolling(**values):
    place = RollingBearing(dynamic_rating=29e3, static_rating=16e3)
    return ExternalBearings(front=place, rear=place, spacing=0.095, overhang=0.075, **values)


def test_life_by_hand():
    situation = on_water(external_bearings=rolling(coupling_force=400.0, coupling_overhang=0.06, coupling_mass=2.0))
    state = situation.external_bearings
    ring = 9.80665 * situation.pump.outer_ring.mass_or_estimate
    weight = ring * 170 / 95 - 9.80665 * 2.0 * 60 / 95
    expected = abs(weight) + situation.bearings.magnet_pull * 170 / 95 + 400 * 60 / 95
    assert state.radial[:, 0] == pytest.approx(expected)
    turns = 1e6 * (29e3 / expected) ** 3
    assert state.life[:, 0] == pytest.approx(turns / (situation.solved.inputs.speed / (2 * np.pi)))
    check = bearings.external_life_worst(situation)
    assert check.limit[0] == 16000 * 3600
    assert check.applies.all()
    assert (check.actual == state.life.min(axis=1)).all()


def test_heavy_belt_fails_and_is_beyond_iso_281():
    situation = on_water(external_bearings=rolling(coupling_force=9e3, coupling_overhang=0.06), role="rated")
    assert not bearings.external_life_rated(situation).holds.any()
    assert any("half of its dynamic rating" in sentence for sentence in bearing_findings(situation))


def test_rollers_live_by_their_own_exponent():
    roller = RollingBearing(kind="cylindrical roller", dynamic_rating=40e3, static_rating=30e3)
    ball = RollingBearing(dynamic_rating=29e3, static_rating=16e3)
    state = on_water(external_bearings=ExternalBearings(
        front=roller, rear=ball, spacing=0.095, overhang=0.075, coupling_force=200.0)).external_bearings
    speed = bearing_situations.water().solved.inputs.speed
    assert state.life[:, 0] == pytest.approx(1e6 * (40e3 / state.radial[:, 0]) ** (10 / 3) * 2 * np.pi / speed)


def test_rated_life_is_asked_of_the_rated_case():
    mixed = on_water(roles=("normal", "rated", "normal", "normal", "normal"))
    check = bearings.external_life_rated(mixed)
    assert check.applies.tolist() == [False, True, False, False, False]
    assert check.limit[0] == 25000 * 3600


def test_axial_force_goes_to_the_locating_bearing():
    places = rolling(axial_force=500.0, coupling_force=100.0, locating="front")
    state = on_water(external_bearings=places).external_bearings
    assert (state.axial[:, 0] == 500.0).all()
    assert (state.axial[:, 1] == 0.0).all()
    assert (state.equivalent_load[:, 0] > state.radial[:, 0]).all()


def test_without_external_bearings_not_checked_but_said():
    situation = on_water(external_bearings=None)
    assert situation.external_bearings is None
    assert not bearings.external_life_worst(situation).applies.any()
    assert any("[external_bearings]" in sentence for sentence in bearing_findings(situation))


def test_a_roller_bearing_does_not_locate():
    roller = RollingBearing(kind="cylindrical roller", dynamic_rating=40e3, static_rating=30e3)
    with pytest.raises(ValidationError, match="names a cylindrical roller bearing"):
        ExternalBearings(front=roller, rear=roller, spacing=0.1, overhang=0.08)


def test_two_journals_in_one_place_are_refused():
    pump = demo_models.model("medium", "Water").pump
    text = dump_document(pump).replace('position = "150 mm"', 'position = "55 mm"')
    with pytest.raises(InputError, match="is that of another journal bearing"):
        loads_document(text, PumpFile)


def test_balance_must_be_described():
    impeller = demo_models.model("medium", "Water").pump.impeller
    holes = {**impeller.model_dump(), "balance_holes": None}
    with pytest.raises(ValidationError, match="needs balance_holes"):
        impeller.__class__.model_validate(holes)
