"""Uncertainty as a use case: enquiry and spreads in, probabilities, ranges, causes and their record out."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from typing import Literal

from pydantic import Field

from wetpath import __version__
from wetpath.errors import InputError
from wetpath.questions.parts import Cancelled, Progress
from wetpath.questions.sensitivity.evaluate import QUANTITIES
from wetpath.questions.uncertainty.study import (
    SAMPLES,
    CaseUncertainty,
    Cause,
    Uncertainty,
    uncertainty_of,
)
from wetpath.rating.rate import Rating
from wetpath.services.cautions import cautions_of
from wetpath.services.progress import Announce, silent
from wetpath.services.rating import FileOrigin, load_service
from wetpath.services.record import Entry
from wetpath.services.scale import Scale, runner_for
from wetpath.services.sensitivity import FileRecord, case_named, file_records, known

FilePath = str | os.PathLike[str]
FORMAT: Literal["uncertainty/1"] = "uncertainty/1"


class ProbabilityRecord(Entry):
    """Probability that one demand holds."""

    name: str
    title: str
    limit: float | None = Field(description="null for all demands together")
    holds: int = Field(description="points in which it holds")
    of: int
    probability: float
    low: float = Field(description="interval of 95 % confidence, by Wilson's score")
    high: float


class CaseRecord(Entry):
    """One operating case."""

    name: str
    governing: str
    unit: str
    now: float | None
    limit: float | None
    low: float | None = Field(description="2.5 % of the points lie below; null: no liquid solution there")
    median: float | None
    high: float | None = Field(description="2.5 % lie above")
    with_solution: int
    points: int
    probabilities: tuple[ProbabilityRecord, ...]


class CauseRecord(Entry):
    """One input, its spread, and its share in the variance of the governing margin."""

    name: str
    title: str
    meaning: str
    unit: str
    nominal: float
    low: float = Field(description="changes of the input")
    high: float
    shape: Literal["even", "normal", "log-normal"]
    source: str
    status: str
    spread_meaning: str
    first_index: float
    first_interval: tuple[float, float]
    total_index: float
    total_interval: tuple[float, float]
    range_left_when_known: float = Field(description="mean width of the range over what it is, this input known")
    worth_measuring: bool


class UncertaintyRecord(Entry):
    """Uncertainty of the vapour margins of one rating."""

    wetpath: Literal["uncertainty/1"] = FORMAT
    program_version: str
    enquiry: str
    pump: str
    liquid: str
    files: tuple[FileRecord, ...]
    samples: int
    seed: int
    index_points: int
    cases: tuple[CaseRecord, ...]
    case_of_causes: str
    causes: tuple[CauseRecord, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]


def uncertainty_of_files(enquiry: FilePath, *, pump: FilePath | None = None, practice: FilePath | None = None,
                         samples: int = SAMPLES, seed: int = 1, case: str | None = None, spreads: Sequence[str] = (),
                         announce: Announce = silent, progress: Progress | None = None,
                         cancelled: Cancelled | None = None, scale: Scale | None = None
                         ) -> tuple[Rating, Uncertainty, tuple[FileOrigin, ...]]:
    """Read an enquiry with all it refers to, rate, and find how sure its vapour margins are."""
    given = given_spreads(spreads)
    service = load_service(enquiry, pump=pump, practice=practice, announce=announce)
    rating = service.rate(announce=announce)
    chosen = None if case is None else case_named(rating, case)
    with runner_for(scale, service, "uncertainty", samples, seed, chosen, sorted(given.items())) as runner:
        found = uncertainty_of(rating, samples=samples, seed=seed, case=chosen, given=given, progress=progress,
                               cancelled=cancelled, runner=runner)
    return rating, found, service.files


def given_spreads(texts: Sequence[str]) -> Mapping[str, str]:
    """Spreads typed as ``name=low to high``, by name."""
    found = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals:
            raise InputError("has no equals sign", field="--spread", value=f'"{text}"',
                             do='write for example --spread "wall_heat_transfer_factor=-10 % to 20 %"')
        found[name.strip()] = value.strip()
    return found


def record_of_uncertainty(rating: Rating, study: Uncertainty, files: tuple[FileOrigin, ...] = ()) -> UncertaintyRecord:
    """Return the record."""
    return UncertaintyRecord(
        program_version=__version__, enquiry=rating.enquiry.title, pump=rating.pump.name,
        liquid=rating.situation.liquids[int(rating.situation.model_of[study.case])].name, files=file_records(files),
        samples=study.samples, seed=study.seed, index_points=study.index_points,
        cases=tuple(_case(one) for one in study.cases), case_of_causes=study.cases[study.case].name,
        causes=tuple(_cause(one) for one in study.causes), warnings=(*study.warnings, *rating.warnings),
        cautions=cautions_of(rating))


def _case(one: CaseUncertainty) -> CaseRecord:
    quantity = QUANTITIES[one.governing]
    return CaseRecord(
        name=one.name, governing=quantity.name, unit=quantity.kind.si.name, now=known(one.now), limit=known(one.limit),
        low=known(one.low), median=known(one.median), high=known(one.high), with_solution=one.closed, points=one.count,
        probabilities=tuple(
            ProbabilityRecord(name=each.name, title=each.title, limit=known(each.limit), holds=each.holds,
                              of=each.count, probability=each.share, low=each.low, high=each.high)
            for each in one.probabilities))


def _cause(one: Cause) -> CauseRecord:
    variable, spread = one.variable, one.spread
    return CauseRecord(
        name=variable.name, title=variable.title, meaning=variable.meaning, unit=variable.kind.si.name,
        nominal=variable.nominal, low=spread.low, high=spread.high, shape=spread.shape, source=spread.source,
        status=spread.status, spread_meaning=spread.meaning, first_index=one.first, first_interval=one.first_interval,
        total_index=one.total, total_interval=one.total_interval, range_left_when_known=one.left_when_known,
        worth_measuring=one.worth_measuring)
