"""``wetpath remedies``: page, record, exit codes."""

from pathlib import Path

import pytest

import wetpath
from wetpath.services.remedies_record import RemediesRecord

ENQUIRIES = Path(wetpath.__file__).parent / "data" / "demo" / "enquiries"


def test_page(cli):
    ran = cli("remedies", ENQUIRIES / "butane_reflux.toml")
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert lines[0].startswith("▼ Not as offered: shell wall margin to boiling is short by")
    order = [next(number for number, line in enumerate(lines) if line.startswith(words)) for words in
             ("What makes it hold", "What gains margin, not enough", "Not offered", "Cautions")]
    assert order == sorted(order)
    row = next(line for line in lines[order[0]:] if line.startswith("shell of N06022"))
    assert "+5.5\u2009K" in row
    assert "◆ +1.6\u2009K" in row
    assert "remedies rated ..." in ran.err


def test_page_in_us_units(cli):
    ran = cli("remedies", ENQUIRIES / "butane_reflux.toml", "--units", "us")
    assert "\u2009K" not in ran.out.split("Cautions")[0]
    assert "psi" in ran.out


def test_record(cli):
    ran = cli("remedies", ENQUIRIES / "butane_reflux.toml", "--json")
    record = RemediesRecord.model_validate_json(ran.out)
    assert (record.governing, record.unit, record.solved, record.holds) == ("wall_margin_temperature", "K", True, False)
    first = record.remedies[0]
    assert first.makes_it_hold
    assert first.margin == pytest.approx(record.margin + first.gain)
    assert record.not_offered


def test_none_makes_it_hold(cli):
    ran = cli("remedies", ENQUIRIES / "naphtha.toml")
    assert ran.code == 1
    assert "None of the remedies below makes every check hold." in ran.out
    assert "What breaks another check" in ran.out


def test_nothing_to_remedy(cli):
    ran = cli("remedies", ENQUIRIES / "cold_water.toml")
    assert ran.code == 0
    assert "Nothing to remedy" in ran.out


def test_bad_input(cli):
    ran = cli("remedies", "no_such_file.toml")
    assert ran.code == 2
