"""Starting torque that a coupling must pass: rows worked out by hand.

A 15 kW driver at 2950 r/min gives 48.556 N m; its start peak is taken as 2.5 times that.
"""

import numpy as np
import pytest

from wetpath.coupling.starting import start_share

RATED = 15e3 / (2950 * np.pi / 30)


@pytest.mark.published("two-inertias", status="derived")
@pytest.mark.parametrize(("pump_inertia", "drive_inertia", "expected"), [
    (0.020, 0.045, 37.35), (0.050, 0.045, 63.89)])
def test_share_of_the_starting_torque(against, pump_inertia, drive_inertia, expected):
    against("two-inertias", "derived", f"starting torque through the coupling, pump inertia {pump_inertia}",
            start_share(2.5 * RATED, drive_inertia, pump_inertia), expected, abs=0.006, unit="N m")


@pytest.mark.common_practice
def test_a_loaded_pump_passes_its_load_and_its_share():
    """Load 20 N m under way: 20 + (121.39 - 20) x 0.02/0.065."""
    assert start_share(121.39, 0.045, 0.020, 20.0) == pytest.approx(51.20, abs=0.005)
