"""Instruments as data: what they measure, how well and how fast; the defaults, and those of a user's file."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import ClassVar, Literal

from wetpath.edge.fields import Ratio, Time
from wetpath.edge.files import Document
from wetpath.edge.part import Part, drawing, rule
from wetpath.edge.quantities import RATIO, TEMPERATURE, TIME, Kind
from wetpath.edge.units import parse
from wetpath.errors import InputError, UnknownName
from wetpath.questions.protection.signals import SIGNALS, Signal
from wetpath.words import told

Sense = Literal["low", "high"]
SetPointRule = Literal["between", "at"]
MOST_SENSORS = 8


@dataclass(frozen=True)
class Instrument:
    """One trip of one instrument; SI."""

    name: str
    title: str
    signal: Signal
    sense: Sense
    rule: SetPointRule
    error_of_span: float
    noise_of_span: float         # one standard deviation
    time_constant: float
    delay: float
    by_pass: float               # after a start
    primary: bool
    source: str
    status: str
    meaning: str
    tolerance_class: str = ""    # of IEC 60751
    error: float = 0.0           # more, in the unit of the signal
    wanted: int = 1              # of those fitted must have passed the set point
    fitted: int = 1
    given_set_point: float | None = None
    given_span: float | None = None
    counts: bool = True          # may stand in the smallest set

    @property
    def sign(self) -> float:
        """1 where it acts above its set point, -1 below."""
        return 1.0 if self.sense == "high" else -1.0

    @property
    def voting(self) -> str:
        """As instrument engineers write it."""
        return told("{wanted} of {fitted}", wanted=self.wanted, fitted=self.fitted)


class OwnInstrument(Part):
    """One instrument of an instrument file; what is not given stays as the default."""

    error_of_span: Ratio | None = drawing("largest error, share of the span", default=None, lower=0, upper=0.5)
    noise_of_span: Ratio | None = drawing("noise, one standard deviation, share of the span", default=None, lower=0,
                                          upper=0.5)
    time_constant: Time | None = drawing("time constant of the reading", default=None, upper="3600 s")
    delay: Time | None = drawing("how long the reading must stay beyond the set point", default=None, upper="3600 s")
    by_pass: Time | None = drawing("time after a start in which it does not act", default=None, upper="3600 s")
    tolerance_class: Literal["", "AA", "A", "B", "C"] | None = drawing("of IEC 60751", default=None)
    voting: str = drawing("how many of how many sensors must have passed the set point", default="",
                          examples=["2 of 3"])
    set_point: str = drawing("set point with its unit, in place of the computed one", default="",
                             examples=["5.5 kW", "95 degC"])
    span: str = drawing("end of its range with its unit, in place of the computed one; a range begins at nothing, of a "
                        "temperature at 0 °C", default="", examples=["16 kW", "400 degC"])
    source: str = drawing("where it is known from, as lists shall print it", examples=["data sheet of our transmitter"])


class InstrumentsFile(Document):
    """The instruments a pump has: a name, which are fitted, and what differs from the defaults."""

    document_kind: ClassVar[str] = "instruments"
    document_name: ClassVar[str] = "instrument file"
    document_use: ClassVar[str] = "plan the protection with it: wetpath protect ENQUIRY --instruments FILE"

    name: str = drawing("what lists call these instruments", examples=["Unit 12, loading pumps"])
    fitted: tuple[str, ...] = drawing("names of those that are fitted; without it all that are known", default=())
    instrument: dict[str, OwnInstrument] = drawing("what differs from the defaults, by name", default={})

    @rule
    def names_are_known(self) -> None:
        """Every instrument is one of the defaults, and its texts can be read."""
        known = default_instruments()
        for name in self.fitted:
            if name not in known:
                raise UnknownName("instrument", name, known, field="fitted")
        for name, own in self.instrument.items():
            if name not in known:
                raise UnknownName("instrument", name, known, field=f"instrument.{name}")
            _with(known[name], own)

    def instruments(self) -> dict[str, Instrument]:
        """Those fitted, with what this file says of them."""
        return {name: _with(one, self.instrument[name]) if name in self.instrument else one
                for name, one in default_instruments().items() if not self.fitted or name in self.fitted}


def _with(default: Instrument, own: OwnInstrument) -> Instrument:
    at = f"instrument.{default.name}"
    given = {name: getattr(own, name) for name in ("error_of_span", "noise_of_span", "time_constant", "delay",
                                                   "by_pass", "tolerance_class")
             if getattr(own, name) is not None}
    wanted, fitted = _voting(own.voting, f"{at}.voting") if own.voting else (default.wanted, default.fitted)
    signal = default.signal
    set_point = _parsed(own.set_point, signal.kind, f"{at}.set_point")
    end = _parsed(own.span, signal.kind if signal.kind is TEMPERATURE else signal.difference, f"{at}.span")
    span = None if end is None else end - signal.end_of(0.0)
    if span is not None and not span > 0:
        raise InputError("is no range: it ends where it begins or before", field=f"{at}.span", value=f'"{own.span}"')
    return replace(default, **given, wanted=wanted, fitted=fitted, given_set_point=set_point, given_span=span,
                   source=own.source, status="given")


def _parsed(text: str, kind: Kind, field: str) -> float | None:
    """Read a value with its unit; None where nothing is written."""
    if not text:
        return None
    try:
        return parse(text, kind)
    except InputError as error:
        told = error.problem
        raise InputError(told.text, field=field, value=told.value, why=told.why, do=told.do) from None


def _voting(text: str, field: str) -> tuple[int, int]:
    """Read "2 of 3".

    >>> _voting("2 of 3", "")
    (2, 3)
    """
    match = re.fullmatch(r"\s*(\d)\s*(?:of|oo)\s*(\d)\s*", text)
    wanted, fitted = (int(part) for part in match.groups()) if match else (0, 0)
    if not 1 <= wanted <= fitted <= MOST_SENSORS:
        raise InputError(f"is not a number of sensors out of at most {MOST_SENSORS}", field=field, value=f'"{text}"',
                         do='write for example "2 of 3"')
    return wanted, fitted


@cache
def default_instruments() -> Mapping[str, Instrument]:
    """Return the instruments that come with the program, by name."""
    table = tomllib.loads(files("wetpath").joinpath("data", "instruments", "default.toml").read_text(encoding="utf-8"))
    return {name: _read(name, row) for name, row in table.items()}


def _read(name: str, row: dict[str, object]) -> Instrument:
    told = dict(row)
    signal = SIGNALS[str(told.pop("signal"))]
    for key in ("error_of_span", "noise_of_span"):
        told[key] = parse(str(told[key]), RATIO)
    for key in ("time_constant", "delay", "by_pass"):
        told[key] = parse(str(told[key]), TIME)
    if "error" in told:
        told["error"] = parse(str(told["error"]), signal.difference)
    return Instrument(name=name, signal=signal, **told)  # type: ignore[arg-type]
