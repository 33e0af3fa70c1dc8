"""``wetpath fleet``: the list of a small invented fleet, its record, a replay that goes on, what is told when wrong."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

from wetpath.services.demo import demo_folder
from wetpath.services.schemas import schema_text

FLEET = """wetpath = "fleet/1"
name = "Two pumps, invented"
since = "2026-06-08T00:00:00Z"
as_of = "2026-06-10T06:00:00Z"

[[pumps]]
tag = "P-1"
service = "ammonia"
enquiry_file = "{enquiries}/ammonia.toml"
case = "C"
[pumps.invented]
seed = 1
step = "1 h"
suction_falls = "0.5 bar"
begins = "2026-06-08T12:00:00Z"
over = "1 d"

[[pumps]]
tag = "P-2"
site = "North"
enquiry_file = "{enquiries}/naphtha.toml"
[pumps.invented]
seed = 2
step = "1 h"
silent_since = "2026-06-09T00:00:00Z"
"""


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    path = tmp_path / "fleet.toml"
    path.write_text(FLEET.replace("{enquiries}", str(demo_folder() / "enquiries")), encoding="utf-8")
    return path


def test_a_replay_is_listed_and_told_as_record(fleet: Path, tmp_path: Path, cli: Callable) -> None:
    folder = tmp_path / "replay"
    done = cli("fleet", str(fleet), "--replay", str(folder))
    assert done.code == 1
    assert "Two pumps, invented: 1 pump short of margin, 1 no data" in done.out
    assert "no data since 09 June 00:00Z" in done.out
    assert "Raise the suction pressure by" in done.out
    assert (folder / "history.sqlite").exists()
    again = cli("fleet", str(fleet), "--replay", str(folder), "--json")
    told = json.loads(again.out)
    jsonschema.validate(told, json.loads(schema_text("running")))
    assert told["wetpath"] == "running/1"
    assert [one["tag"] for one in told["pumps"]] == ["P-1", "P-2"]
    assert told["pumps"][0]["status"] == "short of margin"
    assert told["pumps"][0]["margin_pa"] < told["pumps"][0]["demand_pa"]
    assert told["pumps"][1]["last_reading"] == "2026-06-09T00:00:00Z"
    us = cli("fleet", str(fleet), "--replay", str(folder), "--no-update", "--units", "us")
    assert "margin, psi" in us.out


@pytest.mark.parametrize(("old", "new", "words"), [
    ('tag = "P-2"', 'tag = "P-1"', "is the tag of another pump too"),
    ('since = "2026-06-08T00:00:00Z"', 'since = "2026-06-08"', "is not a time with its offset from UTC"),
    ('since = "2026-06-08T00:00:00Z"\n', "", "made-up readings have no beginning of their own"),
    ("seed = 2", "seed = 2\nplugs_by = 3", "plugs_by"),
    ('silent_since = "2026-06-09T00:00:00Z"', 'drifts = "level"', "is not read by the watch")])
def test_a_wrong_file_is_told_at_its_field(fleet: Path, cli: Callable, old: str, new: str, words: str) -> None:
    text = fleet.read_text(encoding="utf-8")
    assert old in text
    fleet.write_text(text.replace(old, new), encoding="utf-8")
    done = cli("check", str(fleet))
    assert done.code == 2
    assert words in done.err


def test_options_that_do_not_go_together(fleet: Path, tmp_path: Path, cli: Callable) -> None:
    done = cli("fleet", str(fleet), "--since", "2026-01-01T00:00:00Z")
    assert done.code == 2
    assert "belongs to a replay" in done.err
    done = cli("fleet", str(fleet), "--replay", str(tmp_path / "r"), "--cluster", "host")
    assert done.code == 2
    assert "is not the address of a scheduler" in done.err
