"""Lag of first order against its step and ramp responses; voting against the polynomial of two of three."""

import numpy as np
import pytest

from wetpath.physics.instruments.sensor import acts_at, first_order, voted_error

LAG, ORDER = "first-order-lag", "order-statistics"


@pytest.mark.parametrize("constant", [0.5, 8.0, 20.0])
@pytest.mark.parametrize("elapsed", [0.1, 1.0, 3.0])
def test_step(against, constant, elapsed):
    """A step: 1 - exp(-t / tau), on steps of very different length."""
    time = np.r_[0.0, 1e-9, np.cumsum([0.003, 0.4, 0.02, 1.7, 0.3]) / 2.423 * elapsed * constant]
    reading = first_order(time, np.r_[0.0, np.ones(6)], constant)
    against(LAG, "derived", f"step, {elapsed:g} time constants of {constant:g} s", reading[-1], 1 - np.exp(-elapsed),
            abs=1e-8)


def test_ramp(against):
    """A ramp: the reading follows behind by the time constant."""
    time = np.linspace(0.0, 60.0, 7)
    reading = first_order(time, 2.0 * time, 5.0)
    expected = 2.0 * (60.0 - 5.0 * (1 - np.exp(-12.0)))
    against(LAG, "derived", "ramp of 2 K/s after 60 s, time constant 5 s", reading[-1], expected, rel=1e-12, unit="K")


def test_signals_side_by_side_and_no_lag():
    time = np.array([0.0, 1.0, 2.5])
    both = np.stack([time, 3 * time], axis=1)
    reading = first_order(time, both, np.array([0.0, 2.0]))
    assert reading[:, 0] == pytest.approx(time, abs=1e-9)
    assert reading[:, 1] == pytest.approx(first_order(time, 3 * time, 2.0))


@pytest.mark.parametrize("share", [0.05, 0.3, 0.5, 0.9])
def test_two_of_three(against, share):
    """At most p of the errors below it for one sensor: 3 p^2 - 2 p^3 for the second of three."""
    probability = 3 * share**2 - 2 * share**3
    against(ORDER, "derived", f"two of three, error not above {share:g} of its range",
            voted_error(1.0, 2, 3, probability), 2 * share - 1, abs=1e-9)


def test_voting_against_drawn_sensors(against):
    """A million groups drawn: the standard error of the quantile is at most 1e-3, allowed are four."""
    random = np.random.default_rng(3)
    for wanted, fitted in ((1, 1), (1, 2), (2, 2), (2, 3), (3, 4)):
        drawn = np.sort(random.uniform(-1, 1, (1_000_000, fitted)), axis=1)[:, wanted - 1]
        against(ORDER, "computed", f"{wanted} of {fitted}, 97.5 % of drawn groups are no later",
                voted_error(1.0, wanted, fitted, 0.975), np.quantile(drawn, 0.975), abs=4e-3)


def test_acts_after_an_unbroken_delay():
    time = np.arange(10.0)
    over = np.array([-1, 1, 1, -1, -1, 1, 1, 1, 1, 1.0])
    assert acts_at(time, over, 0.0) == pytest.approx(0.5)
    assert acts_at(time, over, 3.0) == pytest.approx(7.5)      # the first time it is broken off
    assert acts_at(time, over, 6.0) == float("inf")
    assert acts_at(time, -np.ones(10), 0.0) == float("inf")
