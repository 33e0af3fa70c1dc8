"""``wetpath upset`` and ``wetpath protect``: pages, records, tables, drawing, exit codes, messages."""

from __future__ import annotations

import csv
import json
import struct
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import pytest

from wetpath.services import protection, schemas, upsets
from wetpath.services.demo import enquiry_path

BUTANE, WATER = str(enquiry_path("butane_reflux")), str(enquiry_path("hot_water"))
QUICK = ("--copies", "0")
FEW = (*QUICK, "--samples", "32", "--upset", "discharge closed", "--upset", "feed plugging", "--upset", "suction lost")


def test_page_of_an_upset(cli: Callable) -> None:
    ran = cli("upset", WATER, "--upset", "suction lost", *QUICK)
    assert ran.code == 0
    assert ran.out.startswith("● Damage ")
    for words in ("What happens", "What each instrument shows", "low motor power", "seen", "no resolution here",
                  "not seen", "Warnings and limits crossed", "Cautions", "IEC 61511",
                  "ISO 80079-37"):
        assert words in ran.out


def test_page_of_an_upset_tells_what_is_drawn(cli: Callable) -> None:
    page = " ".join(cli("upset", WATER, "--upset", "suction lost", "--copies", "2", "--duration", "60 s").out.split())
    for words in ("Drawn for the bands", "Published, recalled:", "Common practice, no source: friction of dry",
                  "Assumed here: loss in the shell"):
        assert words in page


def test_upset_that_nobody_sees_has_exit_code_1(cli: Callable) -> None:
    ran = cli("upset", BUTANE, "--upset", "suction lost", *QUICK)
    assert ran.code == 1
    assert ran.out.startswith("▼ Damage ")
    assert "no instrument acts in time" in ran.out.replace("\n", " ")


def test_harmless_upset_has_exit_code_0(cli: Callable) -> None:
    ran = cli("upset", WATER, "--upset", "below minimum flow", *QUICK)
    assert ran.code == 0
    assert ran.out.startswith("● No damage within 600")


def test_record_of_an_upset_keeps_its_schema(cli: Callable) -> None:
    ran = cli("upset", WATER, "--upset", "gas entrained", "--upset", "hot slug", "--set", "gas entrained.share=8 %",
              "--set", "hot slug.rise=3 K", "--start", "5 s", "--duration", "60 s", "--json", *QUICK)
    record = json.loads(ran.out)
    jsonschema.validate(record, upsets.UpsetRecord.model_json_schema(mode="serialization"))
    jsonschema.validate(record, json.loads(schemas.schema_text("upset")))
    assert record["wetpath"] == "upset/1"
    assert {one["source"] for one in record["spreads"]} == {"published", "common practice", "assumed"}
    assert record["cause"]["copies_failed"] == 0
    assert record["cause"]["parameters"]["gas entrained"]["share"] == pytest.approx(0.08)
    assert record["cause"]["cause_begins_s"] == 5.0
    assert len(record["columns"]["motor_power_w"]) == len(record["time_s"])
    assert record["time_s"][-1] == 60.0


def test_upsets_together_begin_when_each_is_said_to(cli: Callable) -> None:
    ran = cli("upset", WATER, "--upset", "vessel emptied", "--upset", "hot restart", "--set", "hot restart.start=40 s",
              "--set", "vessel emptied.area=0.5 m2", "--start", "5 s", "--duration", "60 s", "--json", *QUICK)
    record = json.loads(ran.out)
    assert record["cause"]["cause_begins_s"] == 5.0
    assert record["cause"]["parameters"]["vessel emptied"]["area"] == 0.5
    level = record["columns"]["over_outlet_m"]
    assert level[0] == 1.0
    assert min(level) < 0.5
    at = next(place for place, time in enumerate(record["time_s"]) if time > 39.9)
    speeds = record["columns"]["outer_speed_rad_per_s"]
    assert speeds[at] == speeds[0] > 2 * min(speeds)


def test_course_and_drawing_are_written(cli: Callable, tmp_path: Path) -> None:
    table, picture, pixels = tmp_path / "u.csv", tmp_path / "u.svg", tmp_path / "u.png"
    assert cli("upset", WATER, "--upset", "suction lost", "--csv", str(table), "--plot", str(picture), *QUICK).code == 0
    with table.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0][0] == "time [s]"
    assert "suction pressure [bar a]" in rows[0]
    assert "motor power [kW]" in rows[0]
    assert all(len(row) == len(rows[0]) for row in rows)
    words = " ".join(ElementTree.parse(picture).getroot().itertext())
    for told in ("cause begins", "liquid lost", "damage", "hidden: least margin to vapour pressure", "seen 1"):
        assert told in words
    assert cli("upset", WATER, "--upset", "suction lost", "--plot", str(pixels), *QUICK).code == 0
    width, height = struct.unpack(">II", pixels.read_bytes()[16:24])
    assert width == 1760
    assert height > 1000


def test_page_of_a_plan(cli: Callable) -> None:
    ran = cli("protect", BUTANE, *FEW)
    assert ran.code == 1
    assert ran.out.startswith("▼ 1 of 3 causes that do harm are seen by no instrument in time: suction lost")
    for words in ("Smallest set", "Cause against instrument", "Set points", "No resolution here", "Restart",
                  "Not followed by this model", "Cautions", "not seen: low motor power, low flow",
                  "lies inside normal operation", "The trips of the enquiry", "[cases.vessel]"):
        assert words in " ".join(ran.out.split())


def test_plan_that_covers_all_has_exit_code_0(cli: Callable) -> None:
    ran = cli("protect", WATER, *FEW)
    assert ran.code == 0
    assert ran.out.startswith("● 1 instrument sees all 2 causes that do harm, in time")


def test_record_and_list_of_a_plan(cli: Callable, tmp_path: Path) -> None:
    table = tmp_path / "list.csv"
    ran = cli("protect", WATER, *FEW, "--json", "--csv", str(table))
    record = json.loads(ran.out)
    jsonschema.validate(record, protection.PlanRecord.model_json_schema(mode="serialization"))
    jsonschema.validate(record, json.loads(schemas.schema_text("protection")))
    with table.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["trip"] for row in rows[:-4]] == [one["title"] for one in record["settings"]]
    assert rows[-4]["trip"].startswith("not computed: shell breached")
    assert "outside the shell" in rows[-4]["signal"]
    assert all(one["shortest_delay_s"] <= one["delay_s"] for one in record["settings"] if one["set_point"])
    power = rows[0]
    assert power["unit"] == "kW"
    assert float(power["set point"]) == pytest.approx(record["settings"][0]["set_point"] / 1e3, rel=1e-3)
    assert power["voting"] == "1 of 1"
    assert any(name.startswith("suction lost: acts after") for name in power)


def test_instrument_file_changes_the_plan(cli: Callable, tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    file.write_text('wetpath = "instruments/1"\nname = "Unit 12"\nfitted = ["low_power", "shell_temperature"]\n'
                    '[instrument.low_power]\nvoting = "2 of 3"\ndelay = "4 s"\nset_point = "9 kW"\nspan = "25 kW"\n'
                    'source = "our transmitter"\n', encoding="utf-8")
    record = json.loads(cli("protect", WATER, *FEW, "--instruments", str(file), "--json").out)
    assert [one["name"] for one in record["settings"]] == ["low_power", "shell_temperature"]
    power = record["settings"][0]
    assert (power["set_point"], power["delay_s"], power["voting"], power["status"]) == (9000.0, 4.0, "2 of 3", "given")
    assert record["instruments"] == "Unit 12"
    assert power["span"] == 25e3
    assert power["nuisance_trips"] > 0          # normal operation comes down to 8.5 kW
    assert cli("check", str(file)).code == 0
    page = " ".join(cli("protect", WATER, *FEW, "--instruments", str(file)).out.split())
    assert f"low motor power trips in {power['nuisance_trips']} of {power['samples']} samples" in page


@pytest.mark.parametrize(("arguments", "message"), [
    (("upset", WATER, "--upset", "suction lots"),
     '--upset = "suction lots" is not an upset known here. Did you mean suction lost?'),
    (("upset", WATER, "--upset", "suction lost", "--set", "ower=3 s"),
     '--set = "ower" is not a parameter of "suction lost" known here. Did you mean over?'),
    (("upset", WATER, "--upset", "suction lost", "--set", "over=3 m"), "--set over"),
    (("upset", WATER, "--upset", "suction lost", "--set", "start=3 m"), "--set start"),
    (("upset", WATER, "--upset", "suction lost", "--set", "over"), '--set = "over" has no equals sign'),
    (("upset", WATER, "--upset", "hot slug", "--set", "rise=900 K"),
     "--set rise = 900 K is outside the allowed range 0 to 300 K"),
    (("upset", WATER, "--upset", "suction lost", "--plot", "u.pdf"),
     '--plot = "u.pdf" does not end in .svg or .png'),
    (("upset", WATER, "--upset", "suction lost", "--duration", "2 d"),
     '--duration = "2 d" is outside 1 s to 1 d'),
    (("protect", str(enquiry_path("butane_as_found")), *QUICK), "as rated"),
    (("protect", WATER, "--samples", "3"), "--samples = 3 is outside 16 to 4096")])
def test_wrong_input_is_told(cli: Callable, arguments: tuple[str, ...], message: str) -> None:
    ran = cli(*arguments)
    assert ran.code == 2
    assert message in ran.err
    assert "Traceback" not in ran.err


@pytest.mark.parametrize(("line", "message"), [
    ('fitted = ["low_pwr"]', 'fitted = ["low_pwr"] is not an instrument known here. Did you mean low_power?'),
    ('[instrument.low_power]\nvoting = "4 of 3"\nsource = "x"', "is not a number of sensors out of at most 8"),
    ('[instrument.low_power]\nspan = "0 kW"\nsource = "x"', "is no range"),
    ('[instrument.shell_temperature]\nspan = "9 bar"\nsource = "x"', "instrument.shell_temperature.span"),
    ('[instrument.low_power]\nset_point = "9 bar"\nsource = "x"', "instrument.low_power.set_point")])
def test_wrong_instrument_file_is_told(cli: Callable, tmp_path: Path, line: str, message: str) -> None:
    file = tmp_path / "own.toml"
    file.write_text(f'wetpath = "instruments/1"\nname = "x"\n{line}\n', encoding="utf-8")
    ran = cli("check", str(file))
    assert ran.code == 2
    assert message in " ".join(ran.err.split()) + " ".join(ran.out.split())
