"""The record of a rating: the numbers of the rating, a schema that is kept, a rating that can be made again."""

from __future__ import annotations

import hashlib
import json
import math
from pathlib import Path

import jsonschema
import numpy as np
import pytest

import wetpath as wp
from wetpath.circulation import solve
from wetpath.edge.files import loads_document
from wetpath.edge.sources import all_sources
from wetpath.rating.enquiry import Enquiry
from wetpath.services import schemas
from wetpath.services.demo import demo_enquiries, enquiry_path
from wetpath.services.rating import Service, load_service
from wetpath.services.sources import GIVEN, sources_of

MESSAGES = Path(__file__).parents[1] / "messages" / "cli"
SCHEMA_FOLDER = Path(schemas.__file__).parents[1] / "edge" / "schemas"


@pytest.fixture(scope="module", params=demo_enquiries())
def service(request: pytest.FixtureRequest) -> Service:
    return load_service(enquiry_path(request.param))


@pytest.fixture(scope="module")
def rating(service: Service) -> wp.Rating:
    return service.rate()


@pytest.fixture(scope="module")
def record(rating: wp.Rating, service: Service) -> wp.Record:
    return wp.record_of(rating, service.files)


def test_record_is_valid_against_its_kept_schema(record: wp.Record) -> None:
    schema = json.loads(schemas.schema_text("rating"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(json.loads(record.model_dump_json()))


def test_record_reads_back_equal(record: wp.Record) -> None:
    assert wp.Record.model_validate_json(record.model_dump_json()) == record


def test_record_says_what_the_rating_says(record: wp.Record, rating: wp.Rating) -> None:
    assert record.verdict.headline == rating.verdict.headline
    assert record.verdict.holds == rating.holds
    assert record.warnings == rating.warnings
    for number, case in enumerate(record.cases):
        assert case.name == rating.case_names[number]
        assert case.operating_point.head_m == rating.point.head[number]
        assert case.operating_point.npsh_required_m == rating.point.npsh_required[number]
        assert case.losses.shaft_w == rating.losses.shaft[number]
        assert case.coupling.load_angle_electrical_deg == pytest.approx(np.degrees(rating.losses.load_angle[number]))
        assert case.coupling.inner_magnets_k == rating.situation.scalars[number, solve.INNER_RING]
        for ours, state in zip(case.trace, rating.trace(number), strict=True):
            assert (ours.name, ours.pressure_pa, ours.temperature_k) == (state.name, state.pressure, state.temperature)
            same(ours.margin_pa, state.pressure_margin)
            same(ours.margin_k, state.temperature_margin)
            same(ours.wall_margin_k, state.wall_margin)
        same(case.missing_to_practice.suction_pressure_pa, rating.missing.pressure_to_practice[number])
        same(case.missing_to_liquid.cooling_k, rating.missing.cooling_to_liquid[number])


def test_record_has_every_check_in_every_case(record: wp.Record, rating: wp.Rating) -> None:
    for ours, check in zip(record.checks, rating.checks, strict=True):
        assert (ours.name, ours.source, ours.status) == (check.name, check.source, check.status)
        for number, case in enumerate(ours.cases):
            same(case.actual, check.actual[number])
            same(case.margin, check.margin[number])
            assert case.holds == check.holds[number]
            if case.asked and case.margin is None:
                assert case.reason, f"{ours.name} has no margin and does not say why"
                assert case.standing == "not known"


def test_losses_of_the_record_add_up(record: wp.Record) -> None:
    for case in record.cases:
        parts = case.losses
        total = (parts.hydraulic_w + parts.wet_end_w + parts.eddy_w + parts.annulus_drag_w + parts.disc_drag_w
                 + parts.journals_w + parts.thrust_faces_w + parts.dry_side_w)
        assert total == pytest.approx(parts.shaft_w, rel=1e-12)     # a sum of the same floats


def test_every_null_margin_of_the_trace_has_a_reason(record: wp.Record) -> None:
    for case in record.cases:
        for station in case.trace:
            assert (station.margin_pa is None) == bool(station.reason)
        for missing in (case.missing_to_liquid, case.missing_to_practice):
            assert (None in (missing.suction_pressure_pa, missing.cooling_k)) == bool(missing.reason)


def test_hashes_are_those_of_the_files(record: wp.Record, service: Service) -> None:
    enquiry = Path(service.enquiry_file)
    told = {one.role: one for one in record.inputs}
    assert told["enquiry"].sha256 == hashlib.sha256(enquiry.read_bytes()).hexdigest()
    pump = enquiry.parent / service.enquiry.pump_file
    assert told["pump"].sha256 == hashlib.sha256(pump.read_bytes()).hexdigest()
    assert told["pump"].file == pump.name
    assert record.liquids[0].content_sha256 == service.liquid.content_hash


def test_rating_can_be_made_again_from_its_record(record: wp.Record, service: Service) -> None:
    told = {one.role: one.content for one in record.inputs}
    enquiry = loads_document(told["enquiry"] or "", Enquiry)
    pump = loads_document(told["pump"] or "", wp.PumpFile)
    again = wp.rate(enquiry, pump=pump, practice=service.practice)
    fresh = wp.record_of(again)
    assert fresh.cases == record.cases
    assert fresh.checks == record.checks


def test_practice_of_the_record_is_the_one_in_force(record: wp.Record, service: Service) -> None:
    assert {limit.name: limit.value for limit in record.practice.limits} == {
        name: limit.value for name, limit in service.practice.items()}


def test_every_source_has_a_text_and_a_status(rating: wp.Rating) -> None:
    own = {limit.source for limit in rating.practice.replaced()}
    for use in sources_of(rating):
        assert use.statuses
        assert use.used_for
        assert use.key in all_sources() or use.key in GIVEN or use.key in own, f"{use.key} is no source"


def test_sources_name_the_formulas_of_the_circulation(rating: wp.Rating) -> None:
    used = {purpose for use in sources_of(rating) for purpose in use.used_for}
    assert "formula: annulus friction factor" in used
    assert "limit: vapour margin" in used


def test_record_of_a_liquid_without_vapour_pressure(tmp_path: Path) -> None:
    text = (MESSAGES / "enquiry.toml").read_text(encoding="utf-8")
    text = text.replace('[liquid]\nsource = "reference equation"\nsubstance = "n-Butane"\n', "")
    text = text.replace('pump_file = "pump.toml"', 'liquid_file = "liquid.toml"')
    (tmp_path / "enquiry.toml").write_text(text, encoding="utf-8")
    (tmp_path / "liquid.toml").write_bytes((MESSAGES / "liquid.toml").read_bytes())
    service = load_service(tmp_path / "enquiry.toml", pump=MESSAGES / "pump.toml")
    record = wp.record_of(service.rate(), service.files)
    station = record.cases[0].trace[0]
    assert station.margin_pa is None
    assert station.reason == "the vapour pressure of some oil is not known"
    assert record.cases[0].missing_to_liquid.reason == station.reason
    assert {one.role for one in record.inputs} == {"enquiry", "pump", "liquid"}
    assert "NaN" not in record.model_dump_json()


def test_kept_schemas_are_those_of_the_models(tmp_path: Path) -> None:
    written = {path.name: path.read_text(encoding="utf-8") for path in schemas.write_schemas(tmp_path)}
    kept = {path.name: path.read_text(encoding="utf-8") for path in SCHEMA_FOLDER.glob("*.json")}
    assert kept == written, "write them anew: python -m wetpath.services.schemas"
    assert schemas.kinds() == ("coupling", "enquiry", "evidence", "fleet", "instruments", "investigation",
                               "life-cycle", "life-cycle-result", "liquid", "mapping", "practice", "protection", "pump",
                               "rating", "remedies", "running", "selection", "uncertainty", "upset", "watch", "window",
                               "worth")


@pytest.mark.parametrize("kind", ["enquiries", "pumps", "liquids", "practices", "mapping"])
def test_demo_files_are_valid_against_the_schemas(kind: str) -> None:
    import tomllib

    folder = Path(schemas.__file__).parents[1] / "data" / "demo" / kind
    files = sorted(folder.glob("*.toml"))
    assert files
    for file in files:
        data = tomllib.loads(file.read_text(encoding="utf-8"))
        schema = json.loads(schemas.schema_text(data["wetpath"].partition("/")[0]))
        jsonschema.Draft202012Validator(schema).validate(data)


def same(ours: float | None, theirs: float) -> None:
    assert (ours is None and not math.isfinite(theirs)) or ours == theirs
