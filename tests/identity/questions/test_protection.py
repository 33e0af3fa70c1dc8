"""Protection: signals, set points, nuisance trips, times, the smallest set; balances and limits."""

from dataclasses import replace
from functools import cache
from itertools import combinations
from types import SimpleNamespace

import numpy as np
import pytest

import wetpath as wp
from wetpath.errors import LimitError
from wetpath.questions.protection.cover import smallest_cover
from wetpath.questions.protection.instruments import default_instruments
from wetpath.questions.protection.matrix import STOPPING, armed, cause_of, copies_of_model, reading_of
from wetpath.questions.protection.normal import STEP, nuisance_trips, sample_normal
from wetpath.questions.protection.set_points import settings_of
from wetpath.questions.protection.signals import SIGNALS, warmest_band
from wetpath.questions.protection.study import applicable, plan_protection
from wetpath.services.demo import enquiry_path
from wetpath.upsets import Upset, simulate


@cache
def rating_of(name: str = "hot_water") -> wp.Rating:
    return wp.rate(wp.demo_enquiry(name), pump=wp.demo_pump("medium" if name == "hot_water" else "medium_steel"))


@cache
def normal_of(name: str = "hot_water"):
    return sample_normal(rating_of(name), 128)


def settings(name: str = "hot_water", **changed):
    """Settings by name, with some fields of all instruments replaced."""
    rating = rating_of(name)
    fitted = {key: replace(one, **changed) for key, one in default_instruments().items()}
    found = settings_of(rating, fitted, normal_of(name), warmest_band(rating.situation, 0))
    return {one.instrument.name: one for one in found}


@pytest.mark.parametrize("name", ["hot_water", "butane_reflux"])
@pytest.mark.parametrize("case", [0, 2])
def test_signals_of_the_rated_state_are_those_of_the_timeline(name, case):
    """Steady and simulated states are read alike; the lumped liquid leaves within 0.02 K of the network's."""
    rating = rating_of(name)
    band = warmest_band(rating.situation, case)
    line = simulate(rating, [], case=case, duration=1.0)
    for signal in SIGNALS.values():
        along = signal.along(line, rating.situation.liquids[rating.situation.model_of[case]], band)[0]
        steady = signal.steady(rating.situation, band)[case]
        if signal.name.startswith("return"):
            assert along == pytest.approx(steady, abs=0.02)
        else:
            assert along == pytest.approx(steady, rel=1e-9, nan_ok=True)


@pytest.mark.parametrize("name", ["hot_water", "butane_reflux"])
def test_set_points_stand_between_normal_operation_and_what_has_to_be_met(name):
    for one in settings(name).values():
        if not one.usable:
            assert one.reason
            assert not one.guards
            continue
        sign = one.instrument.sign
        edge = one.normal_to if sign > 0 else one.normal_from
        assert sign * (one.set_point - edge) > 0.9 * one.error + 3.9 * one.noise
        assert sign * (one.set_point - one.alarm) > 0
        assert one.guards
        for met in one.guards:
            assert sign * (met.level - one.set_point) >= 0.99 * one.late


@pytest.mark.parametrize("name", ["hot_water", "butane_reflux"])
def test_normal_operation_never_trips_and_drift_does(name):
    """Nothing trips in the samples; with the true signal shifted by the way to the set point, most samples do."""
    for one in settings(name).values():
        if not one.usable:
            continue
        assert one.nuisance_trips == 0
        shifted = np.full(50, one.set_point + one.instrument.sign * (one.error + 3 * one.noise + 1e-9))
        own = (one.instrument.delay,)
        assert nuisance_trips(one.instrument, one.set_point, shifted, one.error, one.noise, own) == [50]
        beyond = np.full(50, one.set_point)
        assert nuisance_trips(one.instrument, one.set_point, beyond, one.error, 0.0, own)[0] in range(10, 41)


def test_noise_behind_the_lag_has_the_deviation_asked_for():
    """With no delay and no error, noise passes three deviations in 0.135 % of all moments; slow noise less often."""
    one = replace(default_instruments()["low_power"], time_constant=0.0, delay=0.0)
    count = 4000
    trips, = nuisance_trips(one, 0.0, np.full(count, 3.0), 0.0, 1.0, (one.delay,))
    expected = 1 - (1 - 0.0013499) ** 601
    assert trips / count == pytest.approx(expected, abs=0.03)
    slow = replace(one, time_constant=20 * STEP)
    slower, = nuisance_trips(slow, 0.0, np.full(count, 3.0), 0.0, 1.0, (slow.delay,))
    assert slower < trips / 3                                                          # the same spread, slower


def test_a_worse_instrument_loses_its_resolution():
    """The error of a power monitor three times as large leaves no set point between no flow and normal operation."""
    good, bad = settings()["low_power"], settings(error_of_span=0.08)["low_power"]
    assert any(met.text.startswith("closed discharge") for met in good.guards)
    assert not any(met.text.startswith("closed discharge") for met in bad.guards)
    assert settings(error_of_span=0.4)["low_power"].reason == "no resolution here"


def test_current_is_flatter_than_power():
    """Between no flow and the least normal load the current moves less than the power does."""
    both = settings("butane_reflux")
    power, current = (next(met for met in both[name].met if met.text.startswith("closed discharge"))
                      for name in ("low_power", "low_current"))
    assert current.apart / both["low_current"].normal_from < 0.6 * power.apart / both["low_power"].normal_from
    assert current.resolution < 1 < power.resolution


def test_low_power_acts_below_a_flow_that_lies_below_every_case():
    one = settings()["low_power"]
    known = np.isfinite(one.acts_below_flow)
    assert known.any()
    assert (one.acts_below_flow[known] < rating_of().inputs.flow[known]).all()


def test_voting_and_delay_move_the_time():
    """Two of three are less late than three of three, and less than one alone; a delay adds itself."""
    rating = rating_of()
    band = warmest_band(rating.situation, 0)

    def acts(**changed):
        fitted = {"low_power": replace(default_instruments()["low_power"], **changed)}
        found = settings_of(rating, fitted, normal_of(), band)
        found = tuple(replace(one, set_point=9000.0) for one in found)
        cause = cause_of(rating, [Upset("suction lost")], found, case=0, band=band, duration=60.0,
                         factors=copies_of_model(0))
        return cause.readings[0].acts

    alone, all_three, two_of_three = acts(), acts(wanted=3, fitted=3), acts(wanted=2, fitted=3)
    assert two_of_three < alone < all_three
    assert acts(delay=7.0) == pytest.approx(alone + 5.0, abs=0.02)


def test_return_thermometer_is_blind_without_flow():
    """The liquid that boils in the shell is hardly seen by a thermometer that nothing flows past."""
    rating = rating_of("butane_reflux")
    line = simulate(rating, [Upset("suction lost")], case=0, duration=60.0)
    one = settings("butane_reflux")["high_return_rise"]
    reading = reading_of(rating, line, one, 0, 5)
    true = line.return_temperature - line.suction_temperature
    late = line.time > 30.0
    assert np.abs(reading[late] - reading[0]).max() < 0.5 * np.abs(true[late] - true[0]).max()


def test_by_pass_holds_after_a_start_only():
    rating = rating_of()
    running = simulate(rating, [Upset("suction lost")], case=0, duration=30.0)
    assert armed(running, 5.0).all()
    started = simulate(rating, [Upset("dry start")], case=0, duration=30.0)
    allowed = armed(started, 5.0)
    assert not allowed[started.time < 5.0].any()
    assert allowed[started.time > 5.1].all()
    stopped = simulate(rating, [Upset("hot restart")], case=0, duration=300.0)
    still = stopped.outer_speed < 0.4 * stopped.outer_speed.max()
    assert still.any()
    assert not armed(stopped, 5.0)[still].any()


def fake(kind: str, seen: dict[str, float]):
    """A cause that is seen by signals with so many seconds in hand."""
    readings = tuple(SimpleNamespace(in_time=True, acts=1.0, in_hand_low=hand, setting=SimpleNamespace(
        instrument=SimpleNamespace(name=f"trip of {name}", primary=name == "a", counts=name != "x",
                                   signal=SimpleNamespace(name=name))))
        for name, hand in seen.items())
    return SimpleNamespace(kind=kind, harms=True, readings=readings, seen_in_time=readings)


def test_smallest_set_is_exact_where_the_greedy_choice_is_not():
    """Taking the instrument that sees most first (c, four causes) needs three; a and b see all six."""
    seen = {"1": "ac", "2": "ac", "3": "a", "4": "bc", "5": "bc", "6": "b"}
    causes = [fake(kind, dict.fromkeys(who, 5.0)) for kind, who in seen.items()]
    found = smallest_cover(causes)
    assert set(found.signals) == {"a", "b"}
    assert found.uncovered == ()
    assert smallest_cover([*causes, fake("7", {})]).uncovered == ("7",)
    assert smallest_cover([*causes, fake("8", {"x": 9.0})]).uncovered == ("8",)      # a class does not count


def test_works_tests_do_not_move_set_points():
    """A case on the bench, at less flow, is no normal operation of the plant."""
    enquiry = wp.demo_enquiry("hot_water")
    bench = enquiry.cases[0].model_copy(update={"name": "bench", "role": "works test",
                                                 "flow": 0.3 * enquiry.cases[0].flow})
    rating = wp.rate(enquiry.model_copy(update={"cases": (*enquiry.cases, bench)}), pump=wp.demo_pump("medium"))
    found = {one.instrument.name: one for one in settings_of(
        rating, dict(default_instruments()), sample_normal(rating, 128), warmest_band(rating.situation, 0))}
    for name in ("low_power", "low_flow", "high_power"):
        assert found[name].set_point == pytest.approx(settings()[name].set_point, rel=1e-9)
    assert np.isnan(found["low_power"].by_case[-1])


def test_of_equal_sets_the_primary_one_and_then_the_one_with_more_time():
    """Instrument a is primary; c leaves more time than b."""
    assert smallest_cover([fake("1", {"c": 9.0, "a": 3.0})]).signals == ("a",)
    found = smallest_cover([fake("1", {"b": 3.0, "c": 9.0}), fake("2", {"b": 8.0, "c": 4.0})])
    assert found.signals == ("c",)
    assert found.least_in_hand == 4.0
    assert found.alternatives == (("b",),)


def test_smallest_set_against_trying_everything():
    random = np.random.default_rng(5)
    for _ in range(20):
        table = random.random((7, 6)) < 0.35
        causes = [fake(str(row), {"abcdef"[column]: 3.0 for column in np.flatnonzero(table[row])})
                  for row in range(7)]
        seen = [row for row in range(7) if table[row].any()]
        least = next(size for size in range(7) if any(table[np.ix_(seen, list(some))].any(axis=1).all()
                                                      for some in combinations(range(6), size)))
        assert len(smallest_cover(causes).signals) == least


def test_plan_holds_together():
    plan = plan_protection(rating_of(), copies=0, samples=32, duration=300.0)
    kinds = {one.kind for one in plan.causes}
    assert "cooler failure" not in kinds                 # this pump has none
    harmful = {one.kind for one in plan.causes if one.harms}
    assert set(plan.cover.covered) | set(plan.cover.uncovered) == harmful
    for cause in plan.causes:
        for one in cause.readings:
            if one.in_time and cause.damage.happens:
                assert one.acts + STOPPING < cause.damage.nominal
            assert one.passes <= one.acts
    assert plan.restart.shell_at_most >= rating_of().inputs.temperature[plan.case]


def test_cooler_failure_is_asked_only_of_pumps_with_a_cooler():
    hot = wp.rate(enquiry_path("hot_oil"))
    kinds = [one.kind for one in applicable(hot)]
    assert "cooler" in hot.pump.name
    assert "cooler failure" in kinds


def test_bands_hold_the_nominal_time():
    rating = rating_of()
    band = warmest_band(rating.situation, 0)
    cause = cause_of(rating, [Upset("suction lost")], tuple(settings().values()), case=0, band=band, duration=120.0,
                     factors=copies_of_model(16))
    assert cause.damage.low < cause.damage.nominal < cause.damage.high
    for one in cause.readings:
        if one.seen:
            assert one.in_hand_low <= one.in_hand <= one.in_hand_high


def test_copies_left_out_are_told(monkeypatch):
    """A copy that the solver cannot follow is in no band, and that is told; the nominal model has to be followed."""
    rating, fits = rating_of(), tuple(settings().values())

    def breaks_on(nominal):
        def follow(*told, **named):
            if (named["rougher"] == 1.0) == nominal:
                raise LimitError("the course of this upset cannot be followed")
            return simulate(*told, **named)

        return follow

    def found():
        return cause_of(rating, [Upset("suction lost")], fits, case=0, band=5, duration=60.0,
                        factors=copies_of_model(3))

    assert found().failed == 0
    monkeypatch.setattr("wetpath.questions.protection.matrix.simulate", breaks_on(nominal=False))
    cause = found()
    assert cause.failed == 3
    assert cause.warnings[-1].startswith("3 copies of the model with drawn numbers could not be followed")
    assert cause.damage.low == cause.damage.nominal == cause.damage.high
    monkeypatch.setattr("wetpath.questions.protection.matrix.simulate", breaks_on(nominal=True))
    with pytest.raises(LimitError):
        found()


def test_a_level_trip_sees_the_vessel_run_empty_and_not_gas_from_elsewhere():
    """Its set point stands over the outlet that the upset begins above; only an enquiry with a vessel has it."""
    assert "vessel emptied" not in [one.kind for one in applicable(rating_of())]
    rating = wp.rate(enquiry_path("propane"))
    assert "vessel emptied" in [one.kind for one in applicable(rating)]
    plan = plan_protection(rating, upsets=[Upset("vessel emptied"), Upset("suction lost")], copies=0, samples=32)
    emptied, lost = plan.causes
    by = {one.setting.instrument.name: one for one in emptied.readings}
    gas = emptied.line.when("gas drawn in")
    assert by["low_level"].in_time
    assert gas - 15.0 < by["low_level"].passes < gas
    level = emptied.line.vessel_level
    assert level[0] - level.min() == pytest.approx(emptied.line.over_outlet[0] - emptied.line.over_outlet.min())
    outlet = np.nanmin(rating.situation.demands.vessels.level) - 1.0
    assert level[0] - emptied.line.over_outlet[0] == pytest.approx(outlet)
    low = next(one for one in lost.readings if one.setting.instrument.name == "low_level")
    assert low.words == "not seen"


def test_a_reading_ends_with_its_range():
    """A set point beyond the range is none; a computed range reaches it, and no reading passes its end."""
    for one in settings().values():
        if one.usable:
            assert one.set_point <= one.instrument.signal.end_of(one.span)
    short = settings(given_span=100.0)["shell_temperature"]        # to 100 degC; the shell is above that as rated
    assert not short.usable
    assert short.reason == "the set point lies beyond the range"
    rating = rating_of()
    wide = settings()["shell_temperature"]
    line = simulate(rating, [Upset("dry start")], case=0, duration=300.0)
    reading = reading_of(rating, line, wide, 0, 5)
    assert line.shell_wall[:, 5].max() > wide.span + 273.15
    assert reading.max() == wide.span + 273.15


def test_a_leak_shows_only_when_the_shell_is_past_its_limit():
    """Of no use to the pump: it acts after damage, whatever comes, and does not count for the smallest set."""
    rating, one = rating_of(), settings()["leak_outside_shell"]
    assert not one.instrument.counts
    cause = cause_of(rating, [Upset("dry start")], (one,), case=0, band=5, duration=120.0, factors=copies_of_model(0))
    limit = cause.line.when("shell limit")
    assert limit < cause.readings[0].passes < limit + 3.0
    assert cause.readings[0].words == "too late"
    tight = cause_of(rating, [Upset("feed plugging")], (one,), case=0, band=5, duration=60.0,
                     factors=copies_of_model(0))
    assert tight.readings[0].words == "not seen"


@pytest.mark.parametrize("factor", [1.0, 2.0])
def test_both_losses_out_of_step_are_told(factor):
    """That of the model, with the factor asked for, and one as large as in step, which harms the shell sooner."""
    rating = rating_of("butane_reflux")
    upset = Upset("magnets pulled out", values={"factor": factor})
    cause = cause_of(rating, [upset], (), case=0, band=5, duration=300.0, factors=copies_of_model(0))
    assert cause.shell_loss_share == pytest.approx(factor * cause.line.slip_loss_share)
    as_much = cause_of(rating, [Upset("magnets pulled out", values={"factor": 1.0 / cause.line.slip_loss_share})], (),
                       case=0, band=5, duration=300.0, factors=copies_of_model(0))
    assert cause.damage_if_loss_stays == pytest.approx(as_much.damage.nominal, abs=0.01)
    assert cause.damage_if_loss_stays < cause.damage.nominal
    assert any(f"takes {cause.shell_loss_share:.0%} of its loss in step" in one for one in cause.warnings)
    calm = cause_of(rating, [Upset("hot slug")], (), case=0, band=5, duration=30.0, factors=copies_of_model(0))
    assert np.isnan(calm.shell_loss_share)
    assert not any("as some practice holds" in one for one in calm.warnings)
