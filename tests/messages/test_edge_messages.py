"""What the edge says to its user, word for word; the texts stand in edge_messages.toml."""

from __future__ import annotations

import pickle
import tomllib
from pathlib import Path

import pytest
from edge_models import MODELS, Rig

from wetpath.edge.files import DOCUMENTS, load_any, load_document, loads_document, validate
from wetpath.edge.practice import PracticeFile, default_practice
from wetpath.edge.quantities import KINDS, PRESSURE
from wetpath.edge.tables import magnet, motor_ratings, shell_material
from wetpath.edge.units import parse, parse_list
from wetpath.errors import FileProblems, InputError, LimitError, UnitError, UnknownName, WetpathError

CASES = tomllib.loads(Path(__file__).with_name("edge_messages.toml").read_text(encoding="utf-8"))


@pytest.fixture(autouse=True)
def _documents(monkeypatch):
    for name, model in MODELS.items():
        monkeypatch.setitem(DOCUMENTS, name, model)


@pytest.mark.parametrize("case", CASES["one"], ids=lambda case: case["text"] or "empty")
def test_message_for_one_quantity(case):
    with pytest.raises(UnitError) as raised:
        parse(case["text"], KINDS[case["kind"]])
    assert str(raised.value) == case["says"]


@pytest.mark.parametrize("case", CASES["many"], ids=lambda case: case["text"] or "empty")
def test_message_for_a_list(case):
    with pytest.raises(UnitError) as raised:
        parse_list(case["text"], KINDS[case["kind"]])
    assert str(raised.value) == case["says"]


@pytest.mark.parametrize("case", CASES["file"], ids=lambda case: case["name"])
def test_message_for_a_file(case):
    with pytest.raises(FileProblems) as raised:
        loads_document(case["text"], Rig, file="rig.toml")
    assert str(raised.value) == case["says"]


def test_files_that_cannot_be_read(tmp_path):
    def said(name: str) -> str:
        with pytest.raises(FileProblems) as raised:
            load_document(tmp_path / name, Rig)
        return str(raised.value).replace(f"{tmp_path}/", "")

    (tmp_path / "rig.toml").write_bytes(b'a = 1\nb = "\xe9"\n')
    assert said("rig.toml") == "rig.toml, line 2: is not UTF-8 text\n  do:  save the file with the encoding UTF-8"
    assert said("rgi.toml") == "rgi.toml: is not there\n  do:  did you mean rig.toml?"
    assert said(".").endswith("is a folder, not a file")
    with (tmp_path / "long.toml").open("wb") as stream:
        stream.truncate(30_000_000)
    assert said("long.toml") == "long.toml: is 30 MB large; files up to 20 MB are read"


def test_file_of_unknown_kind(tmp_path):
    file = tmp_path / "x.toml"
    file.write_text('wetpath = "rgi/1"\n')
    with pytest.raises(FileProblems, match=r'wetpath = "rgi/1" is not a kind of file .*Did you mean rig/1\?'):
        load_any(file)
    file.write_text("a = 1\n")
    with pytest.raises(FileProblems, match=r'has no line wetpath = "\.\.\." that says what it is'):
        load_any(file)


def test_problems_of_tables_without_a_file():
    with pytest.raises(FileProblems) as raised:
        validate({"tube": {"bore": "130 mm", "wall": 0.012}}, Rig)
    assert str(raised.value) == ("tube.wall = 12 mm is too thick; allowed: up to 6.5 mm for a bore of 130 mm\n"
                                 "  why: the wall is taken as thin\n  do:  give the wall of the cylinder only")


def test_wrong_limits_of_a_practice_file():
    text = 'wetpath = "practice/1"\nname = "ours"\n[limit.vapour_margin_presure]\nvalue = "0.5 bar"\nsource = "x"\n'
    with pytest.raises(FileProblems, match=r"is not a limit known here\. Did you mean vapour_margin_pressure"):
        loads_document(text, PracticeFile)
    text = text.replace("presure", "pressure").replace("0.5 bar", "0.5 bar g")
    with pytest.raises(FileProblems) as raised:
        loads_document(text, PracticeFile, file="ours.toml")
    assert str(raised.value) == (
        'ours.toml, line 4: limit.vapour_margin_pressure.value = "0.5 bar g" is a pressure; a pressure difference is '
        'asked, which is neither absolute nor gauge\n  do:  write "0.5 bar"\n'
        '    3 | [limit.vapour_margin_pressure]\n  > 4 | value = "0.5 bar g"')


def test_unknown_names_come_with_the_nearest():
    with pytest.raises(UnknownName, match=r'"N1027" is not a material known here\. Did you mean N10276 or N10675\?'):
        shell_material("N1027")
    with pytest.raises(UnknownName, match=r'"Sm2Co" is not a magnet known here\. Did you mean Sm2Co17 or SmCo5\?'):
        magnet("Sm2Co")
    with pytest.raises(UnknownName, match=r'"film" is not a limit known here\. Did you mean film_ratio\?'):
        default_practice()["film"]
    with pytest.raises(InputError, match='"S31803" is ferromagnetic and cannot be a containment shell'):
        shell_material("S31803")
    with pytest.raises(LimitError, match="tabled for 2 and 4 poles, not for 6"):
        motor_ratings(6)


def test_errors_survive_pickling_and_carry_exit_codes():
    with pytest.raises(UnitError) as raised:
        parse("4.9 bar", PRESSURE)
    again = pickle.loads(pickle.dumps(raised.value))
    assert str(again) == str(raised.value)
    assert again.problem == raised.value.problem
    assert (UnitError.exit_code, WetpathError.exit_code) == (2, 1)


def test_wrong_spreads_of_a_practice_file():
    text = ('wetpath = "practice/1"\nname = "ours"\n[spreads.suction_pressure]\nlow = "-0.02 bar"\nhigh = "0.02 bar"\n'
            'source = "calibration of our gauges"\n')
    assert loads_document(text, PracticeFile).practice().spreads["suction_pressure"].changes(3e5) == (-2e3, 2e3)

    def said(before: str, after: str) -> str:
        assert before in text
        with pytest.raises(FileProblems) as raised:
            loads_document(text.replace(before, after), PracticeFile, file="ours.toml")
        return str(raised.value).split("\n    ")[0]

    assert 'is not a spread known here. Did you mean suction_pressure' in said("suction_pressure", "suction_presure")
    assert said('low = "-0.02 bar"', 'low = "0.03 bar"') == (
        'ours.toml, line 4: spreads.suction_pressure.low = "0.03 bar" is not below high\n'
        "  do:  low is the lower of the two changes; 0 for both takes the input as exactly known")
    assert said('"0.02 bar"', '"0.02 bar g"').startswith(
        'ours.toml, line 5: spreads.suction_pressure.high = "0.02 bar g" is a pressure; a pressure difference is asked')
    assert said('"0.02 bar"', '"2 K"').startswith('ours.toml, line 5: spreads.suction_pressure.high = "2 K" ')
    assert said('"calibration of our gauges"', '" "') == (
        'ours.toml, line 6: spreads.suction_pressure.source = " " is empty\n'
        "  do:  say where the spread is known from; reports print it")
    assert "spreads.suction_pressure.source is missing" in said('source = "calibration of our gauges"\n', "")
    assert "spreads.suction_pressure.shape" in said('high =', 'shape = "triangle"\nhigh =')
    share = text.replace("suction_pressure", "temperature").replace("0.02 bar", "1 %")
    with pytest.raises(FileProblems, match="is a share of an absolute temperature"):
        loads_document(share, PracticeFile)
    lost = text.replace("suction_pressure", "shell_loss_factor").replace("-0.02 bar", "-120 %")
    lost = lost.replace("0.02 bar", "5 %")
    with pytest.raises(FileProblems, match="would make it zero or negative"):
        loads_document(lost, PracticeFile)
