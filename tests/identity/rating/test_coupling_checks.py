"""Start, demagnetisation and slip in a rating: sense, limit, worst case, and what they follow from."""

import numpy as np
import pytest

import wetpath as wp
from wetpath.circulation import solve
from wetpath.coupling.demagnetisation import opposing_field
from wetpath.edge.files import loads_document
from wetpath.machine.drive_end import Inverter
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.machine_arrays import coupling_geometry, remanences, response_for
from wetpath.rating.magnet_field import OPPOSING, field_shares, magnet_field
from wetpath.rating.start_state import inertias_of, peak_torque
from wetpath.services.demo import demo_pump

ENQUIRY = loads_document('''
wetpath = "enquiry/1"
title = "water, three loads"
[liquid]
source = "reference equation"
substance = "Water"
[[cases]]
name = "least"
flow = "15 m3/h"
temperature = "20 degC"
suction_pressure = "2 bar a"
[[cases]]
name = "normal"
role = "normal"
flow = "40 m3/h"
temperature = "20 degC"
suction_pressure = "2 bar a"
[[cases]]
name = "warm"
flow = "60 m3/h"
temperature = "80 degC"
suction_pressure = "3 bar a"
''', Enquiry)
PUMP = demo_pump("medium")


def changed(pump=PUMP, **parts):
    """The pump with fields of its parts changed."""
    return pump.model_copy(update={name: getattr(pump, name).model_copy(update=fields)
                                   for name, fields in parts.items()})


def rated(pump=PUMP):
    return wp.rate(ENQUIRY, pump=pump)


def check_of(rating, name):
    return next(check for check in rating.checks if check.name == name)


@pytest.fixture(scope="module")
def plain():
    return rated()


def test_torque_at_start_is_the_share_of_the_pump_side(plain):
    start = plain.situation.start
    largest = 2.5 * 18.5e3 / PUMP.driver.speed
    expected = plain.losses.torque + (largest - plain.losses.torque) * 0.031 / (0.031 + 0.085)
    np.testing.assert_allclose(start.torque, expected)
    check = check_of(plain, "coupling_margin_starting")
    np.testing.assert_allclose(check.actual, plain.losses.pull_out / expected)
    assert (check.sense, check.limit[0]) == ("at least", 1.0)
    assert check.worst_case == 2
    assert check.applies.all()


def test_heavy_pump_side_or_strong_motor_fails_the_start():
    for parts in ({"inner_ring": {"inertia": 0.25}}, {"driver": {"peak_torque": 4.9}}):
        rating = rated(changed(**parts))
        assert not check_of(rating, "coupling_margin_starting").holds.all()
        assert not rating.holds
        assert any("direct on line" in text and "swing" in text for text in rating.warnings)


def test_ramp_of_an_inverter_sets_the_acceleration():
    inverter = Inverter(lowest_speed=150.0, highest_speed=320.0)
    start = rated(changed(driver={"inverter": inverter, "ramp_time": 5.0})).situation.start
    np.testing.assert_allclose(start.torque, rated().losses.torque + 0.031 * PUMP.driver.speed / 5.0)
    assert start.starter == "inverter"
    assert (start.swing == 0).all()
    short = rated(changed(driver={"inverter": inverter, "ramp_time": 0.01})).situation.start
    assert short.torque.max() < 90, "the inverter's torque limit bounds it"


def test_soft_start_is_gentler_than_star_delta_and_that_swings_less_than_direct(plain):
    soft, star = (rated(changed(driver={"starter": name})).situation.start for name in ("soft start", "star-delta"))
    direct = plain.situation.start
    assert (soft.torque < direct.torque).all()
    np.testing.assert_allclose(star.swing, direct.swing / 3)
    np.testing.assert_allclose(star.torque, direct.torque)


def test_given_inertias_go_before_estimates():
    assert inertias_of(PUMP).estimated == ()
    assert (inertias_of(PUMP).drive, inertias_of(PUMP).pump) == (0.085, 0.031)
    apart = inertias_of(changed(driver={"inertia": 0.05}))
    assert apart.drive == pytest.approx(0.135)
    bare = changed(inner_ring={"inertia": None}, outer_ring={"inertia": None})
    assert len(inertias_of(bare).estimated) == 3
    assert 0.3 < inertias_of(bare).drive / 0.085 < 3
    assert 0.3 < inertias_of(bare).pump / 0.031 < 3
    assert any("moments of inertia are estimated" in text for text in rated(bare).warnings)


def test_a_coupling_too_weak_to_run_is_judged_by_that():
    rating = rated(changed(driver={"rated_power": 30e3}, inner_ring={"length": 0.02}, outer_ring={"length": 0.02}))
    assert {"coupling_margin_running", "coupling_margin_starting"} <= set(rating.verdict.failing)
    assert rating.verdict.check.name == "coupling_margin_running"
    assert any("do not catch again at speed" in text for text in rating.warnings)


def test_peak_torque_belongs_to_the_starter_of_the_file():
    driver = PUMP.driver.model_copy(update={"peak_torque": 3.0})
    rated_torque = driver.rated_power / driver.speed
    assert peak_torque(driver) == pytest.approx(3.0 * rated_torque)
    assert peak_torque(driver, "soft start") == pytest.approx(1.5 * rated_torque)


def test_field_in_the_magnets_is_that_of_opposing_poles_at_half_a_turn():
    """The same points and harmonics as the state met at every slipped pole; the table must end there."""
    geometry = coupling_geometry(PUMP)
    ours = magnet_field(geometry).demagnetising(OPPOSING, remanences(PUMP))
    theirs = opposing_field(geometry).demagnetising(*remanences(PUMP))
    np.testing.assert_allclose(ours, theirs, rtol=1e-12)


def test_field_between_the_angles_of_the_table_is_near_the_exact_one(monkeypatch):
    geometry = coupling_geometry(PUMP)
    table = magnet_field(geometry)
    monkeypatch.setattr("wetpath.rating.magnet_field.ANGLES", (0.0, 22.5, 52.5, 97.5, 180.0))
    exact = magnet_field.__wrapped__(geometry)
    angles = np.radians([22.5, 52.5, 97.5])
    for ours, theirs in zip(table.demagnetising(angles, (1.06, 1.06)), exact.demagnetising(angles, (1.06, 1.06)),
                            strict=True):
        np.testing.assert_allclose(ours, theirs, rtol=0.02)


def test_field_grows_with_the_load_angle_and_the_temperature():
    cold, hot = ((np.full(3, t), np.full(3, t)) for t in (293.15, 423.15))
    angles = np.radians([0.0, 60.0, 180.0])
    for one, other in zip(field_shares(PUMP, angles, cold), field_shares(PUMP, angles, hot), strict=True):
        assert (np.diff(one) > 0).all()
        assert (other > one).all()


def test_hot_magnets_of_low_coercivity_are_lost_and_the_check_says_which(plain):
    running, slip = (check_of(plain, f"demagnetisation_{name}") for name in ("running", "slip"))
    assert (running.sense, running.limit[0]) == ("at most", 0.9)
    assert (slip.actual > running.actual).all()
    assert slip.worst_case == 2
    weak = rated(changed(inner_ring={"coercivity": 500e3}))
    check = check_of(weak, "demagnetisation_slip")
    assert not check.holds.any()
    assert set(check.where) == {"inner ring"}
    strong = rated(changed(inner_ring={"coercivity": 500e3, "coercivity_coefficient": 0.0}))
    assert check_of(strong, "demagnetisation_slip").actual[2] < check.actual[2]


def test_no_coercivity_left_is_infinite_not_negative():
    inner, _ = field_shares(PUMP, OPPOSING, (293.15 + 401.0, 293.15))
    assert np.isinf(inner)


def test_slip_loss_is_that_of_the_outer_ring_alone(plain):
    """Same magnets, wall and speed as in step; the slip heats the shell less."""
    situation = plain.situation
    scalars = situation.scalars
    outer = PUMP.outer_magnet.remanence_at(scalars[:, solve.OUTER_RING])
    slope = PUMP.shell_material.resistivity_coefficient
    conductivity = 1 / (PUMP.shell_material.resistivity * (1 + slope * (scalars[:, solve.MEAN_WALL] - 293.15)))
    for case in range(3):
        exact = response_for(PUMP).slip_loss(0.0, PUMP.driver.speed, conductivity[case], 0.0, outer[case]).sum()
        assert situation.coupling.slip_loss[case] == pytest.approx(exact, rel=5e-3)
    assert ((situation.coupling.slip_share > 0.2) & (situation.coupling.slip_share < 0.6)).all()


def test_shell_that_insulates_has_no_slip_loss():
    state = rated(demo_pump("medium_ceramic")).situation.coupling
    assert (state.slip_loss == 0).all()
    assert np.isnan(state.slip_share).all()


def test_fibres_are_an_upper_bound_until_measured():
    pump = changed(containment_shell={"material": "carbon-fibre laminate", "pressure_rating": 26e5})
    pump.__dict__.pop("shell_material", None)
    assert any("upper bound" in text for text in rated(pump).warnings)


def test_magnets_beyond_their_straight_line_are_pointed_out():
    rating = wp.rate(wp.demo_enquiry("hot_oil"), pump=demo_pump("medium_hot"), liquid=_hot_oil())
    assert any("magnets warmer than 200 degC" in text for text in rating.warnings)


def _hot_oil():
    from wetpath.services.demo import enquiry_path
    from wetpath.services.rating import load_service

    return load_service(enquiry_path("hot_oil")).liquid
