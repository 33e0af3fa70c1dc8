"""The tables of materials, magnets and motors against printed rows and against rules of other sources."""

from math import log10, pi

import pytest

from wetpath.edge.tables import magnets, material, materials, motor_ratings

# IEC 60034-30-1, table of coefficients for IE3 at 50 Hz, 0.75 to 200 kW: efficiency [%] =
# A x^3 + B x^2 + C x + D with x = log10(power / 1 kW). Recalled. Printed efficiencies have one decimal; the printed
# table and the formula differ by up to one unit of that decimal.
IE3_50_HZ = {2: (0.3569, -3.3076, 11.6108, 82.2503), 4: (0.0773, -1.8951, 9.2984, 83.7025)}


@pytest.mark.published("iec-60034-30-1", status="recalled")
@pytest.mark.parametrize("poles", [2, 4])
def test_motor_efficiencies_follow_the_formula_of_the_standard(against, poles):
    a, b, c, d = IE3_50_HZ[poles]
    for rating in motor_ratings(poles):
        if 750 <= rating.power <= 200e3:
            x = log10(rating.power / 1e3)
            against("iec-60034-30-1", "recalled", f"IE3 efficiency, {poles} poles, {rating.power / 1e3:g} kW",
                    100 * rating.efficiency, a * x**3 + b * x**2 + c * x + d, abs=0.11, unit="%")


def test_motor_efficiency_rises_with_power():
    for poles in (2, 4):
        series = [rating.efficiency for rating in motor_ratings(poles)]
        assert series == sorted(series)


# Tabled allowable stress near ambient and the rule of the appendix, from minimum strengths: min(UTS/3.5, 2/3 yield).
# Table and strengths are remembered apart from each other. Tables are rounded to 0.1 ksi of strengths in ksi: 2 %.
RULE_ROWS = ["S31600", "S31603", "S31803", "N10276", "N06022", "N06625", "N04400", "N08020", "R50400"]


@pytest.mark.published("asme-ii-d-appendix-1", status="recalled")
@pytest.mark.parametrize("uns", RULE_ROWS)
def test_tabled_allowable_stress_follows_from_minimum_strengths(against, uns):
    row = material(uns)
    rule = min(row.tensile_strength / 3.5, row.yield_strength * 2 / 3)
    against("asme-ii-d-appendix-1", "recalled", f"allowable stress of {uns} near ambient", row.allowable_stresses[0],
            rule, rel=0.02, unit="Pa")


@pytest.mark.published("iter-mph-aa04-3201", status="read")
@pytest.mark.parametrize(("celsius", "printed"), [(20, 74), (100, 80), (200, 87), (300, 94)])
def test_resistivity_of_s31603_follows_printed_rows(against, celsius, printed):
    ours = material("S31603").resistivity_at(celsius + 273.15) * 1e8
    against("iter-mph-aa04-3201", "read", f"resistivity of S31603 at {celsius} degC", ours, printed, rel=0.01,
            unit="uohm cm")   # rows printed with two digits; the straight line ends at 200 degC


# Coercivity of the induction, HcB = Br / (mu0 mu), of a straight demagnetisation line must fall in the range the
# trade prints [kA/m]. Recalled; Br and mu are chosen inside their own ranges.
MAGNET_RANGES = {"SmCo5": (640, 750), "Sm2Co17": (700, 820), "NdFeB-950": (860, 1000), "NdFeB-1600": (880, 990),
                 "NdFeB-2400": (810, 910)}


@pytest.mark.parametrize("name", MAGNET_RANGES)
def test_remanence_permeability_and_coercivity_of_induction_agree(name):
    row = magnets()[name]
    low, high = MAGNET_RANGES[name]
    assert low <= row.remanence / (4e-7 * pi * row.recoil_permeability) / 1e3 <= high
    assert row.coercivity_at(row.highest_temperature) > 0
    assert 0.8 < row.remanence_at(row.highest_temperature) / row.remanence < 1


def test_every_metal_can_carry_an_eddy_current_and_no_insulator_does():
    for row in materials().values():
        if row.conduction == "metal":
            assert 0.3e-6 < row.resistivity < 2e-6
            assert row.tensile_strength > row.yield_strength > 1e8
            assert 5 < row.thermal_conductivity < 30
        elif row.conduction == "insulating":
            assert row.resistivity == float("inf")
        else:
            assert row.resistivity != row.resistivity     # unknown is neither zero nor infinite
