"""The mapping file: which tag of a plant is which signal of which pump, in which unit, and when it may be believed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from typing import ClassVar, Literal
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from wetpath.edge import quantities as q
from wetpath.edge.atmosphere import atmosphere_at
from wetpath.edge.fields import Current, Position, Pressure, Time
from wetpath.edge.files import Document
from wetpath.edge.part import Part, drawing, rule
from wetpath.edge.quantities import PRESSURE, Kind
from wetpath.edge.units import find_unit, parse, unit_of
from wetpath.errors import InputError, LimitError, UnknownName
from wetpath.physics.constants import STANDARD_ATMOSPHERE

SignalName = Literal["suction_pressure", "discharge_pressure", "flow", "motor_power", "motor_current",
                     "suction_temperature", "shell_temperature", "speed", "level", "return_temperature"]
#: What the numbers of each signal measure.
SIGNAL_KINDS: dict[str, Kind] = {
    "suction_pressure": q.PRESSURE, "discharge_pressure": q.PRESSURE, "flow": q.VOLUME_FLOW, "motor_power": q.POWER,
    "motor_current": q.CURRENT, "suction_temperature": q.TEMPERATURE, "shell_temperature": q.TEMPERATURE,
    "speed": q.ROTATIONAL_SPEED, "level": q.HEAD, "return_temperature": q.TEMPERATURE}

#: Time formats that are counts, and the seconds in one of each.
COUNTS = {"seconds since 1970": 1.0, "milliseconds since 1970": 1e-3}
ISO = "ISO 8601"


_NUMBER = r"[-+\u2212]?(?:\d+\.?\d*|\.\d+)"
_RANGE = re.compile(rf"\s*(?P<low>{_NUMBER})\s+(?:to\s+)?(?P<high>{_NUMBER})\s*(?P<unit>[^\s\d].*)")


@dataclass(frozen=True)
class Scale:
    """What makes SI out of a raw number: ``number * factor + offset``."""

    factor: float
    offset: float


def scale_of(unit: str, kind: Kind, atmosphere: float) -> Scale:
    """Return the scale of a unit, gauge pressures on an atmosphere [Pa]; raise `UnitError` for one not known.

    >>> scale_of("bar g", PRESSURE, 95000.0)
    Scale(factor=100000.0, offset=95000.0)
    """
    text = f"1 {unit}"
    one = parse(text, kind, atmosphere=atmosphere)
    found = unit_of(text, kind) or find_unit(unit, kind)
    gauge = kind is PRESSURE and one > found.factor + 0.5 * atmosphere
    return Scale(found.factor, found.offset + (atmosphere if gauge else 0.0))


class UnitChange(Part):
    """From a time on, a tag was written in another unit."""

    since: str = drawing("first time in the new unit, ISO 8601 with its offset", examples=["2026-03-01T06:00:00Z"])
    unit: str = drawing("unit from then on", examples=["bar g"])

    @rule
    def time_is_absolute(self) -> None:
        """The time can be read and says its offset from UTC."""
        try:
            known = datetime.fromisoformat(self.since).tzinfo is not None
        except ValueError:
            known = False
        if not known:
            raise self.refuse("since", "is not a time with its offset from UTC",
                              do='write it like "2026-03-01T06:00:00Z" or "2026-03-01T07:00:00+01:00"')

    @property
    def time(self) -> float:
        """UTC seconds since 1970."""
        return datetime.fromisoformat(self.since).astimezone(UTC).timestamp()


class MappedTag(Part):
    """One tag: what it measures, of which pump."""

    tag: str = drawing("name of the tag in the file: a column, or what stands in the tag column")
    pump: str = drawing("name of the pump, as the watch tells it")
    signal: SignalName = drawing("what is measured")
    unit: str = drawing("unit of the numbers; pressures say a or g", examples=["bar g", "degC", "m3/h"])
    instrument_range: str = drawing("range of the instrument; readings outside it are not used", default="",
                                    examples=["0 16 bar g"])
    quality_column: str = drawing("column with the quality of this tag, in a file with a column for each tag",
                                  default="")
    max_age: Time | None = drawing("how long its last reading may stand, in place of the one of the file", default=None,
                                   above="0 s")
    node: str = drawing("its node in an OPC UA server", default="", examples=["ns=2;s=P-101/suction_pressure"])
    rated_current: Current | None = drawing(
        "of motor_current: the rated current on the name plate of the motor; where its power is not measured the "
        "current tells it", above="0 A", default=None, examples=["28 A"])
    zero_above_shaft: Position = drawing("of level: height above the shaft from which it counts, negative below; where "
                                         "the suction pressure is not measured the level tells it", default=0.0)
    unit_changes: tuple[UnitChange, ...] = Field(default=(), description="when it was written in another unit")

    @property
    def kind(self) -> Kind:
        """Kind of its numbers."""
        return SIGNAL_KINDS[self.signal]

    @rule
    def units_are_known(self) -> None:
        """Unit, range and changed units are of the kind that the signal has."""
        self._unit_is_known(self.unit, "unit")
        for number, change in enumerate(self.unit_changes, start=1):
            self._unit_is_known(change.unit, f"unit_changes[{number}].unit")
        if [one.time for one in self.unit_changes] != sorted(one.time for one in self.unit_changes):
            raise self.refuse("", "unit_changes are not in the order of time", do="write the earliest first")

    def _unit_is_known(self, unit: str, field: str) -> None:
        try:
            scale_of(unit, self.kind, STANDARD_ATMOSPHERE)
        except InputError as error:
            told = error.problem
            example = self.kind.example.partition(" ")[2]
            do = f'write a unit of {self.kind.name}, for example "{example}"'
            if self.kind is PRESSURE and unit_of(f"1 {unit}", PRESSURE) is not None:
                do = f'write "{unit} a" (absolute) or "{unit} g" (gauge, above the atmosphere)'
            raise InputError(told.text.replace(f'ends in "{unit}", which is', "is"), field=field, value=f'"{unit}"',
                             why=told.why, do=do) from None

    @rule
    def belongs_to_its_signal(self) -> None:
        """A rated current is one of a motor, a height above the shaft one of a level."""
        for field, signal, given in (("rated_current", "motor_current", self.rated_current is not None),
                                     ("zero_above_shaft", "level", self.zero_above_shaft != 0.0)):
            if given and self.signal != signal:
                raise self.refuse(field, f"has no meaning for {self.signal}", do=f"give it with {signal}")

    @rule
    def range_is_a_range(self) -> None:
        """The range is two rising numbers with one unit."""
        if self.instrument_range:
            self.range_in_si(STANDARD_ATMOSPHERE)

    def range_in_si(self, atmosphere: float) -> tuple[float, float]:
        """Lowest and highest reading that is used; infinite where no range is given."""
        if not self.instrument_range:
            return float("-inf"), float("inf")
        typed = self.instrument_range
        match = _RANGE.fullmatch(typed)
        values = tuple(float(match[name].replace("\u2212", "-")) for name in ("low", "high")) if match else ()
        if match is None or not values[0] < values[1]:
            raise InputError("is not a lowest and a highest reading", field="instrument_range", value=f'"{typed}"',
                             do='write two rising numbers with one unit, for example "0 16 bar g"')
        self._unit_is_known(match["unit"], "instrument_range")
        scale = scale_of(match["unit"], self.kind, atmosphere)
        return values[0] * scale.factor + scale.offset, values[1] * scale.factor + scale.offset


class MappingFile(Document):
    """How the measured values of a plant are read: times, layout, quality, and what each tag is."""

    document_kind: ClassVar[str] = "mapping"
    document_name: ClassVar[str] = "mapping file"
    document_use: ClassVar[str] = "read measured values with it: wetpath watch DATA --mapping FILE"

    name: str = drawing("what lists call this plant", examples=["Unit 12"])
    note: str = drawing("anything to remember", default="")
    time_zone: str = drawing("time zone of times without an offset, by its IANA name", default="UTC",
                             examples=["Europe/Berlin"])
    layout: Literal["a column for each tag", "a row for each reading"] = drawing(
        "how the file is laid out", default="a column for each tag")
    time_column: str = drawing("column of the time", default="time")
    time_format: str = drawing('how times are written: "ISO 8601", "seconds since 1970", "milliseconds since 1970", '
                               "or a pattern as %d.%m.%Y %H:%M:%S", default=ISO)
    separator: Literal[",", ";", "\t", "|"] = drawing("what parts the columns of a CSV file", default=",")
    decimal_mark: Literal[".", ","] = drawing("decimal mark of a CSV file; with a comma, what has a "
                                          "point is no number", default=".")
    tag_column: str = drawing("column of the tag, with a row for each reading", default="tag")
    value_column: str = drawing("column of the value, with a row for each reading", default="value")
    unit_column: str = drawing("column of the unit, with a row for each reading; readings in other units of the kind "
                               "are converted", default="")
    quality_column: str = drawing("column of the quality: of the reading, or of all tags of a row", default="")
    good: tuple[str, ...] = drawing("what a quality column says of a reading that may be used", default=("Good",),
                                    examples=[["Good", "192"]])
    max_age: Time = drawing("how long the last reading of a tag stands while others go on; after it the tag has no "
                            "value", default=10.0, above="0 s")
    step: Time | None = drawing("time between samples, on whole multiples of it; without it a sample for every time "
                                "stamp of any tag of the pump", default=None, lower="0.01 s", upper="3600 s")
    altitude: Position = drawing("height above sea level; sets the atmosphere that gauge pressures stand on",
                                 default=0.0, lower="-500 m", upper="6000 m")
    atmosphere: Pressure | None = drawing("atmospheric pressure, in place of the one of the altitude", default=None,
                                          lower="0.4 bar a", upper="1.2 bar a")
    tags: tuple[MappedTag, ...] = Field(description="the tags that are read")

    @rule
    def something_is_mapped(self) -> None:
        """There is a tag."""
        if not self.tags:
            raise self.refuse("tags", "is empty: nothing would be read", do="write a [[tags]] table for each tag")

    @rule
    def zone_is_known(self) -> None:
        """The time zone is one of the IANA data base."""
        from zoneinfo import available_timezones

        if self.time_zone not in available_timezones():
            raise UnknownName("time zone", self.time_zone, available_timezones(), field="time_zone",
                              do='write its IANA name, for example "Europe/Berlin"')

    @rule
    def times_can_be_read(self) -> None:
        """The format of times is one that is known, or a pattern."""
        if self.time_format not in (ISO, *COUNTS) and "%" not in self.time_format:
            raise self.refuse("time_format", "is not a format of time known here",
                              do=f'write "{ISO}", "seconds since 1970", "milliseconds since 1970", or a pattern as '
                                 '"%d.%m.%Y %H:%M:%S"')

    @rule
    def fractions_follow_a_point(self) -> None:
        """A fraction of a second stands behind a point, or says how many digits it has."""
        if re.search(r"(?<!\.)%f", self.time_format):
            raise self.refuse("time_format", "has a fraction that is not behind a point",
                              do='write ".%f", or the number of its digits: ",%3f"')

    @rule
    def marks_differ(self) -> None:
        """Decimal mark and separator are not the same."""
        if self.separator == self.decimal_mark:
            raise self.refuse("decimal_mark", "is the separator of columns too", do='write separator = ";"')

    @rule
    def each_signal_once(self) -> None:
        """A signal of a pump comes from one tag, and a tag is one signal."""
        signals: dict[tuple[str, str], str] = {}
        tags: set[str] = set()
        for number, one in enumerate(self.tags, start=1):
            first = signals.setdefault((one.pump, one.signal), one.tag)
            if first != one.tag:
                raise InputError(f'is {one.signal} of "{one.pump}", and so is "{first}"', field=f"tags[{number}].tag",
                                 value=f'"{one.tag}"', do="keep the better instrument of the two")
            if one.tag in tags:
                raise InputError("is mapped twice", field=f"tags[{number}].tag", value=f'"{one.tag}"',
                                 do="keep one of the two")
            tags.add(one.tag)

    @rule
    def quality_has_its_place(self) -> None:
        """A column of quality for a single tag needs a column for each tag."""
        for number, one in enumerate(self.tags, start=1):
            if one.quality_column and self.layout != "a column for each tag":
                raise InputError("has no meaning with a row for each reading", field=f"tags[{number}].quality_column",
                                 value=f'"{one.quality_column}"', do="write quality_column once, before the tags")

    @cached_property
    def air(self) -> float:
        """Atmospheric pressure that gauge pressures stand on [Pa]."""
        if self.atmosphere is not None:
            return self.atmosphere
        try:
            return atmosphere_at(self.altitude)
        except LimitError as error:
            raise InputError(str(error), field="altitude") from None

    @property
    def zone(self) -> ZoneInfo:
        """Time zone of times without an offset."""
        return ZoneInfo(self.time_zone)

    @property
    def pumps(self) -> tuple[str, ...]:
        """Names of the pumps, in the order of the file."""
        return tuple(dict.fromkeys(one.pump for one in self.tags))

    def tags_of(self, pump: str) -> tuple[MappedTag, ...]:
        """Tags of one pump."""
        found = tuple(one for one in self.tags if one.pump == pump)
        if not found:
            raise UnknownName("pump", pump, self.pumps, field="pump", do="take one of " + ", ".join(self.pumps))
        return found

    def scale(self, tag: MappedTag, unit: str = "") -> Scale:
        """What makes SI out of the numbers of a tag, in its own unit or another of its kind."""
        return scale_of(unit or tag.unit, tag.kind, self.air)

    def in_si(self, tag: MappedTag, times: NDArray[np.float64], number: NDArray[np.float64]) -> NDArray[np.float64]:
        """SI values of numbers of a tag in its own unit, from each unit change on in the changed one."""
        scale = self.scale(tag)
        value = np.asarray(number * scale.factor + scale.offset)
        for change in tag.unit_changes:
            other, later = self.scale(tag, change.unit), times >= change.time
            value[later] = number[later] * other.factor + other.offset
        return value

    def age(self, tag: MappedTag) -> float:
        """How long the last reading of a tag stands [s]."""
        return self.max_age if tag.max_age is None else tag.max_age
