"""The life-cycle comparison as a use case: enquiry and scope in, comparison and record out."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from wetpath import __version__
from wetpath.edge.files import load_document, loads_document
from wetpath.questions.lifecycle.scope import LifeCycleScope
from wetpath.questions.lifecycle.study import HAZARD_NOTES, Costs, LifeCycle, compare
from wetpath.services.demo import demo_folder
from wetpath.services.progress import Announce, silent
from wetpath.services.rating import FilePath, load_service
from wetpath.services.record import Entry

FORMAT: Literal["life-cycle-result/1"] = "life-cycle-result/1"


class CostsRecord(Entry):
    """Present values of one pump, in the currency of the scope."""

    purchase: float
    energy: float
    maintenance: float
    repairs: float
    downtime: float
    support: float
    emissions: float
    total: float


class BreakEvenRecord(Entry):
    """The value at which both cost the same; null where none in reach does."""

    name: str
    unit: str
    given: float | None
    value: float | None
    meaning: str


class SwingRecord(Entry):
    """Advantage of the seal-less pump with one input a quarter lower and a quarter higher."""

    name: str
    lower: float
    higher: float


class LifeCycleRecord(Entry):
    """A comparison."""

    wetpath: Literal["life-cycle-result/1"] = FORMAT
    program_version: str
    enquiry: str
    pump: str
    scope: str
    currency: str
    years: int
    seal_less: CostsRecord
    sealed: CostsRecord
    advantage: float = Field(description="of the seal-less pump over the years; negative: it costs more")
    energy_seal_less_j_per_year: float
    energy_sealed_j_per_year: float
    emitted_kg_per_year: float = Field(description="by the sealed pump, by the method stated")
    break_evens: tuple[BreakEvenRecord, ...]
    tornado: tuple[SwingRecord, ...]
    figures_from: dict[str, str]
    warnings: tuple[str, ...]
    hazard_notes: tuple[str, ...] = HAZARD_NOTES


def assumed_text() -> str:
    """The scope that is taken where no prices are given, as a file: invented figures, to be replaced by one's own."""
    return (demo_folder() / "life_cycle.toml").read_text(encoding="utf-8")


def scope_of_text(text: str = "") -> LifeCycleScope:
    """Read a scope; without one the figures assumed, and no emissions, for which the class of the service is not known.

    Raises
    ------
    FileProblems
        With all that is wrong, each at its field.
    """
    if text:
        return loads_document(text, LifeCycleScope)
    assumed = loads_document(assumed_text(), LifeCycleScope)
    return assumed.model_copy(update={
        "name": "Assumed figures", "emissions": None,
        "note": "No prices were given. Those assumed are invented, the same for every candidate; put in your own."})


def lifecycle_of_files(enquiry: FilePath, scope: FilePath, *, pump: FilePath | None = None,
                       practice: FilePath | None = None, announce: Announce = silent) -> LifeCycle:
    """Read an enquiry and a scope, rate, and compare."""
    read = load_document(scope, LifeCycleScope)
    service = load_service(enquiry, pump=pump, practice=practice, announce=announce)
    return compare(service.rate(announce=announce), read)


def record_of_lifecycle(found: LifeCycle) -> LifeCycleRecord:
    """Return the record of a comparison."""
    scope = found.scope
    return LifeCycleRecord(
        program_version=__version__, enquiry=found.rating.enquiry.title, pump=found.rating.pump.name, scope=scope.name,
        currency=scope.economy.currency, years=scope.economy.years, seal_less=_costs(found.seal_less),
        sealed=_costs(found.sealed), advantage=found.advantage, energy_seal_less_j_per_year=found.energy_seal_less,
        energy_sealed_j_per_year=found.energy_sealed, emitted_kg_per_year=found.emitted,
        break_evens=tuple(BreakEvenRecord(**vars(one)) for one in found.break_evens),
        tornado=tuple(SwingRecord(name=one.name, lower=one.lower, higher=one.higher) for one in found.tornado),
        figures_from={"seal-less": scope.seal_less.figures_from, "sealed": scope.sealed.figures_from},
        warnings=found.warnings)


def _costs(costs: Costs) -> CostsRecord:
    return CostsRecord(**vars(costs), total=costs.total)
