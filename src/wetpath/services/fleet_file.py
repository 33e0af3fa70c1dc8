"""A fleet as a file describes it: which pumps, where they stand, what they are rated with, where their readings are."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import ClassVar

from pydantic import Field

from wetpath.edge.fields import PressureDifference, Ratio, TemperatureDifference, Time
from wetpath.edge.files import Document
from wetpath.edge.mapping import SignalName
from wetpath.edge.part import Part, drawing, rule
from wetpath.errors import InputError
from wetpath.fleet.invented import Course
from wetpath.watching.samples import Signal


def moment_of(text: str) -> datetime | None:
    """A moment that says its offset, in UTC; None for anything else."""
    try:
        read = datetime.fromisoformat(text)
    except ValueError:
        return None
    return None if read.tzinfo is None else read.astimezone(UTC)


class _WithMoments(Part):
    """A table with moments."""

    def moment(self, field: str) -> float | None:
        """A moment of this table in UTC seconds since 1970; None where it is left empty."""
        text = getattr(self, field)
        found = moment_of(text) if text else None
        if text and found is None:
            raise self.refuse(field, "is not a time with its offset from UTC",
                              do='write it like "2026-03-01T06:00:00Z" or "2026-03-01T07:00:00+01:00"')
        return None if found is None else found.timestamp()


class InventedReadings(_WithMoments):
    """Readings that are made up, for demos and tests: the pump as rated, with what shall go wrong."""

    seed: int = drawing("of the noise; the same seed gives the same readings", lower=0)
    step: Time = drawing("time between readings", default=600.0, lower="1 s", upper="3600 s")
    flow_swing: Ratio = drawing("of the flow over a day", default=0.03, lower="0 %", upper="30 %")
    warmth_swing: TemperatureDifference = drawing("of the suction temperature over a day", default=0.7, lower="0 K",
                                                  upper="10 K")
    suction_more: PressureDifference = drawing("suction pressure over that of the case", default=0.0)
    suction_falls: PressureDifference = drawing("by how much the suction pressure falls", default=0.0)
    plugs: Ratio = drawing("share of the area of the feed passages that plugs", default=0.0, lower="0 %", upper="70 %")
    drifts: SignalName | None = drawing("instrument that drifts off", default=None)
    drifts_by: float = drawing("how far, in its usual errors", default=6.0, lower=-20.0, upper=20.0)
    begins: str = drawing("when falling, plugging and drifting begin, ISO 8601 with offset", default="")
    over: Time = drawing("over what time", default=30 * 86400.0, above="0 s")
    stopped_since: str = drawing("since when the pump stands", default="")
    silent_since: str = drawing("since when no reading comes", default="")
    missing: tuple[SignalName, ...] = drawing("signals that nobody measures", default=())

    @rule
    def what_drifts_is_reconciled(self) -> None:
        """An instrument that drifts is one that the watch reads."""
        if self.drifts in ("motor_current", "level"):
            raise self.refuse("drifts", "is not read by the watch", do='name another, as "discharge_pressure"')

    @rule
    def moments_can_be_read(self) -> None:
        """The moments are moments."""
        for field in ("begins", "stopped_since", "silent_since"):
            self.moment(field)

    def course(self) -> Course:
        """As it is followed."""
        def since(field: str) -> float:
            found = self.moment(field)
            return float("inf") if found is None else found

        return Course(self.seed, self.step, flow_swing=self.flow_swing, warmth_swing=self.warmth_swing,
                      suction_more=self.suction_more, suction_falls=self.suction_falls, plugs=self.plugs,
                      begins=since("begins"), over=self.over, stopped_since=since("stopped_since"),
                      silent_since=since("silent_since"), missing=tuple(Signal(one) for one in self.missing),
                      drifts=None if self.drifts is None else Signal(self.drifts), drifts_by=self.drifts_by)


class FleetPump(Part):
    """One pump of a fleet."""

    tag: str = drawing("name of the pump in the plant", examples=["P-107A"])
    site: str = drawing("where it stands", default="", examples=["North tank farm"])
    service: str = drawing("what it does", default="", examples=["butane reflux"])
    enquiry_file: str = drawing("enquiry that it is rated for; looked for beside this file")
    pump_file: str = drawing("pump file, in place of the one the enquiry names", default="")
    practice_file: str = drawing("practice file, in place of the one the enquiry names", default="")
    case: str = drawing("operating case it runs in; the governing one without it", default="")
    mapping_file: str = drawing("mapping file that reads its measured values", default="")
    mapped_as: str = drawing("name of the pump in the mapping file; its tag without it", default="")
    files: tuple[str, ...] = drawing("files of the historian, in the order of time; * stands for any letters, in the "
                                     "order of names", default=(), examples=[["history/p107a-*.csv"]])
    invented: InventedReadings | None = Field(default=None, description="made-up readings, in place of measured values")

    @rule
    def has_one_source(self) -> None:
        """Readings are measured or made up."""
        measured = bool(self.mapping_file or self.files)
        if measured and self.invented is not None:
            raise self.refuse("invented", "stands beside measured values", do="keep one of the two")
        if self.invented is None and not (self.mapping_file and self.files):
            raise self.refuse("files" if self.mapping_file else "mapping_file", "is missing: nothing tells how the "
                              "pump runs", do="name the mapping file and the files of the historian")


class FleetFile(Document, _WithMoments):
    """The pumps of a fleet."""

    document_kind: ClassVar[str] = "fleet"
    document_name: ClassVar[str] = "fleet file"
    document_use: ClassVar[str] = "ask how its pumps are running: wetpath fleet FILE"

    name: str = drawing("what lists call this fleet; its history is kept under this name", examples=["North tank farm"])
    note: str = drawing("anything to remember", default="")
    old_after: Time = drawing("how old the last reading may be, before there is no data", default=7200.0, above="0 s")
    since: str = drawing("since when pumps are watched, ISO 8601 with offset; all that is there without it", default="")
    as_of: str = drawing("moment the fleet is looked at, for demos and replays; the clock without it", default="")
    pumps: tuple[FleetPump, ...] = Field(description="the pumps")

    @rule
    def moments_can_be_read(self) -> None:
        """The moments are moments, in their order."""
        since, until = self.moment("since"), self.moment("as_of")
        if since is not None and until is not None and not since < until:
            raise self.refuse("since", "is not before as_of", do="write an earlier moment")

    @rule
    def something_is_watched(self) -> None:
        """There is a pump, and made-up readings have a beginning."""
        if not self.pumps:
            raise self.refuse("pumps", "is empty: nothing would be watched", do="write a [[pumps]] table for each pump")
        if not self.since and any(one.invented is not None for one in self.pumps):
            raise self.refuse("since", "is missing: made-up readings have no beginning of their own",
                              do='write since = "2026-01-01T00:00:00Z"')

    @rule
    def each_tag_once(self) -> None:
        """No two pumps have the same tag."""
        seen: set[str] = set()
        for number, one in enumerate(self.pumps, start=1):
            if one.tag in seen:
                raise InputError("is the tag of another pump too", field=f"pumps[{number}].tag", value=f'"{one.tag}"',
                                 do="give each pump a tag of its own")
            seen.add(one.tag)
