"""Sections of the record on the machine's parts: the numbers of the states, and a reason for every null."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest
from pydantic import BaseModel

import wetpath as wp
from wetpath.services.demo import demo_enquiries, enquiry_path
from wetpath.services.record_states import Section


@pytest.fixture(scope="module", params=demo_enquiries())
def rating(request: pytest.FixtureRequest) -> wp.Rating:
    return wp.rate(enquiry_path(request.param))


@pytest.fixture(scope="module")
def record(rating: wp.Rating) -> wp.Record:
    return wp.record_of(rating)


def sections(entry: BaseModel) -> Iterator[Section]:
    """Every section in an entry, itself among them."""
    if isinstance(entry, Section):
        yield entry
    for name in type(entry).model_fields:
        value = getattr(entry, name)
        for one in value if isinstance(value, tuple) else (value,):
            if isinstance(one, BaseModel):
                yield from sections(one)


def test_every_null_has_a_reason_and_every_reason_a_null(record: wp.Record) -> None:
    seen = 0
    for case in record.cases:
        for section in sections(case):
            seen += 1
            nulls = [name for name in type(section).model_fields if getattr(section, name) is None]
            assert bool(nulls) == bool(section.reason), (case.name, type(section).__name__, nulls, section.reason)
    assert seen > 20


def test_sections_say_what_the_states_say(record: wp.Record, rating: wp.Rating) -> None:
    at = rating.situation
    for number, case in enumerate(record.cases):
        assert case.flow_limits.minimum_m3_per_s == rating.flow_limits.minimum[number]
        assert case.flow_limits.minimum_by == rating.flow_limits.minimum_by[number]
        same(case.suction.npsh_needed_m, at.suction.npsh_needed[number])
        same(case.suction.lowest_level_m, at.suction.lowest_level[number])
        for place, journal in enumerate(case.bearings.journals):
            same(journal.load_n, at.bearings.load[number, place])
            same(journal.film_over_roughness, at.bearings.film_ratio[number, place])
            assert journal.beyond_film_table == (at.bearings.eccentricity_ratio[number, place] > 0.97)
            assert journal.load_times_speed_pa_m_per_s == pytest.approx(
                journal.specific_load_pa * journal.sliding_speed_m_per_s, rel=1e-12)
        thrust = case.bearings.thrust_worn
        same(thrust.total_n, at.thrust.worn.total[number])
        if thrust.total_n is not None:
            parts = (thrust.rear_shroud_n, thrust.front_shroud_n, thrust.eye_n, thrust.momentum_n,
                     thrust.magnet_rotor_n, thrust.magnetic_n)
            assert sum(part or 0.0 for part in parts) == pytest.approx(thrust.total_n, abs=1e-6)   # of ten thousands
        same(case.start.pull_out_over_torque, at.start.ratio[number])
        same(case.start.magnets[1].field_over_coercivity_slipping, at.coupling.field_opposing[1][number])
        same(case.shell.inside_pa, at.shell.inside[number])
        same(case.shell.bears_pa, at.shell.bears[number])
        same(case.driver.highest_power_w, at.driver.highest_power[number])
        same(case.surfaces.normal.temperature_k, at.surfaces.normal.temperature[number])
        assert [one.state for one in case.surfaces.malfunctions] == [one.name for one in at.surfaces.malfunctions]
        same(case.standstill.time_to_boiling_s, at.standstill.time_to_boiling[number])


def test_checks_have_subjects(record: wp.Record, rating: wp.Rating) -> None:
    assert [one.subject for one in record.checks] == [check.subject for check in rating.checks]
    assert all(one.subject for one in record.checks)


def same(ours: float | None, theirs: float) -> None:
    assert (ours is None and not math.isfinite(theirs)) or ours == theirs
