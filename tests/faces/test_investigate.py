"""The command that weighs evidence: its page, its record, its checklist and its exit codes."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from wetpath.investigation.catalogue import findings
from wetpath.services.demo import demo_folder

EVIDENCE = demo_folder() / "evidence"
PLUGGED, NO_FLOW = EVIDENCE / "butane_bearings.toml", EVIDENCE / "hot_water_no_flow.toml"


def test_the_page_answers_first_and_shows_every_weight(cli: Callable):
    done = cli("investigate", str(PLUGGED))
    assert done.code == 0
    first, *_ = done.out.splitlines()
    assert first.startswith("● Points to circulation plugged")
    for words in ("Mechanisms", "Evidence, + explains", "Tests of the physics", "What to look at next", "If it was",
                  "Limits of this investigation", "Cautions", "magnets"):
        assert words in done.out
    assert "with 80 % of the feed holes blocked the liquid is lost" in " ".join(done.out.replace("\u2009", " ").split())


def test_two_that_look_alike_stay_open_with_exit_code_1(cli: Callable):
    done = cli("investigate", str(NO_FLOW))
    assert done.code == 1
    assert "Points to" not in done.out.splitlines()[0]


def test_the_record_has_every_cell(cli: Callable):
    done = cli("investigate", str(PLUGGED), "--json")
    record = json.loads(done.out)
    assert record["wetpath"] == "investigation/1"
    assert sum(one["share"] for one in record["mechanisms"]) == pytest.approx(1, abs=1e-12)
    assert all(len(item["cells"]) == len(record["mechanisms"]) for item in record["items"])
    assert record["sentence"].startswith("Points to circulation plugged")
    assert all(record[name] for name in ("warnings", "cautions", "limits"))


def test_an_enquiry_and_a_pump_may_be_named_in_place_of_those_of_the_file(cli: Callable):
    ceramic = demo_folder() / "pumps" / "medium_ceramic.toml"
    done = cli("investigate", str(PLUGGED), "--pump", str(ceramic), "--json")
    assert json.loads(done.out)["pump"] != json.loads(cli("investigate", str(PLUGGED), "--json").out)["pump"]


def test_the_checklist_is_an_evidence_file_with_every_finding(cli: Callable, tmp_path: Path):
    done = cli("investigate", "--list")
    assert done.code == 0
    assert all(f'id = "{name}"' in done.out for name in findings())
    file = tmp_path / "evidence.toml"
    file.write_text(done.out.replace('"enquiry.toml"', json.dumps(str(demo_folder() / "enquiries" / "hot_water.toml"))),
                    encoding="utf-8")
    assert cli("check", str(file)).code == 0
    blank = cli("investigate", str(file))
    assert blank.code == 1
    assert "Nothing is told yet" in blank.out.splitlines()[0]


def test_without_a_file_it_says_what_to_do(cli: Callable):
    done = cli("investigate")
    assert done.code == 2
    assert "--list writes one to fill in" in done.err


@pytest.mark.parametrize(("old", "new", "told"), [
    ('id = "bearings_crazed"', 'id = "bearings_crazd"', "bearings_crazed"),
    ('state = "seen"', 'state = "maybe"', "not looked at"),
    ('power_after = "8.3 kW"', "", "power_after"),
    ('case = "B hot day"', 'case = "Z"', "B hot day")])
def test_a_fault_in_the_file_is_told_at_its_field(cli: Callable, tmp_path: Path, old: str, new: str, told: str):
    text = PLUGGED.read_text(encoding="utf-8").replace(old, new, 1).replace(
        "../enquiries", str(demo_folder() / "enquiries"))
    file = tmp_path / "evidence.toml"
    file.write_text(text, encoding="utf-8")
    done = cli("investigate", str(file))
    assert done.code == 2
    assert "evidence.toml" in done.err
    assert told in done.err
    assert "Traceback" not in done.err


@pytest.mark.parametrize(("file", "headline"), [(PLUGGED, "Points to circulation plugged"), (NO_FLOW, "Not decided")])
def test_the_report_names_the_rival_and_every_weight(cli: Callable, pages_of: Callable, tmp_path: Path, file: Path,
                                                     headline: str):
    target = tmp_path / "why.pdf"
    done = cli("investigate", str(file), "-o", str(target), "--json")
    record = json.loads(done.out)
    pages = pages_of(target.read_bytes())
    assert all(len(one) > 800 for one in pages), "a page is nearly empty"
    text = "".join(pages)
    words = "".join(text.replace("\u2009", "").split())
    assert headline.replace(" ", "") in words
    assert "DRAFT" in words
    for one in (*record["mechanisms"], *record["items"]):
        assert "".join(one["title"].split()) in words
    for sentence in (*record["limits"], *record["cautions"]):
        assert "".join(sentence.replace("\u2009", "").split()) in words


def test_a_report_of_another_ending_is_refused(cli: Callable, tmp_path: Path):
    done = cli("investigate", str(PLUGGED), "-o", str(tmp_path / "why.docx"))
    assert done.code == 2
    assert "end it in .pdf" in done.err
