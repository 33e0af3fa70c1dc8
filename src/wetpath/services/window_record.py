"""The record of an operating window: typed, versioned, in SI units, absolute pressures; what is not known is null."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from wetpath.services.record import Entry

FORMAT: Literal["window/1"] = "window/1"

Row = tuple[float | None, ...]


class BasisRecord(Entry):
    """What the window stands on."""

    case: str
    liquid: str
    flow_m3_per_s: float
    temperature_k: float
    speed_rad_per_s: float
    suction_pressure_pa: float | None = Field(description="the same at every point; null where it is given above the "
                                                          "vapour pressure")
    above_vapour_pressure_pa: float | None


class CheckShareRecord(Entry):
    """One check over the grid."""

    name: str
    title: str
    excludes: float = Field(description="part of the points at which something is short and this check governs")
    share: tuple[Row, ...] = Field(description="margin over its scale, first axis the flow; negative: short; null: not "
                                               "asked or not known")


class MapRecord(Entry):
    """Every check over flow and temperature."""

    flow_m3_per_s: tuple[float, ...]
    temperature_k: tuple[float, ...]
    suction_pressure_pa: Row = Field(description="first axis the temperature")
    vapour_pressure_pa: Row
    holds: tuple[tuple[bool, ...], ...] = Field(description="first axis the flow")
    governing: tuple[tuple[int, ...], ...] = Field(description="index into checks; -1: not rated")
    share_that_holds: float | None
    unproved_points: int = Field(description="excluded because the circulation did not close, without proof")
    checks: tuple[CheckShareRecord, ...]


class SpreadRecord(Entry):
    """Factors at one end of the band."""

    feed_loss: float
    shell_loss: float
    wall_heat_transfer: float


class RequiredRecord(Entry):
    """Suction pressure that is asked for, first axis the flow; null where none within reach is enough."""

    flow_m3_per_s: tuple[float, ...]
    temperature_k: tuple[float, ...]
    by_wetted_path_pa: tuple[Row, ...]
    lowest_pa: tuple[Row, ...]
    highest_pa: tuple[Row, ...]
    as_npsh_available_m: tuple[Row, ...]
    demand_just_met: tuple[tuple[str, ...], ...]
    npsh3_m: tuple[Row, ...]
    npsh_with_margin_m: tuple[Row, ...]
    by_npsh_pa: tuple[Row, ...]
    spread_to_lowest: SpreadRecord
    spread_to_highest: SpreadRecord


class MetRecord(Entry):
    """A check that ceases to hold on the way, in SI of the direction."""

    name: str
    title: str
    at: float


class WayRecord(Entry):
    """One direction from the point of the case."""

    direction: str
    unit: str
    start: float
    end: float
    met: tuple[MetRecord, ...]


class WindowRecord(Entry):
    """An operating window."""

    wetpath: Literal["window/1"] = FORMAT
    program_version: str
    pump: str
    enquiry: str
    complete: bool
    basis: BasisRecord
    map: MapRecord
    required: RequiredRecord
    short_at_case: tuple[str, ...]
    bounds: tuple[WayRecord, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
