"""Eddy loss in magnets that a turning field passes, against the printed loss of a thin sheet."""

import numpy as np
import pytest

from wetpath.physics.magnetics.magnet_loss import magnet_loss_density


@pytest.mark.published("thin-conducting-cylinder", status="derived")
def test_narrow_magnet_loses_as_a_sheet(against):
    """pi2 B2 f2 d2 / 6 rho, as electrical handbooks print it; recalled. A width of 1 in 15 of the pole pitch: 0.1 %."""
    width, frequency, field = 2e-3, 250.0, 0.4
    sheet = np.pi**2 * field**2 * frequency**2 * width**2 / (6 * 0.85e-6)
    ours = magnet_loss_density(field, 6.0, 0.06, width / 2 / 0.06, 1 / 0.85e-6, 2 * np.pi * frequency / 6)
    against("thin-conducting-cylinder", "recalled", "eddy loss of a narrow magnet as of a thin sheet", ours, sheet,
            rel=0.002, unit="W/m3")
