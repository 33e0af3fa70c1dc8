"""Pt100 of IEC 60751: printed resistances (recalled) and the rest of the polynomial by hand arithmetic."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetpath.physics.instruments.resistance_thermometer import (
    resistance,
    temperature,
    thermometer_limits,
    tolerance,
)
from wetpath.physics.validity import messages

KEY = "iec-60751"
ROWS = [
    (-200, 18.520),
    (-100, 60.256),
    (-50, 80.306),
    (0, 100.000),
    (25, 109.735),
    (50, 119.397),
    (80, 130.897),
    (100, 138.506),
    (120, 146.068),
    (150, 157.325),
    (200, 175.856),
    (250, 194.098),
    (400, 247.092),
    (850, 390.481),
]


@pytest.mark.published(KEY, status="recalled")
@pytest.mark.parametrize(("celsius", "ohm"), ROWS)
def test_resistance(celsius, ohm, against):
    against(
        KEY,
        "computed",
        f"resistance at {celsius} degC",
        resistance(celsius + 273.15),
        ohm,
        abs=1e-3,
        unit="ohm",
    )


@pytest.mark.published(KEY, status="recalled")
@pytest.mark.parametrize(("celsius", "printed"), [(100, 138.51), (200, 175.86), (-200, 18.52)])
def test_printed_table(celsius, printed, against):
    against(
        KEY,
        "recalled",
        f"printed at {celsius} degC",
        resistance(celsius + 273.15),
        printed,
        abs=5.1e-3,
        unit="ohm",
    )


@pytest.mark.published(KEY, status="recalled")
def test_inverse_and_tolerance(against):
    against(KEY, "computed", "temperature at 120 ohm", temperature(120.0) - 273.15, 51.566, abs=1e-3, unit="degC")
    against(
        KEY,
        "computed",
        "temperature at 138.5055 ohm",
        temperature(138.5055) - 273.15,
        100.0,
        abs=1e-3,
        unit="degC",
    )
    against(KEY, "recalled", "class A at 200 degC", tolerance(473.15, "A"), 0.55, rel=1e-9, unit="K")
    against(KEY, "recalled", "class B at 200 degC", tolerance(473.15, "B"), 1.3, rel=1e-9, unit="K")


@given(st.floats(-199.9, 849.9))
def test_there_and_back(celsius):
    assert float(temperature(resistance(celsius + 273.15))) == pytest.approx(celsius + 273.15, abs=1e-7)


def test_outside_the_range_there_is_no_value():
    assert np.isnan(resistance(60.0))
    assert np.isnan(temperature(400.0))
    assert float(resistance(373.15, 1000.0)) == pytest.approx(1385.055)
    assert messages(*thermometer_limits(60.0)) == ("temperature outside -200 to 850 degC: outside IEC 60751",)


@pytest.mark.published(KEY, status="recalled")
@pytest.mark.parametrize(
    ("name", "at_zero", "at_hundred"), [("AA", 0.10, 0.27), ("A", 0.15, 0.35), ("B", 0.30, 0.80), ("C", 0.60, 1.60)]
)
def test_tolerance_classes(name, at_zero, at_hundred, against):
    against(KEY, "recalled", f"class {name} at 0 degC", tolerance(273.15, name), at_zero, rel=1e-9, unit="K")
    against(KEY, "recalled", f"class {name} at 100 degC", tolerance(373.15, name), at_hundred, rel=1e-9, unit="K")
    against(KEY, "recalled", f"class {name} at -100 degC", tolerance(173.15, name), at_hundred, rel=1e-9, unit="K")


def test_both_ends_of_the_range():
    assert np.isfinite(resistance(np.array([73.151, 1123.149]))).all()
    assert np.isnan(resistance(np.array([73.149, 1123.151]))).all()
    assert messages(*thermometer_limits(np.array([73.16, 1123.14]))) == ()
    assert messages(*thermometer_limits(1123.16)) != ()
