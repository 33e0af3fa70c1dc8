"""Present value by hand arithmetic; emission factors and correlations of EPA-453/R-95-017 (recalled)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetpath.physics.economics.emission_factors import (
    AVERAGE_FACTORS,
    CORRELATIONS,
    SCREENING_RANGES,
    emitted_mass,
    rate_from_screening,
    screening_limits,
)
from wetpath.physics.economics.present_value import annuity_factor, present_value
from wetpath.physics.validity import messages

EPA, HOUR = "epa-453-r-95-017", 3600.0


def test_present_value(against):
    yearly = 12.0 * 8000 * 0.12
    against("annuity", "computed", "L1 factor", annuity_factor(0.08, 10), 6.71008, rel=1e-5)
    against("annuity", "computed", "L2 yearly cost", yearly, 11520, rel=1e-12)
    against("annuity", "computed", "L2 present value", present_value(yearly, 0.08, 10), 77300.1, rel=1e-5)
    against("annuity", "computed", "L3 factor", annuity_factor(0.08, 10, 0.03), 7.55013, rel=1e-5)
    against("annuity", "computed", "L3 present value", present_value(yearly, 0.08, 10, 0.03), 86977.5, rel=1e-5)
    against("annuity", "computed", "L4 factor at r = g", annuity_factor(0.05, 10, 0.05), 10 / 1.05, rel=1e-12)


@given(st.floats(0.0, 0.3), st.integers(1, 60), st.floats(-0.1, 0.3))
def test_factor_is_the_sum_of_the_payments(rate, years, growth):
    k = np.arange(1, years + 1)
    assert float(annuity_factor(rate, years, growth)) == pytest.approx(
        np.sum((1 + growth) ** (k - 1) / (1 + rate) ** k), rel=1e-9
    )


@given(st.floats(-1e-6, 1e-6))
def test_no_jump_where_rate_equals_growth(step):
    assert float(annuity_factor(0.05, 20, 0.05 + step)) == pytest.approx(20 / 1.05, rel=2e-5)


@pytest.mark.published(EPA, status="recalled")
def test_average_factors(against):
    for (industry, service), want in {
        ("chemical", "light liquid"): 0.0199,
        ("chemical", "heavy liquid"): 0.00862,
        ("refinery", "light liquid"): 0.114,
        ("refinery", "heavy liquid"): 0.021,
        ("marketing terminal", "light liquid"): 0.00054,
    }.items():
        against(
            EPA,
            "recalled",
            f"{industry}, {service}",
            AVERAGE_FACTORS[industry, service].rate * HOUR,
            want,
            rel=1e-9,
            unit="kg/h",
        )
    assert [round(float(x * HOUR), 5) for x in SCREENING_RANGES["chemical", "light liquid"]] == [
        0.243,
        0.00187,
    ]
    assert [round(float(x * HOUR), 5) for x in SCREENING_RANGES["chemical", "heavy liquid"]] == [
        0.216,
        0.0021,
    ]


@pytest.mark.published(EPA, status="recalled")
def test_worked_emissions(against):
    rate = AVERAGE_FACTORS["chemical", "light liquid"].rate
    against(EPA, "computed", "E1 one pump, 8760 h", emitted_mass(rate, 8760 * HOUR), 174.3, rel=1e-3, unit="kg")
    against(EPA, "computed", "E2 one pump, 8000 h", emitted_mass(rate, 8000 * HOUR), 159.2, rel=1e-3, unit="kg")
    chemical, refinery = CORRELATIONS["chemical", "light liquid"], CORRELATIONS["refinery", "all"]
    against(
        EPA,
        "computed",
        "E3 500 ppmv",
        rate_from_screening(500.0, chemical) * HOUR,
        3.182e-3,
        rel=1e-3,
        unit="kg/h",
    )
    against(
        EPA,
        "computed",
        "E4 1000 ppmv",
        rate_from_screening(1000.0, refinery) * HOUR,
        3.401e-3,
        rel=1e-3,
        unit="kg/h",
    )


@pytest.mark.published(EPA, status="recalled")
def test_ends_of_the_screening_scale(against):
    chemical = CORRELATIONS["chemical", "light liquid"]
    against(
        EPA,
        "recalled",
        "default zero",
        rate_from_screening(0.0, chemical) * HOUR,
        7.5e-6,
        rel=1e-9,
        unit="kg/h",
    )
    against(
        EPA,
        "recalled",
        "pegged at 10 000",
        rate_from_screening(2e4, chemical, 10_000) * HOUR,
        0.14,
        rel=1e-9,
        unit="kg/h",
    )
    against(
        EPA,
        "recalled",
        "pegged at 100 000",
        rate_from_screening(1e5, chemical, 100_000) * HOUR,
        0.62,
        rel=1e-9,
        unit="kg/h",
    )
    assert np.isnan(rate_from_screening(-1.0, chemical))
    assert messages(*screening_limits(2e5)) != ()
    with pytest.raises(ValueError, match="10 000 and 100 000"):
        rate_from_screening(1.0, chemical, 5)


@pytest.mark.published(EPA, status="recalled")
def test_refinery_ends_of_the_scale(against):
    refinery = CORRELATIONS["refinery", "all"]
    for value, pegged, want in ((0.0, None, 2.4e-5), (1e4, 10_000, 0.074), (1e5, 100_000, 0.16)):
        against(
            EPA,
            "recalled",
            f"refinery at {value:g} ppmv",
            rate_from_screening(value, refinery, pegged) * HOUR,
            want,
            rel=1e-9,
            unit="kg/h",
        )
    below = rate_from_screening(9.9e3, refinery, 10_000)
    assert below == rate_from_screening(9.9e3, refinery)
    assert messages(*screening_limits(9.9e4)) == ()
