"""Where a heavy-duty pump is suggested, and where a liquid is thick: told of the worst case, beyond a bound only."""

from dataclasses import replace

import numpy as np
import pytest

import wetpath as wp
from wetpath.circulation import solve
from wetpath.edge.practice import Practice, default_practice
from wetpath.services.demo import enquiry_path


def told(name, **bounds):
    """Findings of a demo enquiry about heavy duty and thick liquid, under other bounds."""
    limits = default_practice()
    own = {key: replace(limits[key], value=value) for key, value in bounds.items()}
    rating = wp.rate(enquiry_path(name), practice=Practice("with other bounds", {**limits, **own}))
    return rating, [one for one in rating.warnings if "heavy-duty pumps" in one or "thick liquids" in one]


@pytest.mark.parametrize(("name", "words"), [
    ("cold_water", ()),
    ("propane", ("suction pressure",)),
    ("hot_oil", ("liquid temperature",)),
])
def test_only_what_is_exceeded_is_told(name, words):
    _, found = told(name)
    assert len(found) == bool(words)
    for phrase in ("discharge pressure", "suction pressure", "liquid temperature"):
        assert any(phrase in one for one in found) == any(phrase in word for word in words)


def test_the_worst_case_is_named_with_its_value_and_its_bound():
    rating, found = told("cold_water", heavy_duty_head=49.0, heavy_duty_temperature=290.0)
    (sentence,) = found
    highest = int(np.argmax(rating.point.head))
    assert sentence == (
        'liquid temperature 26.0\u2009°C in case "B summer, low sump", bound 16.9\u2009°C; '
        f'head {rating.point.head[highest]:.1f}\u2009m in case "{rating.case_names[highest]}", bound 49.0\u2009m: '
        "there the standard for heavy-duty pumps is suggested; ask for a pump built to it")


def test_discharge_pressure_is_suction_and_head_above_the_atmosphere():
    rating, _ = told("cold_water")
    demands = rating.situation.demands
    pressure = (rating.inputs.pressure - demands.atmosphere
                + rating.situation.scalars[:, solve.DENSITY_IN] * 9.80665 * rating.point.head).max()
    assert not told("cold_water", heavy_duty_discharge_pressure=pressure * 1.0001)[1]
    assert told("cold_water", heavy_duty_discharge_pressure=pressure * 0.9999)[1]


def test_a_thick_liquid_is_told_with_its_viscosity():
    assert not told("cold_water")[1]
    (sentence,) = told("cold_water", viscosity_highest=1.2e-3)[1]
    assert sentence.startswith('the liquid of case "C winter" has 1.27\u2009mPa·s, more than 1.2\u2009mPa·s: ')
