"""The record of a selection: offers and what fell out, typed, versioned, in SI units."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from wetpath import __version__
from wetpath.questions.selection.candidates import Candidate
from wetpath.questions.selection.study import FellOut, Selection
from wetpath.services.rating import FileOrigin
from wetpath.services.record import Entry
from wetpath.services.selection import CAUTIONS
from wetpath.services.sensitivity import FileRecord, file_records, known

FORMAT: Literal["selection/1"] = "selection/1"


class CandidateRecord(Entry):
    """What a candidate is."""

    pump: str = Field(description="its pump file in the catalogue, without ending")
    impeller_diameter: float = Field(description="[m]")
    speed: float = Field(description="of cases that give none of their own [rad/s]")
    shell: str = Field(description="material of the containment shell")
    magnet_length: float = Field(description="[m]")


class OfferRecord(Entry):
    """A candidate that passed the screening, rated in full."""

    candidate: CandidateRecord
    vapour_margin: float | None = Field(description="least pressure above vapour pressure, less the demand [Pa]")
    shaft_power: float | None = Field(description="mean over rated and normal cases, else over all [W]")
    npsh_margin: float | None = Field(description="least NPSH available, less what is needed [m]")
    score: float = Field(description="by the weights, 0 to 1")
    best_trade: bool = Field(description="none other that passed is as good in these three and better in one")
    holds: bool
    headline: str
    sentence: str
    failing: tuple[str, ...] = Field(description="checks that do not hold")
    warnings: tuple[str, ...]


class FellOutRecord(Entry):
    """Candidates that fell out by one check."""

    check: str
    title: str
    count: int
    nearest: CandidateRecord
    missing: float | None = Field(description="what the nearest lacks, SI; null: no liquid solution")
    unit: str
    case: str


class WeightsRecord(Entry):
    """Weights of the ranking."""

    margin: float
    energy: float
    npsh: float


class SelectionRecord(Entry):
    """A selection."""

    wetpath: Literal["selection/1"] = FORMAT
    program_version: str
    enquiry: str
    files: tuple[FileRecord, ...]
    weights: WeightsRecord
    screening: tuple[str, ...] = Field(description="names of the checks of the screening")
    candidates: int = Field(description="screened")
    pump_files_left: int = Field(description="not looked at because it was stopped")
    passed: int
    rated: int
    stopped: bool
    holds: bool = Field(description="some offer holds in every check")
    offers: tuple[OfferRecord, ...]
    fell_out: tuple[FellOutRecord, ...]
    fell_out_in_full: tuple[FellOutRecord, ...] = Field(description="among those rated, by the check that governs")
    not_built: tuple[str, ...]
    cautions: tuple[str, ...] = CAUTIONS


def record_of_selection(selection: Selection, files: tuple[FileOrigin, ...] = ()) -> SelectionRecord:
    """Return the record."""
    found, weights = selection.screening, selection.weights
    return SelectionRecord(
        program_version=__version__, enquiry=selection.enquiry.title, files=file_records(files),
        weights=WeightsRecord(margin=weights.margin, energy=weights.energy, npsh=weights.npsh), screening=found.names,
        candidates=len(found.candidates), pump_files_left=found.left, passed=int(found.passed.sum()),
        rated=selection.rated, stopped=selection.stopped, holds=selection.holds,
        offers=tuple(
            OfferRecord(candidate=_candidate(one.candidate), vapour_margin=known(found.vapour_margin[one.number]),
                        shaft_power=known(found.power[one.number]), npsh_margin=known(found.npsh_margin[one.number]),
                        score=one.score, best_trade=one.best_trade, holds=one.rating.holds,
                        headline=one.rating.verdict.headline, sentence=one.rating.verdict.sentence,
                        failing=one.rating.verdict.failing, warnings=one.rating.warnings)
            for one in selection.offers),
        fell_out=tuple(map(_fell_out, selection.fell_out)),
        fell_out_in_full=tuple(map(_fell_out, selection.fell_out_in_full)), not_built=found.refused)


def _candidate(one: Candidate) -> CandidateRecord:
    return CandidateRecord(pump=one.build.entry.name, impeller_diameter=one.diameter, speed=one.speed,
                           shell=one.build.material,
                           magnet_length=one.build.pump.inner_ring.length)


def _fell_out(one: FellOut) -> FellOutRecord:
    return FellOutRecord(check=one.check, title=one.title, count=one.count, nearest=_candidate(one.nearest),
                         missing=known(one.missing), unit=one.kind.si.name, case=one.case_name)
