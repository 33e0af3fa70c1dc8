"""Reconciliation and the watch over time: statistics, instruments that are off, plugging, alarms, memory.

The readings are those of the quick model with drawn noise: invented, seeded.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from functools import cache

import numpy as np
import pytest

from wetpath.rating.rate import Rating
from wetpath.services.demo import enquiry_path
from wetpath.services.rating import load_service
from wetpath.services.watch import by_minute, record_of_watch, sums_by_minute, watch, watcher_for
from wetpath.watching.causes import signatures_of, suspects
from wetpath.watching.reconcile import ORDER, SIGNALS, STATES, Errors, errors_of, reconcile
from wetpath.watching.samples import Samples, Signal
from wetpath.watching.surrogate import MARGIN, PRESSURE, TEMPERATURE, Surrogate, columns_at, margins_of
from wetpath.watching.watcher import BASELINE, KEPT, SMOOTH, Watcher

#: A full minute.
BEGINS = 1_700_000_040.0


@cache
def rated(name: str = "butane_reflux") -> Rating:
    return load_service(enquiry_path(name)).rate()


@cache
def quick(name: str = "butane_reflux") -> tuple[Surrogate, Errors]:
    watcher = watcher_for(rated(name), 0)
    return watcher.surrogate, watcher.errors


def watcher(name: str = "butane_reflux") -> Watcher:
    return Watcher(*quick(name))


def shown(surrogate: Surrogate, states: np.ndarray, feed: float = 1.0) -> np.ndarray:
    """What instruments without error show, (samples, 8)."""
    told = columns_at(surrogate.at_feed(feed), surrogate.low, surrogate.high, states)
    warm, pressure = states[:, TEMPERATURE], states[:, PRESSURE]
    return np.column_stack([states, pressure + told[:, 0], told[:, 1], warm + told[:, 2], warm + told[:, 3]])


def plant(hours: float, *, begins: float = BEGINS, feed: Callable[[float], float] = lambda hour: 1.0,
          bias: np.ndarray | None = None, name: str = "butane_reflux", seed: int = 3, step: float = 10.0
          ) -> Iterator[Samples]:
    """Readings of an invented plant, an hour at a time."""
    surrogate, errors = quick(name)
    random = np.random.default_rng(seed)
    for hour in range(int(hours)):
        time = begins + 3600.0 * hour + np.arange(0.0, 3600.0, step)
        states = np.tile(errors.usual, (time.size, 1))
        states[:, 0] *= 1 + 0.05 * np.sin(time / 900)
        states[:, 1] += np.sin(time / 4000)
        states = np.clip(states, surrogate.low[:STATES], surrogate.high[:STATES])
        noise = 0.2 * errors.signals * random.standard_normal((time.size, SIGNALS))
        values = shown(surrogate, states, feed(hour)) + noise
        if bias is not None:
            values = values + bias * errors.signals
        yield Samples(time, {one: values[:, number] for number, one in enumerate(ORDER)})


@pytest.mark.parametrize(("missing", "spare"), [((), 4), ((0,), 3), ((0, 2), 2), ((0, 4, 7), 1), ((0, 4, 5, 6, 7), 0)])
def test_residuals_have_the_spread_that_statistics_asks(missing: tuple[int, ...], spare: int) -> None:
    """The sum of squares of the residuals has as many degrees of freedom as there are signals to spare (chi square)."""
    surrogate, errors = quick("hot_water")
    random = np.random.default_rng(1)
    middle = np.tile(errors.usual, (4000, 1)) * (1 + 0.02 * random.uniform(-1, 1, (4000, STATES)) * [1, 0.01, 0.1, 1])
    values = shown(surrogate, middle) + errors.signals * random.standard_normal((4000, SIGNALS))
    values[:, list(missing)] = np.nan
    found = reconcile(surrogate, surrogate.at_feed(1.0), errors, values)
    assert (found.spare == spare).all()
    if spare:
        assert found.misfit.mean() == pytest.approx(spare, rel=0.15)
    else:
        assert found.misfit.mean() < 0.5


def test_more_signals_make_the_flow_surer() -> None:
    surrogate, errors = quick("hot_water")
    random = np.random.default_rng(2)
    states = np.tile(errors.usual, (2000, 1))
    full = shown(surrogate, states) + errors.signals * random.standard_normal((2000, SIGNALS))
    spread = []
    for missing in ((), (0,), (0, 4), (0, 4, 5)):
        values = full.copy()
        values[:, list(missing)] = np.nan
        spread.append(reconcile(surrogate, surrogate.at_feed(1.0), errors, values).states[:, 0].std())
    assert spread[0] < spread[1] < spread[2]


def test_without_noise_the_states_are_found_again() -> None:
    surrogate, errors = quick()
    states = np.array([errors.usual * [0.9, 1.0, 1.0, 1.02], errors.usual * [1.05, 1.0, 1.0, 0.98]])
    found = reconcile(surrogate, surrogate.at_feed(1.0), errors, shown(surrogate, states))
    assert found.states == pytest.approx(states, rel=1e-4)
    columns = columns_at(surrogate.at_feed(1.0), surrogate.low, surrogate.high, states)
    true = margins_of(surrogate.liquid.arrays, columns, states[:, TEMPERATURE].copy(), states[:, PRESSURE].copy())
    ours = margins_of(surrogate.liquid.arrays, found.columns, found.states[:, TEMPERATURE].copy(),
                      found.states[:, PRESSURE].copy())
    assert ours[:, MARGIN] == pytest.approx(true[:, MARGIN], rel=1e-3)


def test_a_quiet_month_raises_no_alarm() -> None:
    one = watcher()
    watch(one, plant(24 * 30, step=120.0))
    assert not [name for name in one.alarms if not name.startswith("margin")]
    assert one.counts.running == one.counts.taken == 24 * 30 * 30


@pytest.mark.parametrize("signal", [Signal.SHELL_TEMPERATURE, Signal.DISCHARGE_PRESSURE, Signal.MOTOR_POWER])
def test_an_instrument_that_drifts_off_is_suspected_first(signal: Signal) -> None:
    one = watcher()
    bias = np.zeros(SIGNALS)
    bias[ORDER.index(signal)] = 6.0
    watch(one, plant(8))
    watch(one, plant(8, begins=BEGINS + 8 * 3600, bias=bias, seed=4))
    drifts = [alarm for name, alarm in one.alarms.items() if name.startswith("drift")]
    assert drifts
    names = {each.name for each in drifts[0].suspects[:2]}
    assert str(signal) in names


def test_plugging_is_found_and_the_margin_follows_it() -> None:
    one = watcher()
    watch(one, plant(6))
    before = one.lowest.wall_margin
    watch(one, plant(30, begins=BEGINS + 6 * 3600, feed=lambda hour: max(1 - hour / 30, 0.35), seed=5))
    drifts = [alarm for name, alarm in one.alarms.items() if name.startswith("drift")]
    assert drifts
    assert "feed_plugging" in {each.name for alarm in drifts for each in alarm.suspects[:2]}
    assert one.lowest.wall_margin <= before


def test_suspects_tell_nothing_apart_without_signals_to_spare() -> None:
    surrogate, errors = quick()
    residuals = np.full(SIGNALS, np.nan)
    residuals[:STATES] = [1.0, 2.0, 3.0, 4.0]
    assert suspects(signatures_of(surrogate, errors), residuals, np.ones(SIGNALS)) == ()


def test_an_alarm_of_the_margin_latches_and_keeps_ten_minutes() -> None:
    one = watcher()
    one.margin_asked = 1e9                                     # every margin is short of that
    raised = []
    for samples in plant(1, step=1.0):
        one.take(samples, raised=raised.append)
    assert [alarm.name for alarm in raised] == ["margin short"]
    alarm = one.alarms["margin short"]
    assert alarm.before.time[-1] - alarm.before.time[0] <= KEPT
    one.take_back("margin short")
    assert not one.alarms


def test_a_pump_that_stands_has_no_margin() -> None:
    one = watcher()
    for samples in plant(1):
        values = {**samples.values, Signal.MOTOR_POWER: np.zeros(samples.count), Signal.SPEED: np.zeros(samples.count)}
        judged = one.take(Samples(samples.time, values))
    assert np.isnan(judged.margin).all()
    assert one.counts.running == 0


def test_memory_does_not_grow_with_the_samples() -> None:
    one = watcher()
    for samples in plant(48):
        one.take(samples)
    assert one._kept.count <= 61
    assert len(one._baseline) <= BASELINE
    assert len(one._recent) <= SMOOTH


def test_the_cut_into_chunks_changes_nothing() -> None:
    samples = Samples.joined(list(plant(2)))
    whole, parts = watcher(), watcher()
    judged = whole.take(samples)
    first = samples.time[0]
    cut = [parts.take(samples.between(first + 500.0 * number, first + 500.0 * (number + 1))) for number in range(15)]
    assert np.array_equal(judged.margin, np.concatenate([one.margin for one in cut]), equal_nan=True)
    assert whole.lowest.time == parts.lowest.time
    assert set(whole.alarms) == set(parts.alarms)


def test_minutes_hold_the_least_margin() -> None:
    judged = watcher().take(next(iter(plant(1))))
    minutes = by_minute(sums_by_minute(judged))
    assert minutes.shape == (60, 5)
    assert np.nanmin(minutes[:, 1]) == np.nanmin(judged.margin)


def test_the_record_is_whole() -> None:
    record = record_of_watch(watch(watcher(), plant(3)))
    assert record.samples == 3 * 360
    assert record.lowest_margin_pa is not None
    assert record.surrogate_relative_error < 0.02
    assert len(record.minutes) == 180
    json.loads(record.model_dump_json())


def test_errors_come_from_the_instruments() -> None:
    surrogate, errors = quick()
    again = errors_of(surrogate)
    assert again.signals == pytest.approx(errors.signals)
    assert (errors.signals > 0).all()
