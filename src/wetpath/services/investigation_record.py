"""The record of an investigation: typed, versioned, in SI units; what is not known is null."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from wetpath.services.record import Entry
from wetpath.services.sensitivity import FileRecord

FORMAT: Literal["investigation/1"] = "investigation/1"


class PhysicsRecord(Entry):
    """A test of the physics."""

    name: str
    mechanism: str
    question: str
    says: str
    sentence: str


class CellRecord(Entry):
    """What an item of evidence says of one mechanism."""

    mechanism: str
    likelihood: str = Field(description="word for how likely it is seen when that mechanism was at work")
    ratio: float = Field(description="likelihood of what was found over its mean over all mechanisms")
    tells: str = Field(description="explains, contradicts, says nothing")


class ItemRecord(Entry):
    """One item of evidence."""

    name: str
    title: str
    group: str
    seen: bool
    weight: float
    counted: bool = Field(description="false: another item of its group counts for both")
    tag: str = Field(description="where its words come from")
    note: str
    cells: tuple[CellRecord, ...]


class MechanismRecord(Entry):
    """One mechanism."""

    name: str
    title: str
    how: str
    prior: float
    share: float
    low: float
    high: float
    log_likelihood: float = Field(description="natural logarithm of the likelihood of all that counts")
    proven: bool = Field(description="has passed a test of the physics; else its share stays at 95 % or below")
    power_predicted: tuple[float, float] | None = Field(description="power when it begins over the power before")
    power_fits: bool | None
    remedies: tuple[str, ...]


class LookRecord(Entry):
    """A finding not looked at yet."""

    name: str
    title: str
    part: str
    information: float = Field(description="expected between the two leading mechanisms, in bit")
    odds_if_seen: float = Field(description="of the first against the second mechanism then")
    odds_if_not_there: float


class InvestigationRecord(Entry):
    """An investigation, the most probable mechanism first."""

    wetpath: Literal["investigation/1"] = FORMAT
    program_version: str
    title: str
    enquiry: str
    pump: str
    liquid: str
    case: str
    files: tuple[FileRecord, ...]
    standing: str
    sentence: str
    ratio: float = Field(description="likelihood ratio of the evidence for the first against the second, without prior")
    support: str
    support_scale: str = Field(description="source of the words of support")
    power_recorded: float | None = Field(description="power after over power before")
    mechanisms: tuple[MechanismRecord, ...]
    items: tuple[ItemRecord, ...]
    physics: tuple[PhysicsRecord, ...]
    looks: tuple[LookRecord, ...]
    limits: tuple[str, ...]
    warnings: tuple[str, ...] = Field(description="of the rating that the tests of the physics stand on")
    cautions: tuple[str, ...]
