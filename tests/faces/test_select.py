"""``wetpath select``: page, record, offers as files, and what is refused."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

import wetpath
from wetpath.edge.files import load_document
from wetpath.machine.pump_file import PumpFile
from wetpath.services.selection_record import SelectionRecord

DEMO = Path(wetpath.__file__).parent / "data" / "demo"
ENQUIRY = DEMO / "enquiries" / "butane_reflux.toml"


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("catalogue")
    for name in ("medium", "medium_steel", "small"):
        shutil.copy(DEMO / "pumps" / f"{name}.toml", folder)
    shutil.copy(ENQUIRY, folder / "not_a_pump.toml")
    return folder


def test_page_and_offers_as_files(cli, catalogue, tmp_path):
    ran = cli("select", ENQUIRY, "--catalogue", catalogue, "--shell", "R56400", "--most", 2, "--write",
              tmp_path / "out")
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert lines[0].startswith("◆ Take 1: medium, Ø202\u2009mm, 2950\u2009rpm, R56400, magnets")
    assert "3 pump files" in ran.out
    assert "Why the others fell out, by the screening" in ran.out
    assert "nearest miss" in ran.out
    assert "Cautions" in ran.out
    written = sorted((tmp_path / "out").iterdir())
    assert [one.name[:2] for one in written] == ["1_", "2_"]
    pump = load_document(written[0], PumpFile)
    assert pump.impeller.diameter == pytest.approx(0.202)
    assert pump.containment_shell.material == "R56400"
    assert pump.note.startswith("Changed by a selection out of medium;")
    rated = cli("rate", ENQUIRY, "--pump", written[0], "--json")
    assert json.loads(rated.out)["verdict"]["headline"] in lines[1]


def test_record(cli, catalogue):
    ran = cli("select", ENQUIRY, "--catalogue", catalogue, "--weights", "energy 1", "--json")
    record = SelectionRecord.model_validate_json(ran.out)
    assert ran.code == (0 if record.holds else 1)
    assert record.weights.energy == 1
    assert record.weights.margin == 0
    assert record.candidates == record.passed + sum(one.count for one in record.fell_out)
    assert [one.role for one in record.files] == ["enquiry", "pump", "pump", "pump"]
    holding = [one.score for one in record.offers if one.holds]
    assert holding == sorted(holding, reverse=True)
    assert not record.stopped


def test_nothing_that_holds_is_exit_code_1_in_us_units(cli, catalogue):
    ran = cli("select", DEMO / "enquiries" / "ammonia.toml", "--catalogue", catalogue, "--units", "us")
    assert ran.code == 1
    assert ran.out.startswith("▼ None of the candidates holds")
    assert "Ø6." in ran.out
    assert "Offers" not in ran.out


@pytest.mark.parametrize(("arguments", "told"), [
    (("--catalogue", "nowhere"), '--catalogue = "nowhere" is not a folder'),
    (("--weights", "price 3"), '--weights = "price 3" cannot be read as weights'),
    (("--shell", "N99999"), '--shell = "N99999" is not a material known here.'),
    (("--most", "0"), "--most"),
])
def test_refused(cli, arguments, told):
    ran = cli("select", ENQUIRY, *arguments)
    assert ran.code == 2
    assert told in ran.err
    assert ran.out == ""


def test_folder_without_pumps_and_with_a_broken_one(cli, catalogue, tmp_path):
    shutil.copy(ENQUIRY, tmp_path / "enquiry.toml")
    ran = cli("select", ENQUIRY, "--catalogue", tmp_path)
    assert ran.code == 2
    assert "has no pump file" in ran.err
    text = (catalogue / "small.toml").read_text(encoding="utf-8")
    (tmp_path / "broken.toml").write_text(text.replace("poles = 2", "poles = 200"), encoding="utf-8")
    ran = cli("select", ENQUIRY, "--catalogue", tmp_path)
    assert ran.code == 2
    assert "broken.toml" in ran.err
    assert "driver.poles" in ran.err
