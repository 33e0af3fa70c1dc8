"""The record of the remedies of a rating: typed, versioned, in SI units; what is not known is null."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from wetpath.services.record import Entry
from wetpath.services.sensitivity import FileRecord

FORMAT: Literal["remedies/1"] = "remedies/1"


class WorseRecord(Entry):
    """A check that loses by a remedy."""

    name: str
    title: str
    unit: str
    margin_before: float | None
    margin: float | None
    share_before: float | None
    share: float | None
    broken: bool = Field(description="it held before and does not any more")


class RemedyRecord(Entry):
    """A remedy that was tried."""

    title: str
    practicality: str
    cost: str
    gain: float | None = Field(description="of the margin of the check that governs as offered, in its unit")
    gain_share: float | None = Field(description="the same over the scale of the check")
    margin: float | None
    share: float | None
    not_asked: bool = Field(description="that check is asked of no case any more")
    makes_it_hold: bool = Field(description="every check holds; where it holds as offered, nothing is tight any more")
    headline: str
    governing: str
    sentence: str
    worse: tuple[WorseRecord, ...]
    warnings: tuple[str, ...] = Field(description="that the rating as offered does not have")


class NotOfferedRecord(Entry):
    """A remedy that is not offered."""

    title: str
    why: str


class RemediesRecord(Entry):
    """Remedies, the best first."""

    wetpath: Literal["remedies/1"] = FORMAT
    program_version: str
    enquiry: str
    pump: str
    liquid: str
    files: tuple[FileRecord, ...]
    headline: str
    governing: str
    sentence: str
    unit: str = Field(description="of the margin of the governing check")
    margin: float | None
    holds: bool
    solved: bool
    rated: int
    remedies: tuple[RemedyRecord, ...]
    without_gain: tuple[str, ...]
    not_offered: tuple[NotOfferedRecord, ...]
    cautions: tuple[str, ...]
