"""The record of a rating: everything it says, typed, versioned, in SI units, for machines and for keeping."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from wetpath.rating.enquiry import Role
from wetpath.services.record_states import (
    BearingsRecord,
    DriverRecord,
    Entry,
    FlowLimitsRecord,
    ShellRecord,
    StandstillRecord,
    StartRecord,
    SuctionRecord,
    SurfacesRecord,
)
from wetpath.services.standing import Standing

FORMAT: Literal["rating/1"] = "rating/1"


class InputRecord(Entry):
    """One input of the rating, whole, so that it can be rated again."""

    role: Literal["enquiry", "pump", "liquid", "practice"]
    file: str | None = Field(description="name of the file it was read from; null when it came from none")
    sha256: str = Field(description="of the bytes of the file; without a file, of the content below")
    content: str | None = Field(description="the input as a TOML file of its kind, names of other files taken out; "
                                            "null for a liquid or a practice, which have tables of their own")


class LimitRecord(Entry):
    """One limit of the practice in force."""

    name: str
    value: float = Field(description="in the SI unit of its quantity")
    quantity: str
    unit: str = Field(description="SI unit of the value")
    sense: Literal["at least", "at most", "break"]
    source: str
    status: str


class PracticeRecord(Entry):
    """The practice in force."""

    name: str
    limits: tuple[LimitRecord, ...]


class PropertyRecord(Entry):
    """Where one property of the liquid comes from, and how far the table is from it."""

    name: str
    text: str
    source: str
    status: str


class LiquidRecord(Entry):
    """One liquid, its sources and the range of its table."""

    called: str = Field(description="what the cases call it; empty for the liquid of the enquiry")
    name: str
    kind: str
    cas_number: str | None
    molar_mass_kg_per_mol: float | None
    content_sha256: str
    lowest_temperature_k: float
    highest_temperature_k: float
    vapour_pressure_known: bool
    table_errors: dict[str, float | None] = Field(description="largest relative differences from the source")
    limits_k: dict[str, float | None] = Field(description="temperatures it must not reach")
    properties: tuple[PropertyRecord, ...]


class OperatingPointRecord(Entry):
    """Hydraulics of one case."""

    flow_m3_per_s: float
    temperature_k: float
    suction_pressure_pa: float
    speed_rad_per_s: float
    density_kg_per_m3: float
    head_m: float
    head_asked_m: float | None
    shut_off_head_m: float
    efficiency: float = Field(description="of impeller and casing, without the losses of the coupling")
    npsh_required_m: float = Field(description="NPSH3")
    npsh_available_m: float | None
    best_flow_m3_per_s: float
    flow_over_best_flow: float


class LossesRecord(Entry):
    """Powers from the liquid pumped to the motor shaft."""

    hydraulic_w: float
    wet_end_w: float
    eddy_w: float
    annulus_drag_w: float
    disc_drag_w: float
    journals_w: float
    thrust_faces_w: float
    dry_side_w: float
    shaft_w: float
    efficiency: float
    eddy_to_air_w: float
    circulation_heat_w: float


class CouplingRecord(Entry):
    """The magnetic coupling in one case."""

    torque_n_m: float
    load_angle_electrical_deg: float
    load_angle_mechanical_deg: float
    pull_out_torque_n_m: float
    pull_out_over_torque: float
    inner_magnets_k: float
    outer_magnets_k: float


class BranchRecord(Entry):
    """One passage of the circulation; film and grooves of a bearing apart."""

    name: str
    kind: str = Field(description="kind of passage, as the pump file calls it")
    bearing: str | None = Field(description="name of the bearing it passes; null for other passages")
    start: str
    end: str
    flow_kg_per_s: float = Field(description="negative: from end to start")
    heat_w: float = Field(description="taken up by the liquid")


class StationRecord(Entry):
    """One station of the trace."""

    name: str
    title: str
    pressure_pa: float
    temperature_k: float
    vapour_pressure_pa: float | None
    margin_pa: float | None
    margin_m: float | None
    margin_k: float | None
    wall_temperature_k: float | None = Field(description="shell wall beside it; null away from the annulus")
    wall_margin_k: float | None
    flow_kg_per_s: float
    standing: Standing = Field(description="of the worse of its two margins against the practice")
    reason: str = Field(description="why a margin is null; empty where none is")


class AnnulusCellRecord(Entry):
    """One cell of the annulus under the magnets."""

    along: float = Field(description="middle of the cell, as a share of the way from start to end of the branch")
    pressure_pa: float = Field(description="where the liquid leaves the cell")
    temperature_k: float
    wall_temperature_k: float
    wall_margin_k: float | None
    heat_to_liquid_w: float
    heat_to_air_w: float
    standing: Standing = Field(description="of the wall's margin to boiling against the practice")


class VapourCurveRecord(Entry):
    """Vapour pressure of the liquid over temperatures around those of the trace; empty where it is not known."""

    temperature_k: tuple[float, ...]
    pressure_pa: tuple[float, ...]


class WallRecord(Entry):
    """The shell wall under the magnets where its margin is least, or, that being unknown, where it is hottest."""

    along: float = Field(description="share of the way through the annulus, in flow order")
    temperature_k: float
    margin_k: float | None


class MissingRecord(Entry):
    """What is missing to one aim; 0: nothing, null: see reason."""

    suction_pressure_pa: float | None
    cooling_k: float | None
    reason: str


class CaseRecord(Entry):
    """Everything of one operating case."""

    name: str
    role: Role
    liquid: str = Field(description="name of its liquid")
    outcome: str
    outcome_words: str
    note: str = Field(description="what must be known of the values of this case; mostly empty")
    lost_at: str | None = Field(description="station at which liquid is lost first as the heat is turned up")
    lost_at_share_of_heat: float | None
    operating_point: OperatingPointRecord
    losses: LossesRecord
    coupling: CouplingRecord
    branches: tuple[BranchRecord, ...]
    trace: tuple[StationRecord, ...]
    annulus: tuple[AnnulusCellRecord, ...] = Field(description="in the direction of the branch")
    wall: WallRecord
    vapour_curve: VapourCurveRecord
    missing_to_liquid: MissingRecord
    missing_to_practice: MissingRecord
    flow_limits: FlowLimitsRecord
    suction: SuctionRecord
    bearings: BearingsRecord
    start: StartRecord
    shell: ShellRecord
    driver: DriverRecord
    surfaces: SurfacesRecord
    standstill: StandstillRecord


class CheckCaseRecord(Entry):
    """One check in one case, in the SI unit of the check."""

    case: str
    asked: bool
    actual: float | None
    limit: float | None
    margin: float | None
    share: float | None = Field(description="margin over the scale of the demand; right is better")
    holds: bool
    standing: Standing
    where: str
    reason: str = Field(description="why a value is null; empty where none is")


class CheckRecord(Entry):
    """One check over all cases."""

    name: str
    title: str
    subject: str
    quantity: str
    unit: str
    margin_quantity: str
    margin_unit: str
    sense: Literal["at least", "at most"]
    source: str
    status: str
    meaning: str
    remedy: str
    holds: bool
    worst_case: str
    cases: tuple[CheckCaseRecord, ...]


class VerdictRecord(Entry):
    """What governs."""

    headline: str
    sentence: str
    holds: bool
    check: str
    case: str
    failing: tuple[str, ...]


class SourceRecord(Entry):
    """One source and what it is used for."""

    key: str
    text: str
    kind: str
    statuses: tuple[str, ...]
    used_for: tuple[str, ...]


class Record(Entry):
    """One rating."""

    wetpath: Literal["rating/1"] = FORMAT
    program_version: str
    title: str
    pump: str
    verdict: VerdictRecord
    cases: tuple[CaseRecord, ...]
    checks: tuple[CheckRecord, ...]
    warnings: tuple[str, ...] = Field(description="limits of validity that were crossed, and other findings")
    cautions: tuple[str, ...]
    liquids: tuple[LiquidRecord, ...] = Field(description="that of the enquiry first")
    practice: PracticeRecord
    sources: tuple[SourceRecord, ...]
    inputs: tuple[InputRecord, ...]
