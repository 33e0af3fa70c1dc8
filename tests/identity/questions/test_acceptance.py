"""The works test: what comes back from points that were made from a prediction, and what must never be accepted."""

import numpy as np
import pytest

from wetpath.edge.files import dump_document, loads_document
from wetpath.errors import InputError, LimitError
from wetpath.liquids.specification import LiquidSpecification, load_liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.pump.acceptance import GRADES
from wetpath.questions.acceptance.accept import accept
from wetpath.questions.acceptance.bench import Bench, predict
from wetpath.questions.acceptance.guarantee import Guarantee
from wetpath.questions.acceptance.measured import MeasuredPoints
from wetpath.questions.acceptance.updated_pump import updated_pump
from wetpath.services.demo import demo_pump

PUMP = demo_pump("medium")
BENCH = Bench(PUMP.driver.speed, 293.15, 2e5)
FLOWS = np.array([0, 8, 16, 24, 32, 40, 45, 48, 50, 52, 55, 60, 66]) / 3600
GUARANTEE = Guarantee(50 / 3600, 55.0)


@pytest.fixture(scope="module")
def water():
    return load_liquid(LiquidSpecification("reference equation", ("Water",)))


@pytest.fixture(scope="module")
def prediction(water):
    return predict(PUMP, water, BENCH, FLOWS)


def points(prediction, *, head=1.0, power=1.0, npsh=1.0, speed=None, chosen=slice(None)):
    """Points as predicted, times factors; at another speed by the laws a magnetic drive does not quite keep."""
    flow = prediction.flow[chosen]
    faster = 1.0 if speed is None else speed / BENCH.speed
    return MeasuredPoints(
        flow=flow * faster, head=head * prediction.head[chosen] * faster**2,
        power=power * prediction.power[chosen] * faster**3, efficiency=np.full(flow.size, np.nan),
        npsh=npsh * prediction.npsh[chosen] * faster**2, speed=np.full(flow.size, BENCH.speed * faster),
        temperature=np.full(flow.size, BENCH.temperature))


def accepted(measured, water, guarantee=GUARANTEE, grade="1B"):
    return accept(PUMP, water, BENCH, measured, [guarantee], GRADES[grade])


def test_a_pump_that_tests_as_predicted_keeps_its_curves(water, prediction):
    found = accepted(points(prediction), water)
    updated = updated_pump(found, water, origin="")
    np.testing.assert_allclose(updated.new_head, updated.old_head, rtol=3e-3)       # one polynomial for a spline
    np.testing.assert_allclose(updated.new_efficiency[1:], updated.old_efficiency[1:], atol=4e-3)
    np.testing.assert_allclose(updated.new_npsh, updated.old_npsh, rtol=1e-2, atol=0.02)
    assert updated.head_left < 2e-3
    assert updated.power_left < 3e-3


def test_the_updated_pump_predicts_what_was_measured(water, prediction):
    measured = points(prediction, head=0.97, power=1.04, npsh=1.1)
    updated = updated_pump(accepted(measured, water), water, origin="Tested.")
    again = predict(updated.pump, water, BENCH, FLOWS[1:])
    np.testing.assert_allclose(again.head, measured.head[1:], rtol=4e-3)
    np.testing.assert_allclose(again.power[1:], measured.power[2:], rtol=5e-3)
    np.testing.assert_allclose(again.npsh, measured.npsh[1:], rtol=2e-2)
    assert updated.pump.note.endswith("Tested.")
    assert loads_document(dump_document(updated.pump), PumpFile) == updated.pump


def test_wet_end_takes_the_blame_not_the_drive(water, prediction):
    """4 % more power at the shaft is more than 4 % of the wet end: the losses of the drive stay what they were."""
    updated = updated_pump(accepted(points(prediction, power=1.04), water), water, origin="")
    middle = updated.old_efficiency.size // 2
    ratio = updated.old_efficiency[middle] / updated.new_efficiency[middle]
    shaft, drive = prediction.power[6], prediction.drive[6]
    assert ratio == pytest.approx((1.04 * shaft - drive) / (shaft - drive), rel=3e-3)
    assert ratio > 1.042


def test_power_at_shut_off_is_taken_over(water, prediction):
    """A measured power at zero flow becomes that of the wet end; without one the file keeps none."""
    measured = points(prediction)
    assert updated_pump(accepted(measured, water), water, origin="").pump.impeller.tested.shut_off_power is None
    shut_off = 2 * prediction.power[1] - prediction.power[2]        # in line with the next two points
    with_power = MeasuredPoints(**{**vars(measured), "power": np.r_[shut_off, measured.power[1:]]})
    tested = updated_pump(accepted(with_power, water), water, origin="").pump.impeller.tested
    assert tested.shut_off_power == pytest.approx(shut_off - prediction.drive[1], rel=0.01)


def test_beyond_the_measured_flows_the_old_shape_stays(water, prediction):
    some = points(prediction, head=1.02, chosen=slice(4, 11))
    updated = updated_pump(accepted(some, water), water, origin="")
    np.testing.assert_allclose(updated.new_head / updated.old_head, 1.02, rtol=2e-3)
    assert "beyond the measured flows the old curves stay, scaled to meet the measured ones" in updated.notes


def test_a_test_on_another_speed_judges_the_same(water, prediction):
    here = accepted(points(prediction), water)
    there = accepted(points(prediction, speed=0.9 * BENCH.speed), water)
    assert there.judgements[0].demands[0].measured == pytest.approx(here.judgements[0].demands[0].measured, rel=1e-9)
    told = [one for one in there.warnings if "laws of their own" in one]
    assert len(told) == 1
    assert not [one for one in here.warnings if "laws of their own" in one]


@pytest.mark.parametrize(("factor", "grade", "wanted"), [
    (1.0, "1B", True), (1.06, "1B", False), (0.94, "1U", False), (1.05, "1U", True), (0.96, "2B", True),
    (0.94, "2B", False)])
def test_head_factor_against_grade(water, prediction, factor, grade, wanted):
    """The head predicted at 50 m3/h is guaranteed; 4 % of head are 8 % of flow there, so the head arm decides."""
    exact = Guarantee(50 / 3600, float(prediction.head[8]))
    assert accepted(points(prediction, head=factor), water, exact, grade).accepted is wanted


def test_one_guarantee_missed_is_not_accepted(water, prediction):
    shaft, efficiency, npsh = (float(one[8]) for one in (prediction.power, prediction.efficiency, prediction.npsh))
    exact = Guarantee(50 / 3600, float(prediction.head[8]), shaft, efficiency, npsh)
    assert accepted(points(prediction), water, exact).accepted
    for changed in ({"power": 1.05}, {"npsh": 1.2}):
        found = accepted(points(prediction, **changed), water, exact)
        assert not found.accepted
        missed = {one.name for one in found.judgements[0].demands if not one.met}
        assert missed == ({"power", "efficiency"} if "power" in changed else {"NPSH3"})


def test_what_was_not_measured_is_not_judged(water, prediction):
    flat = points(prediction, chosen=slice(0, 6))
    with pytest.raises(InputError, match="the guaranteed flow lies outside the measured flows"):
        accepted(flat, water)
    nothing = MeasuredPoints(**{**vars(points(prediction)), "power": np.full(FLOWS.size, np.nan)})
    with pytest.raises(InputError, match="power is guaranteed, but neither power nor efficiency was measured"):
        accepted(nothing, water, Guarantee(50 / 3600, 55.0, power=13e3))


def test_a_crossing_beyond_the_measured_flows_does_not_count(water, prediction):
    """Stronger than guaranteed and measured up to the guaranteed flow only: the flow arm is not continued beyond."""
    some = points(prediction, chosen=slice(0, 9))
    weak = Guarantee(50 / 3600, 0.97 * float(prediction.head[8]), power=14e3)
    assert accepted(points(prediction), water, weak, "3B").judgements[0].meets_flow_arm
    judgement = accepted(some, water, weak, "3B").judgements[0]
    assert np.isnan(judgement.flow_deviation)
    assert not judgement.meets_flow_arm
    assert np.isnan(judgement.demands[1].measured)
    assert judgement.demands[1].note == ("the line through the guarantee point lies outside the flows at which it was "
                                         "measured")


def test_power_in_the_wrong_place_is_refused(water, prediction):
    """Wet-end power given as power at the motor shaft leaves less than nothing for the wet end of a pump near ideal."""
    hydraulic = prediction.power * prediction.efficiency
    wrong = MeasuredPoints(**{**vars(points(prediction)), "power": hydraulic * 1.02})
    with pytest.raises(LimitError, match="less the computed losses of the magnetic drive is below the power"):
        updated_pump(accepted(wrong, water), water, origin="")
