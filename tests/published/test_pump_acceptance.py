"""ISO 9906:2012: tolerances of the guarantee point (recalled) and three worked judgements by hand."""

import pytest

from wetpath.physics.pump.acceptance import (
    GRADES,
    acceptance_warnings,
    judge_efficiency,
    judge_power,
    npsh_tolerance,
)
from wetpath.physics.pump.guarantee_point import judge_head, point_on_guarantee_ray

FLOW, HEAD = 50 / 3600, 60.0
KEY = "iso-9906-2012"

TABLE = {  # per cent: flow, head, power, efficiency
    "1B": ((-5, 5), (-3, 3), 4, -3),
    "1E": ((-5, 5), (-3, 3), 4, 0),
    "1U": ((0, 10), (0, 6), 10, 0),
    "2B": ((-8, 8), (-5, 5), 8, -5),
    "2U": ((0, 16), (0, 10), 16, -5),
    "3B": ((-9, 9), (-7, 7), 9, -7),
}


def strong(flow):
    return 70 - 0.0035 * (flow * 3600) ** 2


def weak(flow):
    return 58.0 - 0.35 * (flow * 3600 - 50)


@pytest.mark.published(KEY, status="recalled")
@pytest.mark.parametrize("name", TABLE)
def test_tolerances_of_the_grade(name, against):
    grade, (flow, head, power, efficiency) = GRADES[name], TABLE[name]
    for what, ours, want in zip(
        ("flow low", "flow high", "head low", "head high", "power", "efficiency"),
        (*grade.flow, *grade.head, grade.power, grade.efficiency),
        (*flow, *head, power, efficiency),
        strict=True,
    ):
        against(KEY, "recalled", f"grade {name}, {what}", 100 * ours, want, abs=1e-9, unit="%")


@pytest.mark.published(KEY, status="recalled")
def test_strong_pump(against):
    result = judge_head(strong, FLOW, HEAD, GRADES["1B"])
    against(KEY, "computed", "A1 head deviation", 100 * result.head_deviation, 2.0833, abs=5e-4, unit="%")
    assert [judge_head(strong, FLOW, HEAD, GRADES[g]).meets_head_arm for g in ("1B", "1U", "2B", "3B")] == [True] * 4
    flow, head = point_on_guarantee_ray(strong, FLOW, HEAD)
    against(KEY, "computed", "A2 flow on the ray", flow * 3600, 50.805, rel=1e-5, unit="m3/h")
    against(KEY, "computed", "A2 head on the ray", head, 60.966, rel=1e-5, unit="m")


@pytest.mark.published(KEY, status="recalled")
def test_weak_pump(against):
    result = judge_head(weak, FLOW, HEAD, GRADES["1B"])
    against(KEY, "computed", "A3 head deviation", 100 * result.head_deviation, -3.333, abs=1e-3, unit="%")
    against(KEY, "computed", "A3 flow deviation", 100 * result.flow_deviation, -11.43, abs=5e-3, unit="%")
    passed = {name: judge_head(weak, FLOW, HEAD, grade).passed for name, grade in GRADES.items()}
    assert passed == {"1B": False, "1E": False, "1U": False, "2B": True, "2U": False, "3B": True}


def test_a_pump_too_strong_fails_a_two_sided_grade():
    def too_strong(flow):
        return 1.2 * HEAD - 0.01 * HEAD * (flow / FLOW - 1)

    assert not judge_head(too_strong, FLOW, HEAD, GRADES["1B"]).passed
    assert not judge_head(too_strong, FLOW, HEAD, GRADES["2U"]).passed


def test_steep_curve_passes_on_its_flow_arm_alone():
    def steep(flow):
        return 65.0 - 300.0 * (flow / FLOW - 1)

    result = judge_head(steep, FLOW, HEAD, GRADES["1B"])
    assert (result.meets_head_arm, result.meets_flow_arm, result.passed) == (False, True, True)


def test_power_and_efficiency_are_shares_of_the_guarantee():
    assert judge_efficiency(0.6306, 0.65, GRADES["1B"])
    assert not judge_efficiency(0.6304, 0.65, GRADES["1B"])
    assert judge_power(10_399.0, 10_000.0, GRADES["1B"])
    assert not judge_power(10_401.0, 10_000.0, GRADES["1B"])


@pytest.mark.published(KEY, status="recalled")
def test_npsh_tolerance(against):
    against(KEY, "recalled", "grade 1, NPSH3 3 m", npsh_tolerance(3.0, GRADES["1U"]), 0.15, rel=1e-12, unit="m")
    against(KEY, "recalled", "grade 1, NPSH3 8 m", npsh_tolerance(8.0, GRADES["1B"]), 0.24, rel=1e-12, unit="m")
    against(KEY, "recalled", "grade 2, NPSH3 8 m", npsh_tolerance(8.0, GRADES["2B"]), 0.48, rel=1e-12, unit="m")
    against(KEY, "recalled", "grade 2, NPSH3 3 m", npsh_tolerance(3.0, GRADES["2B"]), 0.30, rel=1e-12, unit="m")


def test_small_pumps_get_a_warning():
    assert acceptance_warnings(10.1e3) == ()
    assert acceptance_warnings(9.9e3) == (
        "shaft power below 10 kW: ISO 9906 allows wider tolerances by formula; not applied here",
    )


def test_curve_that_misses_the_ray_is_refused():
    with pytest.raises(ValueError, match="does not cross the ray"):
        point_on_guarantee_ray(lambda flow: 500.0 + 0 * flow, FLOW, HEAD)
