"""Reading what was written gives the same value back, for every kind and unit."""

import contextlib
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetpath.edge import quantities as q
from wetpath.edge.quantities import KINDS
from wetpath.edge.units import METRIC, US, canonical, convert, express, parse, parse_list, unit_of
from wetpath.errors import UnitError

ALL = [(kind, unit) for kind in KINDS.values() for unit in kind.units]
numbers = st.floats(min_value=1e-3, max_value=1e6)


def _value(kind, number):
    return number if kind.above is None or number > kind.above else kind.above + 1


@given(st.sampled_from(ALL), numbers, st.booleans())
def test_reading_what_was_shown_gives_the_value(pair, number, narrow):
    kind, unit = pair
    shown = express(_value(kind, number), kind, unit, digits=15, space="\u202f" if narrow else " ")
    assert parse(shown, kind) == pytest.approx(_value(kind, number), rel=1e-12, abs=1e-9)


@given(st.sampled_from(list(KINDS.values())), numbers)
def test_text_of_a_file_reads_back_to_the_same_float(kind, number):
    text = canonical(number, kind)
    assert parse(text, kind) == number
    assert text.isascii()


@given(st.sampled_from(ALL), numbers)
def test_converting_is_the_inverse_of_reading(pair, number):
    kind, unit = pair
    if unit.offset < 0 or kind == q.PRESSURE:
        return
    value = parse(f"{number!r} {unit.name}" if unit.name != "1" else repr(number), kind)
    assert convert(value, kind, unit) == pytest.approx(number, rel=1e-12)


@given(st.lists(st.floats(min_value=0, max_value=1e4, allow_subnormal=False), min_size=1, max_size=12))
def test_a_list_reads_as_its_members(values):
    text = " ".join(f"{value!r}" for value in values) + " m3/h"
    assert parse_list(text, q.VOLUME_FLOW) == tuple(parse(f"{value!r} m3/h", q.VOLUME_FLOW) for value in values)


@settings(deadline=None)        # the first unknown unit builds the registry of pint, half a second
@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_in_our_words(text):
    for kind in (q.PRESSURE, q.TEMPERATURE, q.VOLUME_FLOW, q.RATIO, q.PER_KELVIN):
        for read in (parse, parse_list):
            with contextlib.suppress(UnitError):
                value = read(text, kind)
                assert all(map(math.isfinite, value if isinstance(value, tuple) else (value,)))


@pytest.mark.parametrize(("text", "kind", "value"), [
    ("45 m3/h", q.VOLUME_FLOW, 0.0125), ("45 m³/h", q.VOLUME_FLOW, 0.0125), ("45m3/h", q.VOLUME_FLOW, 0.0125),
    ("45\u202fm³/h", q.VOLUME_FLOW, 0.0125), ("45 m^3/h", q.VOLUME_FLOW, 0.0125),
    ("1.2 bar a", q.PRESSURE, 1.2e5), ("1.2 bar(a)", q.PRESSURE, 1.2e5), ("1.2 bara", q.PRESSURE, 1.2e5),
    ("1.2 bar abs", q.PRESSURE, 1.2e5), ("1,2 bar a", q.PRESSURE, 1.2e5), ("0.6 barg", q.PRESSURE, 161325.0),
    ("-0.4 bar gauge", q.PRESSURE, 61325.0), ("120 kPa(a)", q.PRESSURE, 1.2e5), ("100 Pa a", q.PRESSURE, 100.0),
    ("−5 degC", q.TEMPERATURE, 268.15), ("176 F", q.TEMPERATURE, 353.15), ("80 ℃", q.TEMPERATURE, 353.15),
    ("353 K", q.TEMPERATURE, 353.0), ("9 degF", q.TEMPERATURE_DIFFERENCE, 5.0), ("5 K", q.TEMPERATURE_DIFFERENCE, 5.0),
    ("0,200 m", q.LENGTH, 0.2), ("12\u2009345 Pa a", q.PRESSURE, 12345.0), ("12 %", q.RATIO, 0.12),
    ("0.12", q.RATIO, 0.12), ("1e-3 m2", q.AREA, 1e-3), ("1.30 µΩ·m", q.RESISTIVITY, 1.3e-6),
    ("9e-4 1/K", q.PER_KELVIN, 9e-4),
    ("2,1 kJ/(kg·K)", q.SPECIFIC_HEAT, 2100.0), ("2.1 kJ/kg/K", q.SPECIFIC_HEAT, 2100.0),
    ("30°", q.ANGLE, math.pi / 6), ("0.6 mPa·s", q.DYNAMIC_VISCOSITY, 6e-4)])
def test_spellings(text, kind, value):
    assert parse(text, kind) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(("text", "values"), [
    ("0 0.55 61 %", (0, 0.0055, 0.61)), ("0, 0.5, 1", (0, 0.5, 1)), ("0;0,5;1", (0, 0.5, 1))])
def test_lists_of_ratios(text, values):
    assert parse_list(text, q.RATIO) == pytest.approx(values)


def test_list_of_units_that_begin_with_a_one():
    assert parse_list("0 1 1/K", q.PER_KELVIN) == (0.0, 1.0)


@pytest.mark.parametrize(("value", "kind", "metric", "us"), [
    (469e3, q.PRESSURE, "4.69 bar a", "68.0 psi a"), (353.15, q.TEMPERATURE, "80.0 °C", "176.0 °F"),
    (15230.0, q.POWER, "15.2 kW", "20.4 hp"), (0.0125, q.VOLUME_FLOW, "45 m³/h", "198 gpm"),
    (54.04, q.HEAD, "54.0 m", "177.3 ft"), (200.0, q.TEMPERATURE, "−73.1 °C", "−99.7 °F"),
    (-29e3, q.PRESSURE_DIFFERENCE, "−0.29 bar", "−4.2 psi"), (308.92, q.ROTATIONAL_SPEED, "2950 rpm", "2950 rpm"),
    (0.12, q.RATIO, "12 %", "12 %"), (-1e-9, q.PRESSURE_DIFFERENCE, "0.00 bar", "0.0 psi")])
def test_digits_and_signs_as_people_read_them(value, kind, metric, us):
    assert express(value, kind, units=METRIC, space=" ") == metric
    assert express(value, kind, units=US, space=" ") == us


def test_the_unit_as_typed_is_found_again():
    assert unit_of("0.5 in", q.LENGTH).name == "in"
    assert unit_of("1 2 3 psi g", q.PRESSURE).name == "psi"
    assert unit_of("12", q.LENGTH) is None
