"""Rotation head, incidence, friction in rotation, core rotation and orifices against printed rows."""

import fluids
import pytest
from scipy.integrate import quad

from wetpath.circulation.branch import SHARP_HOLE_LOSS
from wetpath.physics.flow.orifice import (
    SHARP_ORIFICE_DISCHARGE,
    dynamic_pressure,
    orifice_loss_coefficient,
)
from wetpath.physics.flow.rotating_hole import incidence_loss, rotating_pipe_friction_ratio, rotation_head
from wetpath.physics.flow.rotor_stator_cavity import STILL_CORE_RATIO, outflow_core_ratio


@pytest.mark.published("rotating-frame-equilibrium", status="exact")
def test_rotation_head_check_value(against):
    """2900 r/min, k 0.5, r 30 to 55 mm; 24 500 Pa is printed, rounded to the hundred."""
    against("wetpath-worked-example-w1", "computed", "rotation head", rotation_head(1000.0, 303.687, 0.030, 0.055, 0.5),
            24497.5, abs=0.1, unit="Pa")


@pytest.mark.published("rotating-frame-equilibrium", status="exact")
def test_rotation_head_is_the_integral_of_the_centrifugal_force(against):
    force, _ = quad(lambda radius: 850.0 * (0.43 * 310.0) ** 2 * radius, 0.012, 0.06)
    against("rotating-frame-equilibrium", "derived", "integral of rho k^2 w^2 r",
            rotation_head(850.0, 310.0, 0.012, 0.06, 0.43), force, rel=1e-12, unit="Pa")


@pytest.mark.common_practice
def test_incidence_is_the_dynamic_pressure_of_the_relative_speed():
    """Common practice, no source: the whole relative velocity at the entry of a sharp hole is lost."""
    assert incidence_loss(1000.0, 300.0, 0.02, 0.25, 1.0) == pytest.approx(0.5 * 1000.0 * (300.0 * 0.02 * 0.75) ** 2)
    assert incidence_loss(1000.0, 300.0, 0.02, 1.0, 1.0) == 0.0


@pytest.mark.published("ito-nanbu-1971", status="recalled")
@pytest.mark.parametrize(("reynolds", "rotation", "ratio"), [
    (1e4, 1e3, 0.942 + 0.058 * 100.0**0.282), (1e5, 1e5, 0.942 + 0.058 * 1e5**0.282), (1e4, 1e6,
                                                                                       0.942 + 0.058 * 5e5**0.282)])
def test_friction_in_a_turning_radial_pipe(against, reynolds, rotation, ratio):
    """K 100, 1e5, and beyond the last measured K of 5e5, where it is held."""
    against("ito-nanbu-1971", "recalled", f"f/f0 at Re {reynolds:g}, rotation Re {rotation:g}",
            rotating_pipe_friction_ratio(reynolds, rotation), ratio, rel=1e-9)


@pytest.mark.published("daily-ernst-asbedian-1964", status="recalled")
def test_core_rotation_without_flow(against):
    """0.43 measured by Daily, Ernst and Asbedian; turbulent boundary-layer theory gives 0.43 too (recalled)."""
    against("daily-ernst-asbedian-1964", "recalled", "core ratio at rest",
            outflow_core_ratio(0.0, 1e-3, 0.05, 0.05, 1e6), STILL_CORE_RATIO, abs=1e-12)
    against("daily-ernst-asbedian-1964", "recalled", "core ratio at the rim, turbulent parameter 0.05",
            outflow_core_ratio(0.05 * (1e-3 * 0.05) * 1e6**0.8, 1e-3, 0.05, 0.05,
                               1e6), 0.43 / (1 + 12.74 * 0.05), rel=1e-12)


@pytest.mark.published("fluids-library", status="computed")
def test_loss_of_a_sharp_hole(against):
    """0.5 at the entry and 1.0 at the exit; the library gives 0.57 (Rennels) or 0.5 (others) and 1.0."""
    against("fluids-library", "computed", "entry and exit loss of a sharp hole", SHARP_HOLE_LOSS,
            fluids.entrance_sharp() + fluids.exit_normal(), rel=0.05)


@pytest.mark.published("orifice-energy-balance", status="derived")
def test_discharge_coefficient_against_iso_5167(against):
    """Reader-Harris and Gallagher for a small bore in a large pipe, Re 1e5: 0.597 to 0.605; ours 0.62: 5 %."""
    for ratio in (0.1, 0.3, 0.5):
        library = fluids.flow_meter.C_Reader_Harris_Gallagher(
            D=0.1, Do=0.1 * ratio, rho=1000.0, mu=1e-3, m=1e5 * 1e-3 * 0.1 * 0.785398, taps="corner")
        against("fluids-library", "computed", f"discharge coefficient at bore ratio {ratio:g}",
                SHARP_ORIFICE_DISCHARGE, library, rel=0.05)


@pytest.mark.published("orifice-energy-balance", status="derived")
def test_orifice_flow_and_loss_are_inverse(against):
    """m = Cd A sqrt(2 rho dp) put into the loss law returns dp."""
    area, density, drop, discharge = 2e-5, 870.0, 3e5, 0.62
    velocity = discharge * (2 * drop / density) ** 0.5
    against("orifice-energy-balance", "derived", f"pressure difference of {area:g} m2",
            orifice_loss_coefficient(discharge) * dynamic_pressure(density, velocity), drop, rel=1e-12, unit="Pa")
