"""Pressure parts: design formulas by hand arithmetic; the allowable-stress rule against recalled tables."""

import numpy as np
import pytest

from wetpath.physics.strength.allowable_stress import (
    allowable_stress_asme,
    allowable_stress_en,
    allowable_stress_en_austenitic,
    at_temperature,
)
from wetpath.physics.strength.internal_pressure import (
    cylinder_limits,
    cylinder_pressure,
    cylinder_pressure_en,
    cylinder_thickness,
    cylinder_thickness_en,
)
from wetpath.physics.validity import messages

ASME, EN, RULE = "asme-viii-1-ug-27", "en-13445-3-7.4.2", "asme-ii-d-appendix-1"


@pytest.mark.published(ASME, status="recalled")
@pytest.mark.published(EN, status="recalled")
@pytest.mark.parametrize(
    ("case", "pressure", "radius", "stress", "asme", "en"),
    [
        ("P1", 2.5, 65, 138, 1.1905, 1.1883),
        ("P2", 2.5, 65, 188, 0.8713, 0.8701),
        ("P3", 1.6, 50, 115, 0.7015, 0.7005),
    ],
)
def test_wall_of_a_cylinder(case, pressure, radius, stress, asme, en, against):
    ours = cylinder_thickness(pressure * 1e6, radius * 1e-3, stress * 1e6) * 1e3
    against(ASME, "computed", f"{case} wall by UG-27", ours, asme, rel=5e-4, unit="mm")
    ours = cylinder_thickness_en(pressure * 1e6, 2 * radius * 1e-3, stress * 1e6) * 1e3
    against(EN, "computed", f"{case} wall by EN 13445", ours, en, rel=5e-4, unit="mm")


@pytest.mark.published(ASME, status="recalled")
def test_pressure_of_a_wall(against):
    against(
        ASME,
        "computed",
        "P4 pressure",
        cylinder_pressure(1e-3, 0.065, 188e6) / 1e6,
        2.866,
        rel=5e-4,
        unit="MPa",
    )
    against(
        ASME,
        "computed",
        "P5 pressure, welded",
        cylinder_pressure(1e-3, 0.065, 188e6, 0.85) / 1e6,
        2.436,
        rel=5e-4,
        unit="MPa",
    )
    against(
        EN,
        "computed",
        "P6 pressure by EN",
        cylinder_pressure_en(1e-3, 0.130, 150e6) / 1e6,
        2.290,
        rel=5e-4,
        unit="MPa",
    )


# UNS, tensile and yield strength MPa, rule MPa, tabled MPa: recalled. Tables are in tenths of ksi, from
# strengths in ksi, so the rule on rounded SI strengths agrees within 1.75 MPa, not exactly.
ALLOYS = [
    ("S31600", 515, 205, 136.7, 138),
    ("S31603", 485, 170, 113.3, 115),
    ("S31803", 620, 450, 177.1, 177),
    ("N10276", 690, 283, 188.7, 188),
    ("N06022", 690, 310, 197.1, 197),
    ("N06625", 827, 414, 236.3, 237),
    ("N04400", 485, 195, 130.0, 129),
    ("N08020", 550, 240, 157.1, 158),
    ("R50400", 345, 275, 98.6, 98.6),
    ("J92900", 485, 205, 136.7, 138),
]


@pytest.mark.published(RULE, status="recalled")
@pytest.mark.parametrize(("uns", "tensile", "yields", "rule", "tabled"), ALLOYS, ids=[row[0] for row in ALLOYS])
def test_allowable_stress_rule(uns, tensile, yields, rule, tabled, against):
    ours = allowable_stress_asme(tensile * 1e6, yields * 1e6) / 1e6
    against(RULE, "computed", f"{uns} by the rule", ours, rule, abs=0.05, unit="MPa")
    against(RULE, "recalled", f"{uns} as tabled", ours, tabled, abs=1.75, unit="MPa")


@pytest.mark.published("en-13445-3-6", status="recalled")
def test_austenitic_rule(against):
    ours = allowable_stress_en_austenitic(410e6, 181e6) / 1e6
    against("en-13445-3-6", "computed", "181/410 MPa at 150 degC", ours, 136.7, abs=0.05, unit="MPa")
    # a low yield with a high tensile strength: Rp/1.5 no longer governs, Rp/1.2 does
    assert float(allowable_stress_en_austenitic(600e6, 181e6)) == pytest.approx(181e6 / 1.2)


def test_stress_over_temperature():
    fahrenheit = np.array([300.0, 400.0, 500.0])
    kelvin = (fahrenheit - 32) / 1.8 + 273.15
    ksi = np.array([10.3, 8.8, 7.6])  # R50400, recalled
    assert at_temperature(kelvin[1], kelvin, ksi) == pytest.approx(8.8)
    assert at_temperature((kelvin[0] + kelvin[1]) / 2, kelvin, ksi) == pytest.approx(9.55)
    assert np.isnan(at_temperature(kelvin[2] + 1, kelvin, ksi))
    with pytest.raises(ValueError, match="rise strictly"):
        at_temperature(300.0, kelvin[::-1], ksi)


def test_thick_walls_are_flagged():
    assert messages(*cylinder_limits(1e-3, 2.5e6, 0.065, 138e6)) == ()
    assert len(messages(*cylinder_limits(40e-3, 60e6, 0.065, 138e6))) == 2


@pytest.mark.published("en-13445-3-6", status="recalled")
def test_rule_for_other_steels(against):
    for tensile, proof, want in ((600e6, 300e6, 200e6), (410e6, 300e6, 410e6 / 2.4)):
        against(
            "en-13445-3-6",
            "recalled",
            f"{tensile:g}/{proof:g} Pa",
            allowable_stress_en(tensile, proof),
            want,
            rel=1e-9,
            unit="Pa",
        )
