"""NPSH available by hand arithmetic; margin rules of ANSI/HI 9.6.1 as read in a public summary sheet."""

import numpy as np
import pytest

from wetpath.physics.pump.npsh import (
    npsh_available,
    npsh_needed_chemical,
    npsh_needed_hydrocarbon,
    suction_pressure_needed,
)


@pytest.mark.published("iso-9906-2012", status="recalled")
@pytest.mark.parametrize(
    ("case", "pressure", "vapour", "density", "elevation", "loss", "want", "room"),
    [
        ("N1 water 60 degC, open tank", 101325.0, 19946.0, 983.16, 2.0, 0.8, 9.640, 5e-4),
        ("N2 propane at its boiling point", 836460.0, 836460.0, 500.06, 4.5, 0.7, 3.800, 1e-12),
        ("N3 methanol, altitude, lift", 95000.0, 35518.0, 772.10, -1.5, 0.6, 5.756, 5e-4),
    ],
)
def test_npsh_available(case, pressure, vapour, density, elevation, loss, want, room, against):
    ours = npsh_available(pressure, vapour, density, elevation=elevation, friction_loss=loss)
    against("iso-9906-2012", "computed", case, ours, want, rel=room, unit="m")


@pytest.mark.published("hi-9.6.1-2012", status="read")
def test_margin_rules(against):
    key = "hi-9.6.1-2012"
    against(key, "read", "N4 hydrocarbon, NPSH3 3.0 m", npsh_needed_hydrocarbon(3.0), 4.0, rel=1e-12, unit="m")
    against(
        key,
        "read",
        "N5 chemical, 180, NPSH3 3.0 m",
        npsh_needed_chemical(3.0, 180.0, False),
        3.6,
        rel=1e-12,
        unit="m",
    )
    against(
        key,
        "read",
        "N6 chemical, 240 outside, NPSH3 6.0 m",
        npsh_needed_chemical(6.0, 240.0, False),
        7.2,
        rel=1e-12,
        unit="m",
    )
    against(
        key,
        "read",
        "chemical, 240 inside, NPSH3 6.0 m",
        npsh_needed_chemical(6.0, 240.0, True),
        6.6,
        rel=1e-12,
        unit="m",
    )


def test_rules_take_batches():
    needed = npsh_needed_chemical(
        np.array([3.0, 6.0, 6.0]), np.array([180.0, 240.0, 240.0]), np.array([True, False, True])
    )
    assert needed == pytest.approx([3.6, 7.2, 6.6])


@pytest.mark.published("hi-9.6.1-2012", status="read")
@pytest.mark.parametrize(
    ("number", "inside", "required", "want"),
    [
        (180.0, False, 12.0, 13.2),
        (240.0, True, 12.0, 13.2),
        (240.0, False, 12.0, 14.4),
        (240.0, False, 2.0, 3.0),
        (240.0, True, 2.0, 2.6),
        (209.0, False, 2.0, 2.6),
        (211.0, False, 2.0, 3.0),
    ],
)
def test_chemical_rule_either_side_of_each_break(number, inside, required, want, against):
    against(
        "hi-9.6.1-2012",
        "read",
        f"NPSH3 {required} m, {number}, inside {inside}",
        npsh_needed_chemical(required, number, inside),
        want,
        rel=1e-12,
        unit="m",
    )


def test_hydrocarbon_rule_by_ratio(against):
    against("hi-9.6.1-2012", "read", "NPSH3 12 m", npsh_needed_hydrocarbon(12.0), 13.2, rel=1e-12, unit="m")


def test_velocity_head_counts():
    still = npsh_available(2e5, 2e4, 900.0)
    assert npsh_available(2e5, 2e4, 900.0, velocity=3.0) - still == pytest.approx(0.458872, rel=1e-5)
    assert suction_pressure_needed(still + 0.458872, 2e4, 900.0, velocity=3.0) == pytest.approx(2e5, rel=1e-6)
