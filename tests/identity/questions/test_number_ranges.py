"""Ranges of single numbers: the same points and the same ends as the study of the vapour margins."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from wetpath.questions.uncertainty.numbers import SampledCase, sample_case, straight_shares
from wetpath.questions.uncertainty.study import uncertainty_of
from wetpath.rating.rate import Rating
from wetpath.services.demo import enquiry_path
from wetpath.services.provenance import key_of
from wetpath.services.provenance_range import range_of_number
from wetpath.services.rating import load_service


@cache
def rating() -> Rating:
    return load_service(enquiry_path("hot_water")).rate()


@cache
def sampled() -> SampledCase:
    return sample_case(rating(), 0)


def test_a_margin_has_the_range_of_the_study() -> None:
    study = uncertainty_of(rating(), samples=4096, case=0)
    own = study.cases[0]
    worst = sampled().found.worst[:, own.governing]
    found = sampled().range_of(worst)
    assert found is not None
    wide = own.high - own.low
    assert found.low == pytest.approx(own.low, abs=0.1 * wide)
    assert found.high == pytest.approx(own.high, abs=0.1 * wide)
    assert found.causes[0][0] == study.causes[0].variable.title


@pytest.mark.parametrize(("quantity", "place"), [
    ("pressure", "8"), ("temperature", "8"), ("vapour", "8"), ("margin", "8"), ("wall", ""), ("wall-margin", ""),
    ("eddy", ""), ("head", ""), ("hydraulic", ""), ("efficiency", ""), ("shaft", ""), ("npsha", ""), ("npshr", ""),
    ("torque", ""), ("angle", ""), ("pull-out", "")])
def test_the_number_rated_lies_in_its_range(quantity: str, place: str) -> None:
    found = range_of_number(rating(), sampled(), key_of(0, quantity, place))
    assert found is not None
    one = rating().situation
    at = list(rating().pump.network.stations).index("8")
    states, losses, point = one.solution.states, one.losses, one.solved.point
    rated = {"pressure": states.pressure[0, at], "temperature": states.temperature[0, at],
             "vapour": states.saturation[0, at], "margin": states.pressure[0, at] - states.saturation[0, at],
             "wall": one.scalars[0, 9], "wall-margin": None, "eddy": losses.eddy[0], "head": point.head[0],
             "hydraulic": losses.hydraulic[0], "efficiency": losses.efficiency[0], "shaft": losses.shaft[0],
             "npsha": None, "npshr": point.npsh_required[0], "torque": losses.torque[0],
             "angle": losses.load_angle[0], "pull-out": losses.coupling_ratio[0]}[quantity]
    assert found.low < found.high
    if rated is not None:
        assert found.low <= rated <= found.high
    assert 0 < found.explained <= 1 + 1e-9


def test_an_unknown_place_has_no_range() -> None:
    assert range_of_number(rating(), sampled(), key_of(0, "pressure", "nowhere")) is None
    assert range_of_number(rating(), sampled(), key_of(0, "colour")) is None


def test_shares_of_a_straight_line_are_exact_and_noise_is_told() -> None:
    random = np.random.default_rng(3)
    x = random.standard_normal((4096, 3))
    shares, explained = straight_shares(x, x @ [1.0, 2.0, 0.0])
    assert shares == pytest.approx([0.2, 0.8, 0.0], abs=0.02)
    assert explained == pytest.approx(1.0)
    _, rough = straight_shares(x, x[:, 0] ** 2)
    assert rough < 0.05
