"""One mechanism is named alone only with share, range, moderate support and physics; else rivals are named."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from wetpath.investigation.physics_tests import Says
from wetpath.investigation.study import Investigation, Standing
from wetpath.services.demo import demo_folder
from wetpath.services.investigate import investigate_file, sentence_of


@cache
def plugged() -> Investigation:
    return investigate_file(demo_folder() / "evidence" / "butane_bearings.toml")[0]


def with_values(found: Investigation, **values: np.ndarray) -> Investigation:
    """The same with some results of the weighing put in by hand, the others as they were."""
    weighed = replace(found.weighed)
    kept = {name: getattr(found.weighed, name) for name in ("log_likelihood", "shares", "ranges")}
    vars(weighed).update(kept | values)
    return replace(found, weighed=weighed)


def with_ratio(found: Investigation, ratio: float) -> Investigation:
    """The same shares and ranges, with another likelihood ratio of the first against the second."""
    logs = np.zeros_like(found.weighed.log_likelihood)
    logs[0, found.weighed.order[0]] = np.log(ratio)
    return with_values(found, log_likelihood=logs)


@pytest.mark.parametrize(("ratio", "standing"), [(0.5, Standing.OPEN), (9.9, Standing.OPEN), (10.1, Standing.POINTS)])
def test_less_than_moderate_support_names_no_mechanism_alone(ratio: float, standing: Standing) -> None:
    found = with_ratio(plugged(), ratio)
    assert found.ratio == pytest.approx(ratio)
    assert found.standing is standing


@pytest.mark.parametrize("says", [Says.NOTHING, Says.AGAINST])
def test_without_a_test_passed_it_is_unproven(says: Says) -> None:
    found = plugged()
    tests = tuple(replace(one, says=says) if one.mechanism == "plugged" else one for one in found.tests)
    unproven = replace(found, tests=tests)
    assert unproven.standing is Standing.UNPROVEN
    assert "no test of the physics supports it yet" in sentence_of(unproven)


def test_ranges_that_meet_leave_it_open() -> None:
    found = plugged()
    first, second = found.weighed.order[:2]
    ranges = found.weighed.ranges.copy()
    ranges[1, second] = ranges[0, first]
    assert with_values(found, ranges=ranges).standing is Standing.OPEN


@pytest.mark.parametrize("ratio", [1.0, 1000.0])
def test_the_answer_always_names_a_rival(ratio: float) -> None:
    found = with_ratio(plugged(), ratio)
    assert all(one.title in sentence_of(found) for one in found.ranked[:2])
