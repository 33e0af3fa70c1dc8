"""Bearing loads, films and lives of a rating against printed rows and the worked frame."""

import numpy as np
import pytest

from wetpath.physics.film.bearing_reactions import bearing_reactions
from wetpath.physics.film.journal_film import eccentricity_ratio, printed_row, sommerfeld_number
from wetpath.physics.film.rolling_bearing_life import (
    angular_contact_equivalent_load,
    rating_life,
    rating_of_rows,
)
from wetpath.physics.pump.balance_chamber import chamber_share
from wetpath.physics.pump.radial_thrust import radial_force, single_volute_factor

#: Density, head, flow share, viscosity of the worked frame W-1 in three services; what its second solution gave.
FRAME = {"water 60 degC": (983.24, 31.3125, 1.0, 4.6612e-4, 17.753, 0.072073, 0.82287),
         "n-butane 30 degC": (567.08, 33.0, 0.8, 1.5134e-4, 27.970, 0.014848, 0.93189)}


@pytest.mark.published("raimondi-boyd-1958", status="recalled")
@pytest.mark.parametrize("service", FRAME)
def test_worked_frame(against, service):
    """Radius 14, length 14, clearance 0.030 mm, 2900 r/min, front bearing 1.5 times the radial force."""
    density, head, share, viscosity, force, number, ratio = FRAME[service]
    ours = float(radial_force(single_volute_factor(share), density, head, 0.168, 0.007))
    against("stepanoff-1957", "derived", f"radial force, {service}", ours, force, rel=2e-4, unit="N")
    found = float(sommerfeld_number(viscosity, 2900 * np.pi / 30, 1.5 * force, 0.014, 0.014, 0.030e-3))
    # viscosity is that of the suction here, of the bearing in the frame: 0.7 % of the number
    against("raimondi-boyd-1958", "derived", f"Sommerfeld number, {service}", found, number, rel=7e-3)
    against("raimondi-boyd-1958", "derived", f"eccentricity ratio, {service}",
            eccentricity_ratio(number, printed_row(0.5)), ratio, abs=5e-6)


@pytest.mark.published("beam-statics", status="derived")
def test_overhung_impeller(against):
    front, rear = bearing_reactions(300.0, 0.0, 0.055, 0.150)
    against("beam-statics", "derived", "front bearing, 300 N 55 mm ahead of it, 95 mm apart", front, 300 * 150 / 95,
            rel=1e-12, unit="N")
    against("beam-statics", "derived", "rear bearing", rear, -300 * 55 / 95, rel=1e-12, unit="N")


@pytest.mark.published("iso-281-2007", status="recalled")
def test_rolling_bearing_rows(against):
    against("iso-281-2007", "recalled", "X Fr + Y Fa at 40 degrees", angular_contact_equivalent_load(1000.0, 2000.0),
            0.35 * 1000 + 0.57 * 2000, rel=1e-12, unit="N")
    against("iso-281-2007", "recalled", "below e = 1.14", angular_contact_equivalent_load(1000.0, 1100.0), 1000.0,
            rel=1e-12, unit="N")
    against("iso-281-2007", "recalled", "pair of ball bearings, rating over that of one", rating_of_rows(1.0, 2), 1.62,
            abs=0.006)
    against("iso-281-2007", "recalled", "C/P for 25 000 h at 2950 r/min, ball",
            (25000 * 3600 / float(rating_life(1.0, 1.0, 2950 * np.pi / 30))) ** (1 / 3), 16.42, abs=0.01)


@pytest.mark.published("balance-chamber", status="derived")
def test_two_gaps_in_line(against):
    against("balance-chamber", "derived", "equal gaps share the pressure", chamber_share(1e-4, 2.0, 1e-4, 2.0), 0.5,
            rel=1e-12)
    against("balance-chamber", "derived", "holes twice the area take a fifth", chamber_share(1e-4, 2.0, 2e-4, 2.0), 0.2,
            rel=1e-12)
    against("balance-chamber", "derived", "without holes all of it", chamber_share(1e-4, 2.0, 0.0, 2.0), 1.0, rel=1e-12)


@pytest.mark.common_practice
def test_attack_of_caustic_on_free_silicon():
    """Reaction-bonded silicon carbide holds free silicon, which caustic and hydrogen fluoride dissolve."""
    from wetpath.machine.bearing_materials import bearing_pairs

    pairs = bearing_pairs()
    for cas in ("1310-73-2", "1310-58-3", "7664-39-3"):
        assert pairs["reaction-bonded silicon carbide"].attack_of(cas)
        assert pairs["sintered silicon carbide"].attack_of(cas) is None
    assert pairs["carbon"].attack_of("7697-37-2")
    assert pairs["carbon"].attack_of(None) is None
