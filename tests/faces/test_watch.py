"""``wetpath watch``: an invented export of two hours, its page, record, table, and what is told when it is wrong."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from wetpath.services.demo import enquiry_path
from wetpath.services.rating import load_service
from wetpath.services.watch import watcher_for
from wetpath.watching.surrogate import columns_at

ENQUIRY = str(enquiry_path("hot_water"))
MAPPING = """wetpath = "mapping/1"
name = "Invented export"
quality_column = "quality"
good = ["good"]
step = "10 s"
max_age = "30 s"
"""
TAGS = (("FT", "flow", "m3/h"), ("TT", "suction_temperature", "degC"), ("PT1", "suction_pressure", "bar a"),
        ("PT2", "discharge_pressure", "bar a"), ("JT", "motor_power", "kW"), ("TW", "shell_temperature", "degC"))


@pytest.fixture(scope="module")
def export(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    folder = tmp_path_factory.mktemp("export")
    mapping = folder / "mapping.toml"
    tags = "".join(f'\n[[tags]]\ntag = "{tag}"\npump = "P-1"\nsignal = "{signal}"\nunit = "{unit}"\n'
                   for tag, signal, unit in TAGS)
    mapping.write_text(MAPPING + tags, encoding="utf-8")
    one = watcher_for(load_service(ENQUIRY).rate(), 0)
    surrogate, errors = one.surrogate, one.errors
    random, data = np.random.default_rng(8), folder / "data.csv"
    with data.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["time", "quality", *(tag for tag, _, _ in TAGS)])
        for number in range(720):
            state = errors.usual.copy()
            state[0] *= 1 + 0.04 * np.sin(number / 50)
            told = columns_at(surrogate.at_feed(1.0), surrogate.low, surrogate.high, state[None, :])[0]
            si = np.array([state[0], state[1], state[3], state[3] + told[0], told[1], state[1] + told[2]])
            si += 0.2 * errors.signals[[0, 1, 3, 4, 5, 6]] * random.standard_normal(6)
            shown = (si - [0, 273.15, 0, 0, 0, 273.15]) / [1 / 3600, 1, 1e5, 1e5, 1e3, 1]
            when = datetime.fromtimestamp(1_750_000_020 + 10 * number, UTC).isoformat()
            writer.writerow([when, "bad" if number % 100 == 7 else "good", *(f"{one:.4f}" for one in shown)])
    return mapping, data


def test_page_and_table(cli: Callable, export: tuple[Path, Path], tmp_path: Path) -> None:
    mapping, data = export
    target = tmp_path / "minutes.csv"
    ran = cli("watch", str(data), "--mapping", str(mapping), "--enquiry", ENQUIRY, "--case", "A rated", "-o",
              str(target))
    assert ran.code == 0
    assert ran.out.startswith("● Lowest vapour margin +")
    for words in ("Alarms, latched", "None.", "How it is told", "of the full solve", "bad quality", "Cautions",
                  "no safety function"):
        assert words in " ".join(ran.out.split())
    with target.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 120
    assert float(rows[0]["vapour_margin_pa"]) > 0


def test_record_keeps_its_schema(cli: Callable, export: tuple[Path, Path]) -> None:
    import jsonschema

    from wetpath.services import schemas

    mapping, data = export
    ran = cli("watch", str(data), "--mapping", str(mapping), "--enquiry", ENQUIRY, "--case", "A rated", "--json")
    record = json.loads(ran.out)
    jsonschema.validate(record, json.loads(schemas.schema_text("watch")))
    assert record["alarms"] == []
    assert record["running"] > 700
    assert record["not_used"]


def test_what_is_wrong_is_told(cli: Callable, export: tuple[Path, Path], tmp_path: Path) -> None:
    mapping, data = export
    nothing = tmp_path / "nothing.csv"
    ran = cli("watch", str(nothing), "--mapping", str(mapping), "--enquiry", ENQUIRY)
    assert ran.code == 2
    assert "nothing.csv" in ran.err
    ran = cli("watch", str(data), "--mapping", str(mapping), "--enquiry", ENQUIRY, "-o", "x.doc")
    assert ran.code == 2
    assert ".csv, .parquet, .json" in ran.err
    ran = cli("watch", str(data), "--mapping", str(mapping), "--enquiry", ENQUIRY, "--case", "nowhere")
    assert ran.code == 2
    assert "Traceback" not in ran.err
