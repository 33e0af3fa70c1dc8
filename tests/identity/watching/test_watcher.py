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
from wetpath.services.watch import record_of_watch, watch, watcher_for
from wetpath.services.watch_minutes import COUPLING, FILM, HALF_RANGE, by_minute, sums_by_minute
from wetpath.services.watch_minutes import MARGIN as LEAST_MARGIN
from wetpath.watching.baseline import BASELINE, LIMITS, Baseline
from wetpath.watching.diagnosis import library_for
from wetpath.watching.diagnosis import rated as as_rated
from wetpath.watching.evidence import NORMAL, Seen, covariance, told_apart, weigh
from wetpath.watching.hypotheses import CAUSES
from wetpath.watching.reconcile import ORDER, SIGNALS, STATES, Errors, errors_of, reconcile
from wetpath.watching.samples import Samples, Signal
from wetpath.watching.surrogate import MARGIN, PRESSURE, TEMPERATURE, Surrogate, columns_at, margins_of
from wetpath.watching.watcher import KEPT, Watcher

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


@pytest.mark.parametrize("signal", [Signal.SHELL_TEMPERATURE, Signal.DISCHARGE_PRESSURE, Signal.MOTOR_POWER,
                                    Signal.FLOW])
def test_an_instrument_that_is_off_is_named(signal: Signal) -> None:
    one = watcher()
    bias = np.zeros(SIGNALS)
    bias[ORDER.index(signal)] = 8.0
    watch(one, plant(8))
    watch(one, plant(1, begins=BEGINS + 8 * 3600, bias=bias, seed=4))
    assert list(one.alarms) == [f"changed: {signal}"]
    first = one.alarms[f"changed: {signal}"].suspects[0]
    assert first.instrument
    errors = quick()[1]
    assert first.amount == pytest.approx(8.0 * (errors.signals / errors.instruments)[ORDER.index(signal)], abs=5.0)


@pytest.mark.parametrize(("missing", "off"), [(Signal.RETURN_TEMPERATURE, Signal.MOTOR_POWER),
                                              (Signal.SHELL_TEMPERATURE, Signal.MOTOR_POWER),
                                              (Signal.FLOW, Signal.SHELL_TEMPERATURE)])
def test_a_signal_that_is_never_there_does_not_blind_the_others(missing: Signal, off: Signal) -> None:
    one = watcher()
    bias = np.zeros(SIGNALS)
    bias[ORDER.index(off)] = 12.0
    for course in (plant(8), plant(1, begins=BEGINS + 8 * 3600, bias=bias, seed=4)):
        watch(one, (Samples(part.time, {name: value for name, value in part.values.items() if name != missing})
                    for part in course))
    assert f"changed: {off}" in one.alarms


def test_plugging_is_named_and_the_margin_follows_it() -> None:
    """Readings of the quick model, courses of the transient one: the area left is that put in, within a tenth."""
    one = watcher()
    watch(one, plant(6))
    before = one.lowest.wall_margin
    watch(one, plant(2, begins=BEGINS + 6 * 3600, feed=lambda hour: 0.35, seed=5))
    assert [name for name in one.alarms if name.startswith("changed")] == ["changed: feed_plugging"]
    assert told_apart(one.alarms["changed: feed_plugging"].suspects)
    assert one.feed == pytest.approx(0.35, abs=0.1)
    assert one.lowest.wall_margin <= before


def test_a_change_of_the_operating_point_is_no_fault() -> None:
    """A flow set a tenth lower moves all signals as the model says: that is told apart from faults, and no alarm."""
    one = watcher()
    watch(one, plant(4))
    surrogate, errors = quick()
    time = BEGINS + 4 * 3600 + np.arange(0.0, 3600.0, 10.0)
    states = np.tile(errors.usual * [0.88, 1.0, 1.0, 1.0], (time.size, 1))
    noise = 0.2 * errors.signals * np.random.default_rng(9).standard_normal((time.size, SIGNALS))
    values = shown(surrogate, states) + noise
    one.take(Samples(time, {signal: values[:, number] for number, signal in enumerate(ORDER)}))
    assert not one.alarms


def rivals(name: str = "butane_reflux") -> tuple:
    surrogate, errors = quick(name)
    return library_for(surrogate, errors), as_rated(Baseline(surrogate, errors))


@pytest.mark.parametrize("cause", ["suction_falling", "flow_falling", "gas_entrained", "wrong_liquid", "feed_plugging"])
def test_the_end_of_its_own_course_is_named(cause: str) -> None:
    library, usual = rivals()
    size = library.points[np.flatnonzero(library.cause == library.names.index(cause))[-1]].copy()
    seen = usual.signals.copy()
    seen[[0, 2, 5]] *= 1 + size[[0, 2, 5]]
    seen[[1, 3]] += size[[1, 3]]
    seen[4] = seen[3] + (usual.signals[4] - usual.signals[3]) * (1 + size[4])
    seen[6:] += size[1] + size[6:]
    assert weigh(library, usual, Seen(seen, np.zeros(SIGNALS)))[0].name == cause


def test_probabilities_add_up_and_nothing_is_named_without_a_change() -> None:
    library, usual = rivals()
    found = weigh(library, usual, Seen(usual.signals, np.zeros(SIGNALS)))
    assert found[0].name == NORMAL
    assert sum(one.probability for one in found) == pytest.approx(1.0)
    assert weigh(library, usual, Seen(np.full(SIGNALS, np.nan), np.zeros(SIGNALS))) == ()


def test_what_cannot_be_told_apart_is_not() -> None:
    """With the suction pressure alone a falling pressure and its instrument look the same."""
    library, usual = rivals()
    seen = np.full(SIGNALS, np.nan)
    seen[3] = usual.signals[3] - 12 * usual.wander[3]
    found = weigh(library, usual, Seen(seen, np.zeros(SIGNALS)))
    assert not told_apart(found)
    with_discharge = seen.copy()
    with_discharge[4] = usual.signals[4] - 12 * usual.wander[3]
    found = weigh(library, usual, Seen(with_discharge, np.zeros(SIGNALS)))
    assert found[0].name == "suction_falling"
    assert told_apart(found)


def test_likelihood_of_a_healthy_pump_is_that_of_a_normal_distribution() -> None:
    """The gain over "running as before" against scipy's multivariate normal, for an instrument."""
    from scipy.stats import multivariate_normal

    library, usual = rivals()
    place, off = 5, 20.0
    seen = usual.signals.copy()
    seen[place] += off * usual.instruments[place]
    found = {one.name: one for one in weigh(library, usual, Seen(seen, np.ones(SIGNALS)))}
    healthy = covariance(usual, usual.wander)
    wide = healthy.copy()
    wide[place, place] += (40.0 * usual.instruments[place]) ** 2
    change = seen - usual.signals
    scale = np.sqrt(np.diag(healthy))
    over = np.outer(scale, scale)
    gain = (multivariate_normal(cov=wide / over).logpdf(change / scale)
            - multivariate_normal(cov=healthy / over).logpdf(change / scale))
    assert found[str(ORDER[place])].gain == pytest.approx(gain, rel=1e-6)


def test_misfits_of_a_healthy_pump_stay_below_their_limit() -> None:
    """Windows with drawn errors of a pump a tenth off its model: the misfit has the mean of a chi square, or less."""
    surrogate, errors = quick("hot_water")
    random = np.random.default_rng(11)
    states = errors.usual * (1 + np.sin(np.arange(2000)[:, None] / [150, 90, 70, 120]) * [0.03, 0.001, 0.001, 0.01])
    clean = shown(surrogate, states)
    clean[:, 4] = clean[:, 3] + 1.1 * (clean[:, 4] - clean[:, 3])
    clean[:, 5] *= 0.9
    windows = clean + 0.15 * errors.instruments * random.standard_normal(clean.shape)
    baseline = Baseline(surrogate, errors)
    for window in windows[:BASELINE]:
        baseline.add(window, window[:STATES])
    misfit, freedom = baseline.misfits(windows, windows[:, :STATES])
    assert (freedom == SIGNALS - STATES).all()
    assert 0.1 * 4 < misfit.mean() < 4.0
    assert misfit.max() < LIMITS[4]


def test_every_cause_that_is_seen_has_a_course_and_the_rest_is_told() -> None:
    library, _ = rivals()
    assert set(library.names) | set(library.unseen) == set(CAUSES)
    assert "bearing_wear" in library.unseen                # hardly moves a signal of this pump
    assert {"suction_falling", "flow_falling", "gas_entrained", "out_of_step"} <= set(library.names)
    assert not library.follows[0]


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
    assert one._baseline.count <= BASELINE


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
    one, samples = watcher(), next(iter(plant(1)))
    judged = one.take(samples)
    minutes = by_minute(sums_by_minute(judged, one.errors.measured(samples), 1.0), one)
    assert minutes.shape == (60, 8)
    assert np.nanmin(minutes[:, LEAST_MARGIN]) == np.nanmin(judged.margin)
    assert np.nanmin(minutes[:, COUPLING]) == np.nanmin(judged.pull_out_ratio)


def test_coupling_and_bearings_of_a_steady_minute_are_those_of_the_rating() -> None:
    """Signals as the rated case has them: the watch tells the coupling ratio and the film of the rating's checks."""
    surrogate, errors = quick()
    rating, case = surrogate.rating, surrogate.case
    told = shown(surrogate, errors.usual[None, :])[0]
    time = 1.6e9 + np.arange(600.0)
    values = {signal: np.full(time.size, value) for signal, value in zip(ORDER, told, strict=True)}
    found = watch(Watcher(surrogate, errors), [Samples(time, values)])
    checks = {one.name: float(one.actual[case]) for one in rating.checks}
    assert found.least(COUPLING)[0] == pytest.approx(checks["coupling_margin_running"], rel=0.01)
    assert found.least(FILM)[0] == pytest.approx(checks["film_ratio"], rel=0.02)


def test_the_range_of_a_margin_grows_where_signals_are_missing_or_disagree() -> None:
    samples = next(iter(plant(1)))

    def half(**changed: np.ndarray | None) -> np.ndarray:
        one = watcher()
        values = {name: value for name, value in (samples.values | {
            Signal(name): value for name, value in changed.items()}).items() if value is not None}
        return watch(one, [Samples(samples.time, values)]).minutes[:, HALF_RANGE]

    whole = half()
    assert np.all(whole > 0)
    assert np.all(half(suction_pressure=None) > 1.3 * whole)       # the discharge pressure still tells it
    assert np.all(half(suction_pressure=None, discharge_pressure=None) > 3 * whole)
    power = samples.values[Signal.MOTOR_POWER]
    assert np.all(half(motor_power=1.3 * power) > 1.5 * whole)


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
