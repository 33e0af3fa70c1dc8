"""How a fleet is running, as a record: SI, absolute pressures, the worst pump first."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from pydantic import Field

from wetpath import __version__
from wetpath.services.fleet import CAUTIONS, FleetState, PumpState, fits, forecast_words
from wetpath.services.record import Entry
from wetpath.services.sensitivity import known

FORMAT: Literal["running/1"] = "running/1"


class ForecastRecord(Entry):
    """When the margin reaches its limit, at the slope and at the ends of its interval of 95 %."""

    limit_pa: float = Field(description="the demand, or 0 where that is missed already: the liquid is lost")
    days: float
    soonest_days: float
    latest_days: float


class TrendRecord(Entry):
    """Theil and Sen's slope of the daily medians, with its interval."""

    window_days: float
    points: int
    slope_pa_per_day: float
    low_pa_per_day: float
    high_pa_per_day: float


class FitRecord(Entry):
    """One explanation of the signals."""

    title: str
    share_of_likelihood: float


class RunningPumpRecord(Entry):
    """One pump."""

    tag: str
    site: str
    service: str
    status: str
    seen: bool = Field(description="noted as seen, and nothing has moved since")
    why: tuple[str, ...]
    last_reading: str | None = Field(description="UTC, ISO 8601; to the hour")
    last_margin: str | None
    margin_pa: float | None
    half_range_pa: float | None = Field(description="half of the range of 95 %")
    demand_pa: float | None
    station: str
    margin_30_days_ago_pa: float | None
    trends: tuple[TrendRecord, ...]
    forecast: ForecastRecord | None
    outlook: str
    fits: tuple[FitRecord, ...]
    open_alarms: tuple[str, ...]
    signals_missing: tuple[str, ...]


class FleetRecord(Entry):
    """A fleet at a moment."""

    wetpath: Literal["running/1"] = FORMAT
    program_version: str
    fleet: str
    at: str
    answer: str
    pumps: tuple[RunningPumpRecord, ...]
    problems: dict[str, str] = Field(description="pumps that could not be watched, and why")
    cautions: tuple[str, ...]


def record_of_fleet(state: FleetState, problems: dict[str, str] | None = None) -> FleetRecord:
    """Return the record."""
    return FleetRecord(program_version=__version__, fleet=state.fleet.file.name, at=_iso(state.at) or "",
                       answer=state.sentence, pumps=tuple(_pump(one) for one in state.pumps),
                       problems=problems or {}, cautions=CAUTIONS)


def _pump(one: PumpState) -> RunningPumpRecord:
    ahead = None if one.forecast is None else ForecastRecord(
        limit_pa=one.to_limit, days=one.forecast.days, soonest_days=one.forecast.soonest,
        latest_days=one.forecast.latest)
    return RunningPumpRecord(
        tag=one.pump.tag, site=one.pump.site, service=one.pump.service, status=one.status, seen=one.quiet, why=one.why,
        last_reading=_iso(one.at), last_margin=_iso(one.margin_at), margin_pa=known(one.margin),
        half_range_pa=known(one.half_range), demand_pa=known(one.demand), station=one.station,
        margin_30_days_ago_pa=known(one.came_from),
        trends=tuple(TrendRecord(window_days=each.window, points=each.points, slope_pa_per_day=each.slope,
                                 low_pa_per_day=each.low, high_pa_per_day=each.high) for each in one.trends),
        forecast=ahead, outlook=forecast_words(one),
        fits=tuple(FitRecord(title=title, share_of_likelihood=share) for share, title, _ in fits(one)),
        open_alarms=tuple(each.text for each in one.alarms), signals_missing=one.missing)


def _iso(at: datetime | None) -> str | None:
    return None if at is None else at.isoformat(timespec="seconds").replace("+00:00", "Z")
