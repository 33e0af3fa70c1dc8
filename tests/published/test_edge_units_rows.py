"""Conversion factors and the standard atmosphere against printed rows."""

import pytest

from wetpath.edge import quantities as q
from wetpath.edge.atmosphere import atmosphere_at
from wetpath.edge.units import parse
from wetpath.errors import LimitError

# NIST SP 811, appendix B.8: factors printed with seven digits. Recalled. The tolerance is half of the last digit.
FACTORS = [
    ("1 psi a", q.PRESSURE, 6.894757e3), ("1 atm a", q.PRESSURE, 1.01325e5), ("1 torr a", q.PRESSURE, 1.333224e2),
    ("1 mmHg a", q.PRESSURE, 1.333224e2), ("1 inHg a", q.PRESSURE, 3.386389e3),
    ("1 kgf/cm2 a", q.PRESSURE, 9.80665e4), ("1 gal", q.VOLUME, 3.785412e-3), ("1 imp gal", q.VOLUME, 4.54609e-3),
    ("1 gpm", q.VOLUME_FLOW, 6.309020e-5), ("1 ft3/min", q.VOLUME_FLOW, 4.719474e-4),
    ("1 hp", q.POWER, 7.456999e2), ("1 lbf ft", q.TORQUE, 1.355818), ("1 lbf in", q.TORQUE, 1.129848e-1),
    ("1 lbf", q.FORCE, 4.448222), ("1 lb/ft3", q.DENSITY, 1.601846e1), ("1 lb/gal", q.DENSITY, 1.198264e2),
    ("1 BTU/(lb degF)", q.SPECIFIC_HEAT, 4.1868e3), ("1 BTU/lb", q.SPECIFIC_ENERGY, 2.326e3),
    ("1 BTU/(h ft2 degF)", q.HEAT_TRANSFER_COEFFICIENT, 5.678263),
    ("1 BTU/(h ft degF)", q.THERMAL_CONDUCTIVITY, 1.730735), ("1 lb ft2", q.INERTIA, 4.214011e-2),
    ("1 cSt", q.KINEMATIC_VISCOSITY, 1e-6), ("1 cP", q.DYNAMIC_VISCOSITY, 1e-3), ("1 Oe", q.FIELD_STRENGTH, 7.957747e1),
    ("1 G", q.FLUX_DENSITY, 1e-4), ("1 rpm", q.ROTATIONAL_SPEED, 1.047198e-1), ("1 lb/h", q.MASS_FLOW, 1.259979e-4),
    ("1 mil", q.ROUGHNESS, 2.54e-5), ("1 ksi", q.STRESS, 6.894757e6),
]

# ISO 2533, geopotential altitude [m] and pressure [hPa] with six digits. Recalled.
ATMOSPHERE = [(-1000, 1139.29), (0, 1013.25), (500, 954.608), (1000, 898.746), (2000, 794.952), (3000, 701.085),
              (5000, 540.199), (11000, 226.321)]


@pytest.mark.published("nist-sp-811", status="recalled")
@pytest.mark.parametrize(("text", "kind", "printed"), FACTORS)
def test_conversion_factor_matches_printed_row(against, text, kind, printed):
    against("nist-sp-811", "recalled", f"factor of {text}", parse(text, kind), printed, rel=5e-7, unit=kind.si.name)


@pytest.mark.published("iso-2533", status="recalled")
@pytest.mark.parametrize(("altitude", "printed"), ATMOSPHERE)
def test_atmosphere_matches_printed_row(against, altitude, printed):
    against("iso-2533", "recalled", f"standard atmosphere at {altitude} m", atmosphere_at(altitude) / 100, printed,
            abs=0.006, unit="hPa")


def test_gauge_pressure_at_altitude_is_read_over_the_local_atmosphere():
    assert parse("0 bar g", q.PRESSURE, atmosphere=atmosphere_at(2000)) == pytest.approx(79495.2, abs=0.1)
    assert parse("1.2 bar a", q.PRESSURE, atmosphere=atmosphere_at(2000)) == 120000.0


@pytest.mark.parametrize("altitude", [-2001.0, 11001.0, float("nan")])
def test_atmosphere_is_refused_outside_its_layer(altitude):
    with pytest.raises(LimitError, match="from -2000 m to 11000 m"):
        atmosphere_at(altitude)
