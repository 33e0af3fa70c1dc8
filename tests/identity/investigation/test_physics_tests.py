"""Tests of the physics agree with ratings made apart; the demo investigations tell their stories."""

from functools import cache
from math import sqrt
from pathlib import Path

import pytest

import wetpath
from wetpath.circulation.outcome import Outcome
from wetpath.edge.files import load_document, loads_document
from wetpath.errors import FileProblems, InputError
from wetpath.investigation.evidence import EvidenceFile, Recorded
from wetpath.investigation.physics_tests import BLOCKED, Says, all_tests, plugging, running_dry, throttling
from wetpath.investigation.power_test import ROOM, power_test
from wetpath.investigation.reality import Reality
from wetpath.investigation.study import Standing
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.enquiry import Enquiry
from wetpath.services.investigate import investigate_file, record_of_investigation
from wetpath.services.investigation_record import InvestigationRecord
from wetpath.services.rating import load_service, rate_files

DEMO = Path(wetpath.__file__).parent / "data" / "demo"
LOST = (Outcome.FLASHING, Outcome.NO_SOLUTION)


@cache
def rated(name: str):
    return rate_files(DEMO / "enquiries" / f"{name}.toml")


def reality(name: str, case: int = 0, recorded: Recorded | None = None) -> Reality:
    return Reality(rated(name), case, recorded or Recorded())


@cache
def found(name: str):
    return investigate_file(DEMO / "evidence" / f"{name}.toml")


def test_the_case_rated_anew_is_the_case() -> None:
    one = reality("butane_reflux", 1)
    again = one.varied()
    assert again.losses.shaft[0] == pytest.approx(one.shaft_power, rel=1e-9)
    assert again.situation.pressure_margin[0] == pytest.approx(one.rating.situation.pressure_margin[1], rel=1e-6)


def test_plugging_agrees_with_pump_files_written_apart() -> None:
    """The share it tells is the first of its steps at which a pump file with smaller holes loses the liquid."""
    test = plugging(reality("butane_reflux", 1))
    assert test.says is Says.FOR
    told = test.amounts[0][0]
    enquiry = load_document(DEMO / "enquiries" / "butane_reflux.toml", Enquiry)
    pump = load_document((DEMO / "enquiries" / enquiry.pump_file) if enquiry.pump_file
                         else DEMO / "pumps" / "medium.toml", PumpFile)

    def outcome(share: float) -> Outcome:
        data = pump.model_dump()
        data["bush_holder"]["feed_diameter"] *= sqrt(1 - share)
        service = load_service(DEMO / "enquiries" / "butane_reflux.toml", pump=PumpFile.model_validate(data))
        return service.rate().outcomes[1]

    assert outcome(told) in LOST
    assert outcome(BLOCKED[BLOCKED.index(told) - 1]) not in LOST


def test_what_is_lost_as_rated_needs_no_cause() -> None:
    assert throttling(reality("butane_as_found")).says is Says.NOTHING
    assert plugging(reality("butane_as_found")).says is Says.NOTHING


def test_a_shell_without_eddy_loss_does_not_heat_itself() -> None:
    warm = running_dry(reality("butane_reflux"))
    assert warm.amounts[0][0] == pytest.approx(float(rated("butane_reflux").situation.surfaces.dry_rate[0]))
    ceramic = rate_files(DEMO / "enquiries" / "butane_reflux.toml", pump=DEMO / "pumps" / "medium_ceramic.toml")
    assert running_dry(Reality(ceramic, 0, Recorded())).says is Says.NOTHING


@pytest.mark.parametrize("name", ["butane_reflux", "hot_water", "scrubber_water", "glycol_cold_start", "hot_oil"])
def test_every_test_speaks(name: str) -> None:
    tests = all_tests(reality(name))
    assert all(test.sentence() and "{" not in test.sentence() and "nan" not in test.sentence() for test in tests)


def test_power_is_that_of_the_rating() -> None:
    one = reality("hot_water")
    before = one.shaft_power
    shut = float(one.rating.situation.driver.shut_off_power[0])
    assert power_test(one).predicted["low_flow"][0] == pytest.approx(shut / before)
    closed = power_test(reality("hot_water", 0, Recorded(power_before=before, power_after=shut)))
    assert closed.fits("low_flow")
    assert closed.fits("dry_running") is False
    assert closed.fits("attack") is None
    assert power_test(one).fits("low_flow") is None
    assert power_test(one).item() is None
    off = closed.predicted["low_flow"][0] - 1.01 * ROOM
    assert power_test(reality("hot_water", 0, Recorded(power_before=before, power_after=off * before))
                      ).fits("low_flow") is False


def test_the_butane_pump_was_plugged() -> None:
    study, _ = found("butane_bearings")
    assert study.ranked[0].name == "plugged"
    assert study.standing is Standing.POINTS
    assert "deposits_in_passages" in [look.finding.name for look in study.looks[:2]]
    assert "sleeves_tinted" not in [look.finding.name for look in study.looks]       # nobody can look any more


def test_the_hot_water_pump_is_told_what_to_look_at() -> None:
    study, _ = found("hot_water_no_flow")
    assert {one.name for one in study.ranked[:3]} == {"dry_running", "decoupling", "demagnetised"}
    assert study.looks


def test_record_reads_back() -> None:
    study, files = found("butane_bearings")
    record = record_of_investigation(study, files)
    assert InvestigationRecord.model_validate_json(record.model_dump_json()) == record
    assert sum(one.share for one in record.mechanisms) == pytest.approx(1.0)
    assert [one.role for one in record.files][:2] == ["evidence", "enquiry"]
    assert all(item.tag for item in record.items)


HEAD = 'wetpath = "evidence/1"\ntitle = "t"\nenquiry_file = "e.toml"\n'


@pytest.mark.parametrize(("text", "told"), [
    ('[[findings]]\nid = "magnets_week"\nstate = "seen"\n', "Did you mean magnets_weak?"),
    ('[[findings]]\nid = "magnets_weak"\nstate = "seen"\n' * 2, "is told twice"),
    ('[[findings]]\nid = "magnets_weak"\nstate = "seen"\nlikelihoods = { attack = "likly" }\n', "likely"),
    ('[priors]\nattack = 0.0\n', "is not a weight"),
    ('[recorded]\npower_before = "9 kW"\n', "power_after is missing"),
    ('[[own_findings]]\nid = "magnets_weak"\ntitle = "t"\nlikelihoods = {}\n', "is a finding of the catalogue")])
def test_what_is_wrong_with_evidence_is_told(text: str, told: str) -> None:
    with pytest.raises(FileProblems) as error:
        loads_document(HEAD + text, EvidenceFile)
    assert told in str(error.value)


def weighted(tmp_path: Path, weights: str):
    text = (DEMO / "evidence" / "butane_bearings.toml").read_text(encoding="utf-8").replace(
        "../enquiries", str(DEMO / "enquiries")).replace("[recorded]", f"[weights]\n{weights}\n\n[recorded]")
    (tmp_path / "evidence.toml").write_text(text, encoding="utf-8")
    return investigate_file(tmp_path / "evidence.toml")[0]


def test_weights_of_tests_and_of_the_power_are_the_users_to_change(tmp_path: Path) -> None:
    """The ratio of two mechanisms moves by the likelihoods of the test to the power of the weight taken away."""
    before, after = found("butane_bearings")[0], weighted(tmp_path, "plugging = 0.25\npower_recorded = 0.0")
    weights = {item.name: item.weight for item in after.weighed.items}
    assert (weights["physics: plugging"], weights["power recorded"]) == (0.25, 0.0)
    one, other = (before.weighed.mechanisms.index(name) for name in ("plugged", "hard_solids"))
    ratios = [study.weighed.uncapped[one] / study.weighed.uncapped[other] for study in (before, after)]
    likely, even = 0.9 ** 0.5 * 0.99 ** 0.5, 0.33 ** 0.5 * 0.66 ** 0.5
    middle = [a / (a + b) for a, b in ((likely, 0.1 ** 0.5 * 0.01 ** 0.5), (even, 0.67 ** 0.5 * 0.34 ** 0.5))]
    fits, not_predicted = ((low * high) ** 0.5 / ((low * high) ** 0.5 + ((1 - low) * (1 - high)) ** 0.5)
                           for low, high in ((0.66, 0.9), (0.1, 0.33)))
    assert ratios[0] / ratios[1] == pytest.approx((middle[0] / middle[1]) ** 0.75 * fits / not_predicted)


def test_a_test_that_is_not_trusted_proves_nothing(tmp_path: Path) -> None:
    study = weighted(tmp_path, "plugging = 0")
    assert study.tested("plugged").says is Says.FOR
    assert study.standing is not Standing.POINTS
    assert study.share("plugged")[2] <= 0.95 + 1e-12


@pytest.mark.parametrize(("weights", "told"), [("pluging = 1", "Did you mean plugging"), ("plugging = 2", "0 to 1")])
def test_wrong_weights_are_told(weights: str, told: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=told):
        weighted(tmp_path, weights)


def test_without_a_vapour_pressure_nothing_is_said_of_staying_liquid() -> None:
    one = reality("hot_water")
    vars(one)["vapour_pressure"] = float("nan")
    assert "not tried: the vapour pressure is not known" in throttling(one).sentence()


def test_a_shell_that_tints_at_duty_does_not_tell_dry_running() -> None:
    test = running_dry(reality("hot_oil", rated("hot_oil").verdict.case))
    assert test.says is Says.NOTHING
    assert "already" in test.sentence()
