"""Disc friction against printed rows, the regime map, the exact thin film and two sister formulas."""

import numpy as np
import pytest

from wetpath.physics.drag.disc_friction import disc_torque_coefficient, ring_face_torque

#: Regime, gap [mm], viscosity [Pa s], coefficient; R 0.1 m, density 1000 kg/m3, speed 300 rad/s.
ROWS = [("I", 2.0, 1.0, 0.1047198), ("II", 10.0, 0.1, 0.0169684), ("III", 2.0, 1e-3, 0.00368953),
        ("IV", 10.0, 1e-3, 0.00410370)]


@pytest.mark.published("wetpath-worked-example-w1", status="computed")
@pytest.mark.parametrize(("regime", "gap", "viscosity", "coefficient"), ROWS)
def test_check_values(against, regime, gap, viscosity, coefficient):
    """Six digits are printed."""
    against("wetpath-worked-example-w1", "computed", f"torque coefficient, regime {regime}",
            disc_torque_coefficient(1000.0 * 300.0 * 0.01 / viscosity, gap / 100.0), coefficient, rel=3e-6)


FORMULAS = {"I": lambda g, re: 2 * np.pi / (g * re), "II": lambda g, re: 3.70 * g**0.1 * re**-0.5,
            "III": lambda g, re: 0.080 * g ** (-1 / 6) * re**-0.25, "IV": lambda g, re: 0.102 * g**0.1 * re**-0.2}


@pytest.mark.published("daily-nece-1960", status="recalled")
@pytest.mark.parametrize(("gap_ratio", "reynolds", "regime"), [
    (0.0127, 1e4, "I"), (0.05, 2e3, "I"), (0.0127, 1e6, "III"), (0.0255, 1e6, "III"), (0.10, 1e5, "II"),
    (0.217, 1e4, "II"), (0.0637, 1e6, "IV"), (0.115, 1e7, "IV"), (0.217, 1e6, "IV")])
def test_regime_map(against, gap_ratio, reynolds, regime):
    """Close gap and slow: merged laminar; wide and slow: separate laminar; close and fast: merged turbulent; wide and
    fast: separate turbulent, at the gap ratios of the tests (recalled map)."""
    against("daily-nece-1960", "recalled", f"regime {regime} at G {gap_ratio:g}, Re {reynolds:g}",
            disc_torque_coefficient(reynolds, gap_ratio), FORMULAS[regime](gap_ratio, reynolds), rel=1e-12)


@pytest.mark.published("thin-film-couette", status="exact")
def test_thin_film_is_exact(against):
    """One face with a thin film: pi mu w R^4/2s, integral of the shear mu w r/s."""
    against("thin-film-couette", "derived", "torque of one disc face in a thin film",
            ring_face_torque(900.0, 1.0, 100.0, 0.1, 0.0, 0.0015), np.pi * 1.0 * 100.0 * 0.1**4 / (2 * 0.0015),
            rel=1e-12, unit="N m")


@pytest.mark.published("schultz-grunow-1935", status="recalled")
@pytest.mark.parametrize("gap_ratio", [0.03, 0.05, 0.07])
def test_enclosed_disc_of_schultz_grunow(against, gap_ratio):
    """Enclosed discs without dependence on the gap: laminar 2.67 Re^-0.5, turbulent 0.0622 Re^-0.2.

    Daily and Nece measured the turbulent torque about a fifth higher than that theory and say so (recalled).
    """
    against("schultz-grunow-1935", "recalled", f"laminar coefficient at G {gap_ratio:g}",
            disc_torque_coefficient(5e4, gap_ratio), 2.67 * 5e4**-0.5, rel=0.08)
    against("schultz-grunow-1935", "recalled", f"turbulent coefficient at G {gap_ratio:g}, less a fifth",
            disc_torque_coefficient(4e6, gap_ratio) / 1.2, 0.0622 * 4e6**-0.2, rel=0.06)


@pytest.mark.published("karman-cochran-free-disc", status="recalled")
@pytest.mark.parametrize(("reynolds", "free"),
                         [(1e5, 3.87 * 1e5**-0.5), (1e6, 0.146 * 1e6**-0.2), (1e7, 0.146 * 1e7**-0.2)])
def test_a_housing_lowers_the_torque_of_a_free_disc(against, reynolds, free):
    """The core turns along: a housed disc has between half and four fifths of the torque of a free one."""
    against("karman-cochran-free-disc", "recalled", f"share of the free disc at Re {reynolds:g}",
            disc_torque_coefficient(reynolds, 0.1) / free, 0.65, abs=0.15)
