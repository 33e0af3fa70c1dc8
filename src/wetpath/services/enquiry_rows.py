"""An enquiry read from rows of label, value and unit: an Excel sheet, or lines of pasted text."""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import tomlkit

from wetpath.edge.files import loads_document
from wetpath.edge.quantities import HEAD, LENGTH, PRESSURE, PRESSURE_DIFFERENCE, ROTATIONAL_SPEED, TEMPERATURE, Kind
from wetpath.edge.quantities import VOLUME_FLOW as FLOW
from wetpath.edge.units import parse
from wetpath.errors import FileProblems, InputError, Problem, UnknownName
from wetpath.liquids.reference_equation import canonical_name
from wetpath.rating.enquiry import Enquiry

MOST_ROWS = 2000
LARGEST_SHEET, LARGEST_UNPACKED = 20_000_000, 50_000_000      # bytes
#: Longest text, line and label that are read [characters]; a unit stands at most so many cells from its number.
LONGEST_TEXT, LONGEST_LINE, LONGEST_LABEL, UNIT_WITHIN = 20_000, 1000, 100, 20


@dataclass(frozen=True)
class _Field:
    """A field that a row may give; a ``case`` field belongs to an operating case."""

    name: str
    kind: Kind | None
    case: bool
    labels: tuple[str, ...]


# Labels are words of the trade; common practice, no source.
_FIELDS = (
    _Field("title", None, False, ("title", "service", "duty", "enquiry", "item", "service description")),
    _Field("note", None, False, ("note", "notes", "remark", "remarks", "comment", "comments")),
    _Field("liquid", None, False, ("liquid", "fluid", "product", "medium", "liquid pumped", "pumped liquid",
                                   "pumped fluid", "liquid handled", "name of liquid", "substance")),
    _Field("flow", FLOW, True, ("flow", "flow rate", "flowrate", "volume flow", "capacity", "q")),
    _Field("head", HEAD, True, ("head", "total head", "differential head", "delivery head", "total dynamic head", "tdh",
                                "h")),
    _Field("temperature", TEMPERATURE, True, ("temperature", "temp", "liquid temperature", "fluid temperature",
                                              "pumping temperature", "operating temperature", "t")),
    _Field("suction_pressure", PRESSURE, True, ("suction pressure", "inlet pressure", "pressure at suction",
                                                "suction flange pressure", "pressure at suction flange")),
    _Field("above_vapour_pressure", PRESSURE_DIFFERENCE, True, (
        "above vapour pressure", "above vapor pressure", "suction pressure above vapour pressure",
        "suction pressure above vapor pressure")),
    _Field("speed", ROTATIONAL_SPEED, True, ("speed", "rotational speed", "pump speed", "n")),
    _Field("site.altitude", LENGTH, False, ("altitude", "elevation", "site altitude", "height above sea level")),
    _Field("site.air_lowest", TEMPERATURE, False, ("lowest air temperature", "minimum ambient temperature",
                                                   "min ambient temperature", "ambient temperature minimum")),
    _Field("site.air_highest", TEMPERATURE, False, ("highest air temperature", "maximum ambient temperature",
                                                    "max ambient temperature", "ambient temperature maximum")),
    _Field("site.frequency", None, False, ("frequency", "mains frequency", "supply frequency")),
    _Field("site.temperature_class", None, False, ("temperature class",)),
    _Field("site.zone", None, False, ("zone", "area classification", "hazardous area", "area class")),
    _Field("acceptance_grade", None, False, ("acceptance grade", "test grade", "acceptance class")),
)
_BY_LABEL = {label: one for one in _FIELDS for label in one.labels}
_CASES = {"rated": "rated", "design": "rated", "normal": "normal", "minimum": "minimum", "min": "minimum",
          "maximum": "maximum", "max": "maximum"}
_NUMBER = re.compile(r"[+\-−]?[.,]?\d")
_SUFFIXES = {"a": "a", "abs": "a", "absolute": "a", "g": "g", "gauge": "g"}


@dataclass(frozen=True)
class ReadRow:
    """A row that was read: where it stands, what it gave."""

    place: str
    field: str
    value: str


@dataclass(frozen=True)
class UnreadRow:
    """A row, or a part of one, that was not read, with the reason."""

    place: str
    text: str
    reason: str


@dataclass(frozen=True)
class RowsOfEnquiry:
    """What rows gave: an enquiry as text, what was read and not, and what the text still lacks to be whole.

    ``assumed`` tells values of a case that were taken from another one.
    """

    content: str
    read: tuple[ReadRow, ...]
    unread: tuple[UnreadRow, ...]
    assumed: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()


@dataclass
class _Reading:
    title: dict[str, str] = field(default_factory=dict)
    cases: dict[str, dict[str, str]] = field(default_factory=dict)      # by kind of case; "" for none said
    liquid: dict[str, str] = field(default_factory=dict)
    read: list[ReadRow] = field(default_factory=list)
    unread: list[UnreadRow] = field(default_factory=list)


def enquiry_of_text(text: str) -> RowsOfEnquiry:
    """Read lines like ``Flow: 45 m3/h``; columns may also be parted by tabs or semicolons.

    Raises
    ------
    FileProblems
        The text is too long.
    """
    if len(text) > LONGEST_TEXT:
        raise FileProblems([Problem(f"are {len(text)} characters long; allowed: up to {LONGEST_TEXT}", file="rows",
                                    do="paste the rows of the enquiry alone")])
    rows, too_long = [], []
    for number, line in enumerate(text.splitlines(), start=1):
        if len(line) > LONGEST_LINE:
            too_long.append(UnreadRow(f"line {number}", f"{line[:60]}...", f"is longer than {LONGEST_LINE} characters"))
        elif line.strip():
            parted = re.search(r"[\t;|]", line)
            cells = re.split(r"[\t;|]", line) if parted else re.split(r"\s*[:=]\s*", line, maxsplit=1)
            if len(cells) == 1:
                cells = re.split(r"\s{2,}", line.strip(), maxsplit=1)
            rows.append((f"line {number}", [re.sub(r"\s*[:=]\s*$", "", cell.strip()) for cell in cells]))
    return _enquiry(rows, too_long)


def enquiry_of_sheet(content: bytes) -> RowsOfEnquiry:
    """Read the first sheet of an Excel workbook; formulas count with the value that was saved last.

    Raises
    ------
    FileProblems
        It is no workbook that can be read, or too large.
    """
    if len(content) > LARGEST_SHEET:
        raise FileProblems([Problem(f"is {len(content) / 1e6:.0f} MB large; allowed: up to "
                                    f"{LARGEST_SHEET / 1e6:.0f} MB", file="workbook")])
    import openpyxl

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as parts:
            unpacked = sum(part.file_size for part in parts.infolist())
        if unpacked > LARGEST_UNPACKED:
            raise FileProblems([Problem(f"is {unpacked / 1e6:.0f} MB large when unpacked; allowed: up to "
                                        f"{LARGEST_UNPACKED / 1e6:.0f} MB", file="workbook",
                                        do="keep the rows of the enquiry alone")])
        book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        sheets = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"] or book.worksheets
        rows = list(_rows_of(sheets[0]))
        others = [UnreadRow(f"sheet {sheet.title}", sheet.title, "only the first sheet is read")
                  for sheet in book.worksheets if sheet is not sheets[0]]
    except FileProblems:
        raise
    except (zipfile.BadZipFile, zlib.error, OSError, KeyError, ValueError, TypeError, IndexError, AttributeError,
            SyntaxError, EOFError) as error:       # what openpyxl and its readers raise for files not as they should be
        raise FileProblems([Problem(f"is not an Excel workbook that can be read: {error}", file="workbook",
                                    do="save it as .xlsx without a password")]) from None
    return _enquiry(rows, others)


def _rows_of(sheet: Any) -> Iterator[tuple[str, list[str]]]:
    for number, row in enumerate(sheet.iter_rows(values_only=True), start=1):
        if number > MOST_ROWS:
            raise FileProblems([Problem(f"has more than {MOST_ROWS} rows", file="workbook",
                                        do="keep the rows of the enquiry alone")])
        cells = [_cell_text(value) for value in row]
        if any(cells):
            yield f"{sheet.title}, row {number}", cells


def _cell_text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.12g}"
    if isinstance(value, date):
        return value.isoformat()
    return " ".join(str(value).split())


def _enquiry(rows: Iterable[tuple[str, list[str]]], others: list[UnreadRow] | None = None) -> RowsOfEnquiry:
    reading = _Reading()
    for place, cells in rows:
        _read_row(reading, place, [cell for cell in cells if cell])
    reading.unread.extend(others or [])
    cases, assumed = _whole_cases(reading.cases)
    used = {(name, value) for case in cases for name, value in case.items()}
    reading.unread.extend(UnreadRow("rows", f"{kind} {name} {value}".strip(), "belongs to no operating case")
                          for kind, values in reading.cases.items() for name, value in values.items()
                          if (name, value) not in used)
    tables: dict[str, Any] = {"wetpath": Enquiry.header(), "title": "", **reading.title}
    site = {name.partition(".")[2]: tables.pop(name) for name in list(tables) if name.startswith("site.")}
    if "frequency" in site:
        site["frequency"] = int(site["frequency"])
    if site:
        tables["site"] = site
    if reading.liquid:
        tables["liquid"] = reading.liquid
    if cases:
        tables["cases"] = cases
    if not tables["title"]:
        del tables["title"]
    content = tomlkit.dumps(tables)
    try:
        loads_document(content, Enquiry, file="enquiry")
        problems: tuple[Problem, ...] = ()
    except FileProblems as error:
        problems = error.problems
    return RowsOfEnquiry(content, tuple(reading.read), tuple(reading.unread), tuple(assumed), problems)


def _read_row(reading: _Reading, place: str, cells: list[str]) -> None:
    shown = " | ".join(cells)
    found = next(((number, *label) for number, cell in enumerate(cells) if (label := _label(cell)) is not None), None)
    if found is None:
        reading.unread.append(UnreadRow(place, shown, "no label known here"))
        return
    number, wanted, case, bracket = found
    rest = cells[:number] + cells[number + 1:]
    try:
        value, left = _value(wanted, rest, bracket)
        holder = reading.title
        if wanted.case:
            holder = reading.cases.setdefault(case, {})
        elif wanted.name == "liquid":
            entry = _liquid_entry(value)
            if reading.liquid:
                raise InputError("is given twice; the first one counts", field="liquid")
            reading.liquid = entry
        if wanted.name != "liquid":
            if wanted.name in holder:
                raise InputError("is given twice; the first one counts", field=wanted.name)
            holder[wanted.name] = value
    except InputError as error:
        told = error.problem
        reading.unread.append(UnreadRow(place, shown, f"{told.sentence}{f'; {told.do}' if told.do else ''}"))
        return
    reading.read.append(ReadRow(place, f"{case} {wanted.name}".strip(), value))
    if left:
        reading.unread.append(UnreadRow(place, " | ".join(left), f"besides {wanted.name} = {value}"))


def _label(cell: str) -> tuple[_Field, str, str] | None:
    """The field a cell names, the kind of case it says, and what stands in brackets behind it."""
    if len(cell) > LONGEST_LABEL:
        return None
    match = re.fullmatch(r"(?P<words>[^\[(]*?)\s*(?:[\[(](?P<bracket>[^\])]*)[\])])?\s*[,:=]?\s*", cell)
    if match is None:
        return None
    words = re.sub(r"[^\w]+", " ", match["words"].casefold().replace("_", " ")).split()
    bracket = match["bracket"] or ""
    if bracket.casefold() in _CASES:
        words, bracket = [bracket.casefold(), *words], ""
    if (wanted := _BY_LABEL.get(" ".join(words))) is not None:
        return wanted, "", bracket
    said = [word for word in words if word in _CASES]
    rest = " ".join(word for word in words if word not in _CASES)
    wanted = _BY_LABEL.get(rest)
    return (wanted, _CASES[said[0]], bracket) if wanted is not None and wanted.case and len(said) == 1 else None


def _value(wanted: _Field, cells: list[str], bracket: str) -> tuple[str, list[str]]:
    """The value with its unit, and the cells that are left."""
    if not cells:
        raise InputError("has no value", field=wanted.name)
    if wanted.kind is None:
        value = cells[0]
        if wanted.name == "site.frequency":
            value = re.sub(r"\s*(hz)$", "", value, flags=re.IGNORECASE)
            if value not in ("50", "60"):
                raise InputError("is not 50 or 60 Hz", field=wanted.name, value=f'"{cells[0]}"')
            return value, [cell for cell in cells[1:] if cell.casefold() != "hz"]
        return value, cells[1:]
    number = next((place for place, cell in enumerate(cells) if _NUMBER.match(cell)), None)
    if number is None:
        raise InputError("has no number", field=wanted.name, value=f'"{cells[0]}"')
    left = cells[:number] + cells[number + 1:]
    value, suffix = cells[number], _SUFFIXES.get(bracket.casefold(), "")
    if re.fullmatch(r"[+\-−]?[\d.,]+(?:[eE][+-]?\d+)?", value):
        if bracket and not suffix:
            value = f"{value} {bracket}"
        else:
            unit = next((cell for cell in left[:UNIT_WITHIN] if _is_unit(cell, wanted.kind)), None)
            if unit is not None:
                left.remove(unit)
                value = f"{value} {unit}"
    if suffix and wanted.kind is PRESSURE and not re.search(r"[\s(]*(a|g|abs|absolute|gauge)\)?$", value):
        value = f"{value} {suffix}"
    try:
        parse(value, wanted.kind)
    except InputError as error:
        raise _of_field(error, wanted.name) from None
    return value, left


def _of_field(error: InputError, name: str) -> InputError:
    return InputError(error.problem.text, field=name, value=error.problem.value, do=error.problem.do)


def _is_unit(cell: str, kind: Kind) -> bool:
    """Whether a number with this behind it is of the kind; a pressure may still lack its a or g."""
    for unit in (cell, f"{cell} a") if kind is PRESSURE else (cell,):
        try:
            parse(f"300 {unit}", kind)
        except InputError:
            continue
        return True
    return False


def _liquid_entry(name: str) -> dict[str, str]:
    if len(name) > LONGEST_LABEL:
        raise InputError(f"is longer than {LONGEST_LABEL} characters", field="liquid")
    try:
        return {"source": "reference equation", "substance": canonical_name(name)}
    except UnknownName:
        from wetpath.liquids.chemical_database import find_substance

        try:
            find_substance(name)
        except InputError as error:
            raise _of_field(error, "liquid") from None
        return {"source": "chemical database", "substance": name}


def _whole_cases(given: dict[str, dict[str, str]]) -> tuple[list[dict[str, str]], list[str]]:
    """Operating cases with what they do not say taken from the rows without a kind of case, then rated, then normal."""
    common = given.get("", {})
    kinds: list[str] = [kind for kind in ("rated", "normal", "minimum", "maximum") if kind in given]
    if common and (not kinds or ("flow" in common and ("rated" not in given or "flow" in given["rated"]))):
        kinds.insert(0, "")
    cases, assumed = [], []
    for kind in kinds:
        own = given.get(kind, {})
        name = f"{kind} {' and '.join(own)}".replace("_", " ").strip()
        role = f"{kind} flow" if kind in ("minimum", "maximum") else kind
        if not kind:
            name, role = ("rated", "rated") if "rated" not in given else ("other", "other")
        elif kind in ("rated", "normal"):
            name = kind
        elif "flow" in own:
            name = role
        else:
            role = "other"
        case = {"name": name, "role": role}
        for one in (given_field for given_field in _FIELDS if given_field.case):
            sources = [("the rows without a kind of case", common), ("rated", given.get("rated", {})),
                       ("normal", given.get("normal", {}))]
            if one.name in own:
                case[one.name] = own[one.name]
                continue
            if one.name == "head" and "flow" in own and kind in ("minimum", "maximum"):
                continue          # at another flow the head is the pump's own
            if one.name in ("suction_pressure", "above_vapour_pressure") and (
                    "suction_pressure" in case or {"suction_pressure", "above_vapour_pressure"} & own.keys()):
                continue
            origin = next(((told, values[one.name]) for told, values in sources if one.name in values), None)
            if origin is not None:
                case[one.name] = origin[1]
                if kind:
                    assumed.append(f"{case['name']}: {one.name} = {origin[1]}, from {origin[0]}")
        cases.append(case)
    return cases, assumed

