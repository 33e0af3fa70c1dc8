"""The quick model of a watched pump against the full solve at points that are no nodes of it."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from wetpath.circulation.outcome import Outcome
from wetpath.rating.flow_limits import at_inputs
from wetpath.rating.rate import Rating
from wetpath.services.demo import enquiry_path
from wetpath.services.rating import load_service
from wetpath.watching.surrogate import (
    MARGIN,
    NPSH_MARGIN,
    PRESSURE,
    PULL_OUT,
    RATIO,
    TEMPERATURE,
    WALL_MARGIN,
    Surrogate,
    columns_at,
    margins_of,
    surrogate_of,
)

NAMES = ("hot_water", "butane_reflux", "cold_water", "propane", "ammonia")
COUNT = 200


@cache
def built(name: str) -> tuple[Rating, Surrogate]:
    rating = load_service(enquiry_path(name)).rate()
    return rating, surrogate_of(rating, 0)


@pytest.mark.parametrize("name", NAMES)
def test_margins_are_those_of_the_full_solve(name: str) -> None:
    """Other points than those at which the error was measured, solved by the code of a rating."""
    rating, quick = built(name)
    points = quick.low[:4] + np.random.default_rng(99).random((COUNT, 4)) * (quick.high[:4] - quick.low[:4])
    inputs = rating.inputs.chosen(np.zeros(COUNT, np.int64)).changed(
        flow=points[:, 0], temperature=points[:, 1], speed=points[:, 2], pressure=points[:, 3])
    full = at_inputs(rating.situation, np.zeros(COUNT, np.int64), inputs)
    states = full.solution.states
    good = (full.solution.outcome != Outcome.NO_SOLUTION) & np.isfinite(states.saturation).all(axis=1)
    margin = (states.pressure - states.saturation).min(axis=1)
    columns = columns_at(quick.at_feed(1.0), quick.low, quick.high, points)
    ours = margins_of(quick.liquid.arrays, columns, points[:, TEMPERATURE].copy(), points[:, PRESSURE].copy())
    off = np.abs(ours[:, MARGIN] - margin)[good]
    assert good.sum() > 0.9 * COUNT
    assert off.max() <= 2.0 * quick.error                            # the bound that it carries, found at other points
    large = np.abs(margin[good]) > 2e4
    assert (off[large] / np.abs(margin[good][large])).max() < 0.02
    assert quick.relative_error < 0.02
    ratio = np.abs(ours[good, RATIO] - full.losses.coupling_ratio[good])
    assert ratio.max() <= 2.0 * quick.errors[PULL_OUT]
    available = full.npsh_available - full.solved.point.npsh_required
    assert ours[good, NPSH_MARGIN] == pytest.approx(available[good], abs=0.1)
    assert np.isfinite(ours[good, WALL_MARGIN]).all()


def test_less_feed_means_a_warmer_wall_and_less_margin() -> None:
    _, quick = built("butane_reflux")
    at = 0.5 * (quick.low[:4] + quick.high[:4])[None, :]
    walls, margins = [], []
    for feed in (1.0, 0.7, 0.4):
        columns = columns_at(quick.at_feed(feed), quick.low, quick.high, at)
        told = margins_of(quick.liquid.arrays, columns, at[:, TEMPERATURE].copy(), at[:, PRESSURE].copy())[0]
        walls.append(told[WALL_MARGIN])
        margins.append(told[MARGIN])
    assert walls == sorted(walls, reverse=True)
    assert margins == sorted(margins, reverse=True)


def test_outside_the_region_is_known() -> None:
    _, quick = built("hot_water")
    inside, beyond = 0.5 * (quick.low + quick.high)[:4], quick.high[:4] * 1.1
    assert quick.holds(np.stack([inside, beyond])).tolist() == [True, False]


def test_cases_of_a_works_test_are_watched_as_well() -> None:
    rating, quick = built("water_test")
    assert rating.situation.demands.works_test.all()
    assert quick.relative_error < 0.02
    assert quick.holds(np.array([[rating.inputs.flow[0], rating.inputs.temperature[0], rating.inputs.speed[0],
                                  rating.inputs.pressure[0]]])).all()
