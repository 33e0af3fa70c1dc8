"""Radial and axial thrust: hand arithmetic, and one printed worked example in US units."""

import numpy as np
import pytest

from wetpath.physics.pump.axial_thrust import (
    eye_momentum_force,
    impeller_thrust,
    side_room_force,
    side_room_pressure,
)
from wetpath.physics.pump.radial_thrust import (
    partial_flow_exponent,
    radial_force,
    radial_thrust_limits,
    single_volute_factor,
)
from wetpath.physics.validity import messages

INCH, POUND_FORCE = 0.0254, 4.4482216152605


@pytest.mark.published("stepanoff-1957", status="recalled")
def test_radial_force_by_hand(against):
    against(
        "stepanoff-1957",
        "computed",
        "R1 radial force",
        radial_force(0.30, 1000.0, 60.0, 0.200, 0.020),
        706.1,
        rel=5e-4,
        unit="N",
    )


@pytest.mark.published("radial-thrust-worksheet", status="read")
def test_radial_force_of_a_printed_example(against):
    # K 0.21, 138 ft of water (59.74 psi by 2.31 ft/psi), 11.88 in, 3.5 in: 522 lbf printed, three digits.
    density = 59.74 * 6894.757293168 / (9.80665 * 138 * 0.3048)
    ours = radial_force(0.21, density, 138 * 0.3048, 11.88 * INCH, 3.5 * INCH) / POUND_FORCE
    against("radial-thrust-worksheet", "read", "R2 radial force", ours, 522, rel=1e-3, unit="lbf")


@pytest.mark.published("stepanoff-1957", status="recalled")
def test_classic_factor(against):
    against("stepanoff-1957", "recalled", "K at shut-off", single_volute_factor(0.0), 0.36, rel=1e-12)
    against(
        "stepanoff-1957",
        "recalled",
        "K at half of best flow",
        single_volute_factor(0.5),
        0.36 * 0.75,
        rel=1e-12,
    )
    against(
        "stepanoff-1957",
        "computed",
        "worked frame at quarter flow below best: K",
        single_volute_factor(0.8),
        0.36 * 0.36,
        rel=1e-12,
    )


@pytest.mark.published("hi-radial-thrust", status="recalled")
def test_exponent_at_its_printed_ends(against):
    against("hi-radial-thrust", "recalled", "x at Ns 500", partial_flow_exponent(500.0), 0.7, rel=1e-12)
    against("hi-radial-thrust", "derived", "x half way", partial_flow_exponent(2000.0), 2.0, rel=1e-12)
    against("hi-radial-thrust", "recalled", "x at Ns 3500", partial_flow_exponent(3500.0), 3.3, rel=1e-12)


def test_far_over_flow_is_flagged():
    assert messages(*radial_thrust_limits([0.5, 1.19])) == ()
    assert len(messages(*radial_thrust_limits([0.5, 1.21]))) == 1


def test_rotation_head_by_hand(against):
    # 0.5 x 1000 x 0.25 x 92225.9 x (0.003025 - 0.0009) = 24497.5 Pa
    drop = 0.0 - side_room_pressure(0.030, 0.0, 0.055, 1000.0, 0.5, 303.687)
    against("side-room-pressure", "computed", "pressure drop from 55 to 30 mm", drop, 24497.5, rel=1e-5, unit="Pa")


def test_side_room_force_is_the_integral_of_its_pressure(against):
    from scipy.integrate import quad

    arguments = (4e5, 0.1045, 1000.0, 0.45, 303.687)
    integral, _ = quad(lambda r: 2 * np.pi * r * side_room_pressure(r, *arguments), 0.040, 0.1045)
    against(
        "side-room-pressure",
        "computed",
        "force on the ring by quadrature",
        side_room_force(0.040, *arguments),
        integral,
        rel=1e-10,
        unit="N",
    )


def test_unequal_core_rotation_moves_the_thrust_by_three_hundred_newton(against):
    # 209 mm impeller, 2900 r/min, water, wear ring radius 40 mm: k 0.45 against 0.50.
    sides = [side_room_force(0.040, 4e5, 0.1045, 1000.0, k, 303.687) for k in (0.45, 0.50)]
    against(
        "side-room-pressure",
        "computed",
        "difference of the two sides",
        sides[0] - sides[1],
        300.0,
        rel=0.02,
        unit="N",
    )


@pytest.mark.common_practice
def test_residual_factor_at_best_flow():
    assert float(single_volute_factor(1.0)) == 0.05
    assert float(single_volute_factor(1.0, 0.08)) == 0.08


def test_eye_forces_by_hand(against):
    # 50 m3/h of water into an eye of 80 mm: 0.0138889^2 x 1000 / 0.0050265 = 38.377 N; 2 bar on it: 1005.31 N.
    momentum = eye_momentum_force(50 / 3600, 1000.0, np.pi * 0.040**2)
    against("side-room-pressure", "computed", "momentum of the entering flow", momentum, 38.377, rel=2e-5, unit="N")
    net = impeller_thrust(11000.0, 9800.0, 2e5, 0.040, momentum)
    against("side-room-pressure", "computed", "net thrust", net, 1200 - 1005.310 - 38.377, rel=1e-4, unit="N")


def test_still_liquid_at_one_pressure_gives_no_net_thrust_on_closed_faces():
    # Same pressure everywhere, shaft passing through nothing: back face = front ring + eye.
    back = side_room_force(0.0, 3e5, 0.1, 1000.0, 0.0, 300.0)
    front = side_room_force(0.04, 3e5, 0.1, 1000.0, 0.0, 300.0)
    assert impeller_thrust(back, front, 3e5, 0.04, 0.0) == pytest.approx(0.0, abs=1e-9)
