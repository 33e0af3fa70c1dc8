"""What changes are worth, as a use case: enquiry in, worth of every input and its record out."""

from __future__ import annotations

import math
import os
from typing import Literal

from pydantic import Field

from wetpath import __version__
from wetpath.errors import InputError
from wetpath.questions.sensitivity.evaluate import QUANTITIES
from wetpath.questions.sensitivity.worth import Effect, Worth, worth_of
from wetpath.rating.rate import Rating
from wetpath.services.cautions import cautions_of
from wetpath.services.progress import Announce, silent
from wetpath.services.rating import FileOrigin, load_service
from wetpath.services.record import Entry

FilePath = str | os.PathLike[str]
FORMAT: Literal["worth/1"] = "worth/1"


class FileRecord(Entry):
    """A file that took part."""

    role: str
    name: str
    sha256: str


class QuantityRecord(Entry):
    """A result that is followed."""

    name: str
    title: str
    unit: str
    now: float | None
    limit: float | None = Field(description="null where none is asked")
    where: str


class EffectOnRecord(Entry):
    """What one input does to one quantity."""

    quantity: str
    slope: float | None = Field(description="in SI units of the quantity per SI unit of the input, at the place that "
                                            "governs now")
    slope_error: float | None = Field(description="estimate of the error of the slope")
    by_change: float | None = Field(description="what the change does, solved anew, at the worst place then; null: no "
                                                "liquid solution")
    bent: bool = Field(description="by_change is not what the slope says")


class EffectRecord(Entry):
    """One input."""

    name: str
    title: str
    group: Literal["case", "pump", "model"]
    meaning: str
    unit: str
    nominal: float
    change: float
    effects: tuple[EffectOnRecord, ...]


class WorthRecord(Entry):
    """Worth of all inputs in one operating case, that which moves the governing margin most first."""

    wetpath: Literal["worth/1"] = FORMAT
    program_version: str
    enquiry: str
    pump: str
    liquid: str
    files: tuple[FileRecord, ...]
    case: str
    governing: str
    quantities: tuple[QuantityRecord, ...]
    inputs: tuple[EffectRecord, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]


def worth_of_files(enquiry: FilePath, *, pump: FilePath | None = None, practice: FilePath | None = None,
                   case: str | None = None, announce: Announce = silent
                   ) -> tuple[Rating, Worth, tuple[FileOrigin, ...]]:
    """Read an enquiry with all it refers to, rate, and find what changes are worth in one case."""
    service = load_service(enquiry, pump=pump, practice=practice, announce=announce)
    rating = service.rate(announce=announce)
    return rating, worth_of(rating, None if case is None else case_named(rating, case)), service.files


def case_named(rating: Rating, name: str) -> int:
    """Number of a case by its name or the beginning of it."""
    names = rating.case_names
    if name in names:
        return names.index(name)
    near = [number for number, one in enumerate(names) if one.casefold().startswith(name.casefold())]
    if len(near) != 1:
        raise InputError(f"is not a case of this enquiry; its cases: {', '.join(names)}", field="--case",
                         value=f'"{name}"')
    return near[0]


def record_of_worth(rating: Rating, worth: Worth, files: tuple[FileOrigin, ...] = ()) -> WorthRecord:
    """Return the record."""
    return WorthRecord(
        program_version=__version__, enquiry=rating.enquiry.title, pump=rating.pump.name,
        liquid=rating.situation.liquids[int(rating.situation.model_of[worth.case])].name, files=file_records(files),
        case=worth.case_name, governing=QUANTITIES[worth.governing].name,
        quantities=tuple(
            QuantityRecord(name=one.name, title=one.title, unit=one.kind.si.name, now=known(now), limit=known(limit),
                           where=where)
            for one, now, limit, where in zip(QUANTITIES, worth.now, worth.limits, worth.where, strict=True)),
        inputs=tuple(_effect(one) for one in worth.effects), warnings=(*worth.warnings, *rating.warnings),
        cautions=cautions_of(rating))


def file_records(files: tuple[FileOrigin, ...]) -> tuple[FileRecord, ...]:
    """Records of files that took part."""
    return tuple(FileRecord(role=one.role, name=one.name, sha256=one.sha256) for one in files)


def known(value: float) -> float | None:
    """A finite number, or null."""
    return float(value) if math.isfinite(value) else None


def _effect(one: Effect) -> EffectRecord:
    variable = one.variable
    return EffectRecord(
        name=variable.name, title=variable.title, group=variable.group, meaning=variable.meaning,
        unit=variable.kind.si.name, nominal=variable.nominal, change=variable.worth,
        effects=tuple(
            EffectOnRecord(quantity=quantity.name, slope=known(slope), slope_error=known(error),
                           by_change=known(change), bent=bool(bent))
            for quantity, slope, error, change, bent in zip(QUANTITIES, one.slope, one.slope_error, one.change,
                                                            one.bent, strict=True)))
