"""How a fleet is running, out of its history: every pump with its margin, trend and forecast, the worst first."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.files import load_document
from wetpath.fleet.hours import HOUR, SIGNAL_NAMES
from wetpath.fleet.trend import Forecast, Trend, daily, soonest_of, trends_of
from wetpath.services.demo import demo_folder
from wetpath.services.fleet_file import FleetFile, FleetPump
from wetpath.services.fleet_replay import Fleet, moment
from wetpath.services.standing import Standing, standing
from wetpath.store.accounts import User
from wetpath.store.history import (
    KeptAlarm,
    Note,
    Watch,
    alarms_of_all,
    hours_of_all,
    note_seen,
    notes_of_all,
    watches,
)
from wetpath.store.opening import Store

Array = NDArray[np.float64]

DAY = 86400.0
#: Days behind the page, and those within which a forecast makes a pump one to look at. Common practice, no source.
LOOKS_BACK, LOOKS_AHEAD = 30.0, 90.0
#: Days at the beginning of that time whose median is where the margin came from.
FIRST_DAYS = 3
#: Most rows of one page; above that pumps are told in groups.
MOST_ROWS = 60
CAUTIONS = (
    "A margin inferred from ordinary signals is no measurement and no safety function. Trips of the plant stay as they "
    "are.",
    "A forecast takes what was to go on as it went. It is a reason to look, never a permission to wait.",
    "The model knows the pump as rated. After an overhaul, a new impeller or another liquid rate it anew.",
    "Work on a pump only under the permits of the plant, its own procedures and local codes.")
#: What to do where a cause is named. Common practice, no source.
ADVICE: Mapping[str, str] = {
    "suction_falling": "Look at suction valve, strainer, and level and pressure of the vessel",
    "flow_falling": "Look whether a valve behind the pump is closing; keep above the least flow of the rating",
    "hot_slug": "Look where the hot liquid comes from",
    "feed_plugging": "Read the shell temperature against its first days; at the next stop clean feed and return "
                    "passages",
    "head_loss": "Compare head with the works test; at the next stop look at impeller and wear rings",
    "power_gain": "Look for rubbing and for a thicker liquid before the pump runs on",
    "gas_entrained": "Look for gas at the suction: level, vortex, leaking flanges below atmospheric pressure",
    "wrong_liquid": "Have a sample of the liquid analysed"}
_STOPPED_HOURS = 1


class Status(StrEnum):
    """What a pump asks of those who look at it; the worst first."""

    SHORT = "short of margin"
    LOOK = "to look at"
    WELL = "well"
    STOPPED = "stopped"
    SILENT = "no data"


@dataclass(frozen=True, eq=False)
class PumpState:
    """One pump of a fleet now; pressures in Pa."""

    pump: FleetPump
    status: Status
    why: tuple[str, ...] = ()
    watch: Watch | None = None
    at: datetime | None = None                   # end of the last hour with readings
    margin_at: datetime | None = None            # end of the last hour with a margin
    margin: float = math.nan
    half_range: float = math.nan
    demand: float = math.nan
    station: str = ""
    came_from: float = math.nan                  # margin 30 days ago
    trends: tuple[Trend, ...] = ()
    trend: Trend | None = None                   # that of the forecast, or over the longest window
    forecast: Forecast | None = None
    to_limit: float = math.nan                   # of the forecast: the demand, or 0 where that is missed already
    alarms: tuple[KeptAlarm, ...] = ()           # open
    note: Note | None = None
    quiet: bool = False                          # noted as seen, and nothing has moved since
    hours: tuple[Mapping[str, Any], ...] = field(default=(), repr=False)

    @property
    def standing(self) -> Standing:
        """How the margin stands against its demand; not known where there is none now."""
        if self.status in (Status.STOPPED, Status.SILENT) or math.isnan(self.margin):
            return Standing.UNKNOWN
        return standing((self.margin - self.demand) / abs(self.demand or 1e5))

    @property
    def moved(self) -> float:
        """Movement of the margin in 30 days where its range does not explain it; else 0."""
        by = self.margin - self.came_from
        return by if math.isfinite(by) and abs(by) > self.half_range else 0.0

    @property
    def signals(self) -> dict[str, datetime]:
        """Signals that were measured in these days, with the end of the last hour that has them."""
        found = {}
        for name in SIGNAL_NAMES:
            last = next((one["hour"] for one in reversed(self.hours) if one[name] is not None), None)
            if last is not None:
                found[name] = last + timedelta(seconds=HOUR)
        return found

    @property
    def missing(self) -> tuple[str, ...]:
        """Signals that could help and are not measured while it runs."""
        if not any(one["running"] for one in self.hours):
            return ()
        there = self.signals
        return tuple(name for name in SIGNAL_NAMES if name not in there)


@dataclass(frozen=True, eq=False)
class FleetState:
    """A fleet as it is running at a moment, the worst pump first."""

    fleet: Fleet
    at: datetime
    pumps: tuple[PumpState, ...]

    def count(self, status: Status, *, quiet: bool = False) -> int:
        """Pumps of a status; those to look at are counted apart once they were noted as seen."""
        return sum(one.status is status and (status is not Status.LOOK or one.quiet is quiet) for one in self.pumps)

    @property
    def sentence(self) -> str:
        """The counts, as the answer."""
        told = [f"{number} {'pump ' if number == 1 else 'pumps '}{Status.SHORT}" if status is Status.SHORT
                else f"{number} {status}" for status in Status if (number := self.count(status))]
        if seen := self.count(Status.LOOK, quiet=True):
            told.insert(min(len(told), 2), f"{seen} seen")
        return ", ".join(told) if told else "no pumps"

    def of(self, tag: str) -> PumpState | None:
        """A pump by its tag."""
        return next((one for one in self.pumps if one.pump.tag == tag), None)


def load_fleet(path: Path) -> Fleet:
    """Read a fleet file."""
    return Fleet(load_document(path, FleetFile), path)


def demo_fleet() -> Path:
    """The invented fleet that comes with the program."""
    return demo_folder() / "fleets" / "two_works.toml"


def fleet_state(store: Store, fleet: Fleet) -> FleetState:
    """How every pump of a fleet runs, out of its history."""
    now = fleet.until
    kept = {one.pump: one for one in watches(store, fleet.file.name)}
    some = tuple(kept.values())
    since = moment(now - LOOKS_BACK * DAY)
    hours, alarms, notes = hours_of_all(store, some, since), alarms_of_all(store, some), notes_of_all(store, some)
    pumps = []
    for pump in fleet.file.pumps:
        watch = kept.get(pump.tag)
        if watch is None:
            pumps.append(PumpState(pump, Status.SILENT, ("not watched yet",)))
        else:
            pumps.append(_state(pump, watch, hours.get(watch.id, ()), alarms.get(watch.id, ()), notes.get(watch.id),
                                now, fleet.file.old_after))
    order = list(Status)
    return FleetState(fleet, moment(now), tuple(sorted(
        pumps, key=lambda one: (order.index(one.status), one.quiet, _last(one.margin), one.pump.tag))))


def see(store: Store, user: User, state: PumpState) -> Note:
    """Note that a pump was seen: it is quiet until its margin moves by more than its range, or an alarm is new."""
    assert state.watch is not None
    return note_seen(store, user, state.watch, margin=_or_none(state.margin), half_range=_or_none(state.half_range),
                     alarms=[_name_of(one) for one in state.alarms])


def fits(state: PumpState) -> tuple[tuple[float, str, str], ...]:
    """What fits the signals of the newest open alarm that names something: share of the likelihood, title, evidence."""
    for alarm in state.alarms:
        suspects = alarm.details.get("suspects") or ()
        if suspects:
            gains = np.array([float(one["gain"]) for one in suspects])
            shares = np.exp(gains - gains.max())
            shares /= shares.sum()
            evidence = "; ".join(alarm.details.get("evidence") or ())
            return tuple((float(share), str(one["title"]), evidence if place == 0 else "")
                         for place, (share, one) in enumerate(zip(shares, suspects, strict=True)) if share >= 0.01)
    return ()


def next_steps(state: PumpState, figure: Callable[[float], str]) -> tuple[str, ...]:
    """What to do next, in order; ``figure`` writes a difference of pressure with its unit."""
    steps = []
    if state.status is Status.SHORT or (math.isfinite(state.margin) and state.margin < state.demand):
        steps.append(f"Raise the suction pressure by {figure(state.demand - state.margin)}: as long as flow and "
                     "temperature stay, the margin comes back one for one")
    named = {str(one["name"]) for alarm in state.alarms for one in (alarm.details.get("suspects") or ())[:2]}
    words = " ".join(alarm.text for alarm in state.alarms)
    named |= {name for name, title in _TITLES.items() if title in words}
    steps += [advice for name, advice in ADVICE.items() if name in named]
    if any(bool(one["instrument"]) for alarm in state.alarms for one in (alarm.details.get("suspects") or ())[:1]):
        steps.append("Check that instrument against another one before anything else is changed")
    if state.status is Status.SILENT:
        steps.append("Look why no reading comes: historian, network, names of the tags")
    if state.forecast is not None and not steps:
        steps.append("Look what has moved since the margin began to fall, before it is at its limit")
    if state.missing and state.status is not Status.WELL:
        steps.append(f"Measure {_listed(state.missing[:2])}: causes can be told apart with it")
    return tuple(steps)


#: Words of the watch by which a move of the operating point is known again.
_TITLES = {"suction_falling": "suction valve or strainer closing", "flow_falling": "discharge valve closing",
           "hot_slug": "hot liquid coming in"}


def movements(state: PumpState) -> tuple[tuple[str, float, float], ...]:
    """Means of the measured signals in the first three and the last day of the time looked back: name, then, now."""
    if not state.hours:
        return ()
    begins, ends = state.hours[0]["hour"], state.hours[-1]["hour"]
    found = []
    for name in SIGNAL_NAMES:
        first = [one[name] for one in state.hours
                 if one["running"] and one[name] is not None and one["hour"] < begins + timedelta(days=FIRST_DAYS)]
        last = [one[name] for one in state.hours
                if one["running"] and one[name] is not None and one["hour"] > ends - timedelta(days=1)]
        if first and last:
            found.append((name, float(np.median(first)), float(np.median(last))))
    return tuple(found)


def forecast_words(state: PumpState) -> str:
    """The trend in words: "reaches the demand in 41 days (25 to 90)", or that there is none beyond its range."""
    if state.forecast is not None:
        one = state.forecast
        what = "reaches the demand" if state.to_limit > 0 else "the liquid is lost"
        latest = f"{one.latest:.0f}" if one.latest < 1000 else "more than 1000"
        return f"{what} in {one.days:.0f} days ({one.soonest:.0f} to {latest})"
    if state.trend is None:
        return "too few days for a trend"
    if state.trend.moves < 0:
        return "falling"
    return "rising" if state.trend.moves > 0 else "no trend beyond its range"


def _state(pump: FleetPump, watch: Watch, hours: tuple[dict[str, Any], ...], alarms: Sequence[KeptAlarm],
           note: Note | None, now: float, old_after: float) -> PumpState:
    demand = float(watch.about["margin_asked"])
    opened = tuple(one for one in alarms if one.closed is None)
    if not hours:
        return PumpState(pump, Status.SILENT, ("no reading in 30 days",), watch, demand=demand, alarms=opened,
                         note=note)
    end = timedelta(seconds=HOUR)
    at = hours[-1]["hour"] + end
    time = np.array([one["hour"].timestamp() for one in hours])
    level = np.array([math.nan if one["margin"] is None else one["margin"] for one in hours])
    known = np.flatnonzero(np.isfinite(level))
    day, medians = daily(time, level)
    today = now / DAY
    margin, half, station, margin_at = math.nan, math.nan, "", None
    if known.size:
        last = hours[int(known[-1])]
        margin, station, margin_at = float(last["margin"]), str(last["station"]), last["hour"] + end
        half = math.nan if last["half_range"] is None else float(last["half_range"])
    first = medians[day < today - LOOKS_BACK + FIRST_DAYS]
    came_from = float(np.median(first)) if first.size else math.nan
    silent = now - at.timestamp() > old_after
    stands = not silent and not any(one["running"] for one in hours[-_STOPPED_HOURS:])
    trends = () if silent or stands else trends_of(day, medians, today)
    limit = demand if margin >= demand else 0.0
    ahead = soonest_of(trends, limit, today)
    trend = ahead[0] if ahead else trends[0] if trends else None
    status, why = _judged(silent, stands, margin, half, demand, opened, ahead[1] if ahead else None, hours[-1])
    quiet = status in (Status.SHORT, Status.LOOK) and note is not None and _still(note, margin, opened)
    return PumpState(pump, status, why, watch, at, margin_at, margin, half, demand, station, came_from, trends, trend,
                     ahead[1] if ahead else None, limit, opened, note, quiet, hours)


def _judged(silent: bool, stands: bool, margin: float, half: float, demand: float, opened: Sequence[KeptAlarm],
            ahead: Forecast | None, last: Mapping[str, Any]) -> tuple[Status, tuple[str, ...]]:
    """Status with its reasons."""
    if silent:
        return Status.SILENT, ()
    if stands:
        return Status.STOPPED, ()
    if margin < demand:
        return Status.SHORT, ("margin below the demand",)
    why = []
    if not math.isfinite(margin) or last["margin"] is None:
        why.append("no margin can be told: the pump has left the conditions of its enquiry")
    elif margin - half < demand:
        why.append("the demand lies within the range of the margin")
    if ahead is not None and ahead.soonest < LOOKS_AHEAD:
        why.append("the margin falls towards the demand")
    why += [one.text for one in opened]
    return (Status.LOOK, tuple(why)) if why else (Status.WELL, ())


def _still(note: Note, margin: float, opened: Sequence[KeptAlarm]) -> bool:
    """Whether nothing has moved since a note: the margin within its range of then, no alarm that is new."""
    if not {_name_of(one) for one in opened} <= set(note.alarms):
        return False
    if note.margin is None or math.isnan(margin):
        return note.margin is None and math.isnan(margin)
    return abs(margin - note.margin) <= (note.half_range or 0.0)


def _name_of(alarm: KeptAlarm) -> str:
    return f"{alarm.name} {alarm.opened.isoformat()}"


def _or_none(value: float) -> float | None:
    return None if math.isnan(value) else value


def _last(value: float) -> float:
    return math.inf if math.isnan(value) else value


def _listed(names: Sequence[str]) -> str:
    return " and ".join(one.replace("_", " ") for one in names)
