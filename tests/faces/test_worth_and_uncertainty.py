"""``wetpath worth`` and ``wetpath uncertainty``: pages, records, and what is refused."""

import json
from pathlib import Path

import pytest

import wetpath
from wetpath.services.sensitivity import WorthRecord
from wetpath.services.uncertainty import UncertaintyRecord

ENQUIRY = Path(wetpath.__file__).parent / "data" / "demo" / "enquiries" / "butane_reflux.toml"


def test_worth_page(cli):
    ran = cli("worth", ENQUIRY)
    assert ran.code == 0
    first = ran.out.splitlines()[0]
    assert "B hot day: shell wall margin to boiling −3.9" in first
    assert first.startswith("▼")
    row = next(line for line in ran.out.splitlines() if line.startswith("suction pressure"))
    assert "+1\u2009bar" in row
    assert "+5.2" in row
    assert "left out; --full shows them" in ran.out
    assert "Cautions" in ran.out


def test_worth_in_us_units_of_a_case_by_its_beginning(cli):
    ran = cli("worth", ENQUIRY, "--case", "d cold", "--units", "us", "--full")
    assert ran.code == 0
    assert ran.out.splitlines()[0].split(":")[0].endswith("D cold start")
    assert "+15\u2009psi" in ran.out
    assert "left out" not in ran.out


def test_worth_record(cli):
    record = WorthRecord.model_validate_json(cli("worth", ENQUIRY, "--json").out)
    assert record.governing == "wall_margin_temperature"
    one = next(one for one in record.inputs if one.name == "suction_pressure")
    effect = next(each for each in one.effects if each.quantity == "vapour_margin_pressure")
    assert one.unit == "Pa"
    assert effect.slope == pytest.approx(1.0, rel=0.01)
    assert effect.by_change == pytest.approx(effect.slope * 1e5, rel=0.01)
    assert {each.role for each in record.files} == {"enquiry", "pump"}


def test_worth_of_an_enquiry_that_partly_has_no_solution(cli):
    ran = cli("worth", ENQUIRY.with_name("butane_as_found.toml"))
    assert ran.code == 0
    assert "C cold start" in ran.out.splitlines()[0]
    assert "No liquid solution as rated, nothing to follow from there: A normal, B hot day." in ran.out
    refused = cli("worth", ENQUIRY.with_name("butane_as_found.toml"), "--case", "A")
    assert refused.code == 2
    assert "has no liquid solution from which a change could be told" in refused.err


def test_uncertainty_of_an_enquiry_that_partly_has_no_solution(cli):
    ran = cli("uncertainty", ENQUIRY.with_name("butane_as_found.toml"), "--samples", "128")
    assert ran.code == 0
    assert "do not close at once, counted as not holding: A normal" in ran.out
    assert "points have no liquid solution; for the causes they count as the" in ran.out


def test_uncertainty_page(cli):
    ran = cli("uncertainty", ENQUIRY, "--samples", "128", "--case", "B")
    assert ran.code == 0
    assert "every vapour demand holds with a probability of" in ran.out
    assert "Worth measuring: wall heat transfer" in ran.out
    assert "128 points for each case" in ran.out


def test_uncertainty_record_is_the_same_each_time(cli):
    first, second = (cli("uncertainty", ENQUIRY, "--samples", "128", "--seed", "7", "--json").out for _ in range(2))
    assert first == second
    record = UncertaintyRecord.model_validate(json.loads(first))
    assert record.seed == 7
    assert record.samples == 128
    assert record.causes[0].name == "wall_heat_transfer_factor"
    assert record.causes[0].worth_measuring
    assert record.cases[1].probabilities[-1].name == "all"


@pytest.mark.parametrize(("arguments", "words"), [
    (("worth", ENQUIRY, "--case", "Z"), "is not a case of this enquiry"),
    (("uncertainty", ENQUIRY, "--samples", "3"), "is out of range; allowed: 128 to 1048576"),
    (("uncertainty", ENQUIRY, "--spread", "flow"), "has no equals sign"),
    (("uncertainty", ENQUIRY, "--spread", "flw=3 %"), "take one of flow, temperature"),
])
def test_bad_input(cli, arguments, words):
    ran = cli(*arguments)
    assert ran.code == 2
    assert words in ran.err
    assert not ran.out
