"""What the trade knows of who sees what: common practice, no source."""

from functools import cache

import pytest

import wetpath as wp
from wetpath.questions.protection.study import Plan, plan_protection
from wetpath.upsets import Upset

KINDS = ("suction lost", "dry start", "discharge closed", "feed plugging", "return plugging", "magnets pulled out",
         "wrong liquid", "bearing wear")


@cache
def plan_of(name: str, pump: str) -> Plan:
    rating = wp.rate(wp.demo_enquiry(name), pump=wp.demo_pump(pump))
    return plan_protection(rating, case=0, upsets=[Upset(kind) for kind in KINDS], copies=0, samples=64)


PLANS = [("hot_water", "medium"), ("butane_reflux", "medium_steel")]


def after_cause(plan, kind, instrument, *, acts=False):
    cause = next(one for one in plan.causes if one.kind == kind)
    reading = next(one for one in cause.readings if one.setting.instrument.name == instrument)
    return (reading.acts if acts else reading.passes) - cause.begins


@pytest.mark.common_practice
@pytest.mark.parametrize("pump", PLANS)
def test_lost_suction_shows_in_power_at_once_and_on_the_shell_later(pump):
    """Power and differential pressure fall within 1 to 2 s; the skin of a metal shell follows in 5 to 20 s."""
    plan = plan_of(*pump)
    power, head, shell = (after_cause(plan, "suction lost", name)
                          for name in ("low_power", "low_differential_pressure", "shell_temperature"))
    assert head < 2.0
    assert power < 2.0
    assert max(head, power) < shell
    assert 3.0 < shell < 20.0


@pytest.mark.common_practice
@pytest.mark.parametrize("pump", PLANS)
@pytest.mark.parametrize("kind", ["feed plugging", "return plugging"])
def test_a_plugged_circulation_is_not_seen_by_power_or_flow(pump, kind):
    """Power, flow and discharge pressure stay normal; only temperatures of shell or return tell."""
    plan = plan_of(*pump)
    for name in ("low_power", "high_power", "low_flow", "low_differential_pressure"):
        assert after_cause(plan, kind, name) == float("inf")


@pytest.mark.common_practice
def test_a_plugged_circulation_is_seen_by_temperatures():
    """The return warms first, the shell creeps."""
    plan = plan_of(*PLANS[1])
    returned, shell = (after_cause(plan, "feed plugging", name) for name in ("high_return_rise", "shell_temperature"))
    assert returned < shell < float("inf")


@pytest.mark.common_practice
@pytest.mark.parametrize("pump", PLANS)
def test_rings_out_of_step_show_in_power_and_head_at_once(pump):
    """Power drops to a low level and the head is gone within 1 s or little more; the shell follows far later."""
    plan = plan_of(*pump)
    power, head, shell = (after_cause(plan, "magnets pulled out", name)
                          for name in ("low_power", "low_differential_pressure", "shell_temperature"))
    assert power < 1.5
    assert head < 1.5
    assert shell > 5.0 * power


@pytest.mark.common_practice
@pytest.mark.parametrize("pump", PLANS)
def test_a_closed_discharge_shows_in_power_and_flow_long_before_the_shell(pump):
    """Radial pumps take less power at no flow; return and shell temperature follow in the order of a minute."""
    plan = plan_of(*pump)
    power, flow, shell = (after_cause(plan, "discharge closed", name)
                          for name in ("low_power", "low_flow", "shell_temperature"))
    assert power < 10.0
    assert flow < 10.0
    assert shell > 2.0 * max(power, flow)


@pytest.mark.common_practice
@pytest.mark.parametrize("pump", PLANS)
def test_a_denser_liquid_shows_in_high_power_only(pump):
    plan = plan_of(*pump)
    assert after_cause(plan, "wrong liquid", "high_power") < 5.0
    assert after_cause(plan, "wrong liquid", "low_power") == float("inf")


@pytest.mark.common_practice
@pytest.mark.parametrize("pump", PLANS)
def test_low_power_at_a_start_waits_for_its_by_pass(pump):
    """A start by-pass of 5 s and a delay of 2 s: a dry start is not tripped before."""
    assert after_cause(plan_of(*pump), "dry start", "low_power", acts=True) >= 7.0
