"""Read measured points from a CSV file with a unit in every heading; whatever is wrong is told at once, by line."""

from __future__ import annotations

import csv
import io
import os
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.ranges import Within
from wetpath.edge.units import find_unit, parse
from wetpath.errors import FileProblems, InputError, Problem, nearest_names
from wetpath.questions.acceptance.measured import QUANTITIES, MeasuredPoints

LARGEST_FILE = 2_000_000       # bytes
#: A curve cannot be drawn through fewer different flows.
FEWEST_FLOWS = 3


@dataclass(frozen=True)
class Column:
    """One quantity that a file of points may hold, by the words and symbols that head its column."""

    kind: Kind
    words: tuple[str, ...]
    within: Within
    needed: bool = False


COLUMNS = {
    "flow": Column(q.VOLUME_FLOW, ("volume flow", "flow rate", "flow", "Q"), Within(lower=0.0), needed=True),
    "head": Column(q.HEAD, ("total head", "head", "H"), Within(above=0.0), needed=True),
    "power": Column(q.POWER, ("shaft power", "power", "P"), Within(above=0.0)),
    "efficiency": Column(q.RATIO, ("efficiency", "eta", "η"), Within(lower=0.0, below=1.0)),
    "npsh": Column(q.HEAD, ("NPSH required", "NPSH3", "NPSHR", "NPSH"), Within(above=0.0)),
    "speed": Column(q.ROTATIONAL_SPEED, ("speed", "n"), Within(above="1 rpm")),
    "temperature": Column(q.TEMPERATURE, ("water temperature", "temperature", "T"),
                          Within(lower="0 degC", upper="100 degC")),
}
#: What stands where nothing was measured.
NOTHING = frozenset({"", "-", "--", "–", "—", "n/a", "na", "nan", "none", "."})
_EXAMPLE = "flow [m3/h]; head [m]; power [kW]; NPSH3 [m]; speed [rpm]"


def read_points(path: str | os.PathLike[str], *, speed: float, temperature: float) -> MeasuredPoints:
    """Read a CSV file of measured points.

    Parameters
    ----------
    path : path
        A first line of headings, each a quantity with its unit: ``flow [m3/h]``, ``head (m)``, ``power kW``; or the
        units in a line below it. Parted by semicolons, tabs or commas; decimal commas are read where no comma parts
        the columns. Empty lines, lines that begin with # and columns with other headings are passed over.
    speed, temperature : float [rad/s], [K]
        Of points for which the file gives none.

    Raises
    ------
    FileProblems
        With everything that is wrong, at its line.
    """
    file = os.fspath(path)
    return points_of_text(_text(file), file=file, speed=speed, temperature=temperature)


def points_of_text(text: str, *, file: str = "", speed: float, temperature: float) -> MeasuredPoints:
    """Read measured points from the text of a CSV file; see `read_points`."""
    rows = _rows(text)
    if not rows:
        raise FileProblems([Problem("is empty", file=file, do=f"begin with a line of headings like: {_EXAMPLE}")])
    line, headings = rows[0]
    units_below = len(rows) > 1 and _is_units(rows[1][1])
    decimal_commas = _has_decimal_commas(rows)
    columns, units, notes = _headings(headings, rows[1][1] if units_below else [], line, file)
    found: dict[str, list[float]] = {name: [] for name in QUANTITIES}
    problems: list[Problem] = []
    for number, cells in rows[2 if units_below else 1:]:
        for name in QUANTITIES:
            place = columns.get(name)
            cell = cells[place].strip() if place is not None and place < len(cells) else ""
            try:
                typed = cell.replace(",", ".") if decimal_commas else cell
                found[name].append(_value(name, typed, units.get(name, "")))
            except InputError as error:
                told = error.problem
                found[name].append(np.nan)
                problems.append(Problem(told.text, field=name, value=f'"{cell}"', why=told.why, do=told.do, file=file,
                                        line=number))
    if problems:
        raise FileProblems(problems)
    different = len(set(found["flow"]))
    if different < FEWEST_FLOWS:
        few = "flow" if different == 1 else "flows"
        raise FileProblems([Problem(f"has points at {different} different {few}; allowed: {FEWEST_FLOWS} or more",
                                    file=file, why="a curve has to be drawn through them",
                                    do="give all points of the test")])
    arrays = {name: np.array(values) for name, values in found.items()}
    for name, default, words in (("speed", speed, "the guaranteed speed"),
                                 ("temperature", temperature, "the temperature of the bench")):
        missing = np.isnan(arrays[name])
        if missing.any():
            arrays[name] = np.where(missing, default, arrays[name])
            which = "the points" if missing.all() else f"{missing.sum()} of {missing.size} points"
            notes.append(f"no {name} is given for {which}: taken as {words}")
    return MeasuredPoints(**arrays, notes=tuple(notes)).in_order()


def _text(file: str) -> str:
    path = Path(file)
    try:
        size = path.stat().st_size
        data = b"" if size > LARGEST_FILE else path.read_bytes()
    except FileNotFoundError:
        raise FileProblems([Problem("is not there", file=file, do="check the name of the file")]) from None
    except OSError as error:
        raise FileProblems([Problem(f"cannot be read ({error.strerror})", file=file)]) from None
    if size > LARGEST_FILE:
        raise FileProblems([Problem(f"is larger than {LARGEST_FILE // 1_000_000} MB, too large for measured points",
                                    file=file)])
    if b"\0" in data:
        raise FileProblems([Problem("is not a text file", file=file, do="save the table as CSV")])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """Cells of every line that says something, with its number."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    said = [(number, line) for number, line in enumerate(lines, start=1)
            if line.strip(" ;,\t") and not line.lstrip().startswith("#")]
    if not said:
        return []
    outside = re.sub(r"\[[^\]]*\]|\([^)]*\)|\"[^\"]*\"", "", said[0][1])
    delimiter = next((mark for mark in ";\t," if mark in outside), ";")
    return [(number, next(csv.reader(io.StringIO(line), delimiter=delimiter, skipinitialspace=True)))
            for number, line in said]


def _has_decimal_commas(rows: list[tuple[int, list[str]]]) -> bool:
    """Whether commas in this file can only be decimal marks; else one like 7,788 is told to be read in two ways."""
    cells = [cell.strip() for _, row in rows[1:] for cell in row]
    decimal = any(re.fullmatch(r"[+-]?\d*,\d+", cell) and not re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", cell)
                  for cell in cells)
    return decimal and not any("." in cell and "," in cell for cell in cells)


def _is_units(cells: list[str]) -> bool:
    return any(cell.strip(" []()") for cell in cells) and not any(re.search(r"(?<![A-Za-z])\d", cell) for cell in cells)


def _headings(cells: list[str], below: list[str], line: int, file: str
              ) -> tuple[dict[str, int], dict[str, str], list[str]]:
    """Place and unit of every quantity, and notes on columns passed over."""
    columns: dict[str, int] = {}
    units: dict[str, str] = {}
    problems: list[Problem] = []
    unread = []
    for place, cell in enumerate(cells):
        read = _heading(cell)
        if read is None:
            if cell.strip():
                unread.append(cell.strip())
            continue
        name, unit = read
        unit = unit or (below[place].strip(" []()") if place < len(below) else "")
        kind = COLUMNS[name].kind
        if name in columns:
            problems.append(Problem(f"heads a second column of {name}", value=f'"{cell.strip()}"', file=file, line=line,
                                    do="keep one"))
            continue
        columns[name], units[name] = place, unit
        try:
            if unit:
                find_unit(unit, kind)
            elif kind != q.RATIO:
                raise InputError("has no unit", do=f"write it in the heading, for example {name} [{kind.metric}]")
        except InputError as error:
            problems.append(error.problem.at(value=f'"{cell.strip()}"', file=file, line=line))
    for name, column in COLUMNS.items():
        if column.needed and name not in columns:
            near = [cell for cell in unread if nearest_names(cell.split()[0], column.words, at_most=1)]
            hint = f'; is it "{near[0]}"?' if near else ""
            problems.append(Problem(f"has no column of {name}{hint}", file=file, line=line,
                                    do=f"head it with the quantity and its unit, for example {name} "
                                       f"[{column.kind.metric}]"))
    if problems:
        raise FileProblems(problems)
    return columns, units, [f"passed over, not known here: column {', '.join(unread)}"] if unread else []


def _heading(cell: str) -> tuple[str, str] | None:
    """Quantity and unit that a heading names; symbols count with their case, words without.

    >>> _heading("Flow rate [m3/h]"), _heading("Q m3/h"), _heading("remark")
    (('flow', 'm3/h'), ('flow', 'm3/h'), None)
    """
    plain = " ".join(cell.replace("_", " ").split())
    words = sorted(((word, name) for name, column in COLUMNS.items() for word in column.words),
                   key=lambda one: -len(one[0]))
    for word, name in words:
        alike = plain.startswith(word) if len(word) == 1 else plain.casefold().startswith(word.casefold())
        rest = plain[len(word):]
        if alike and not rest[:1].isalnum():
            return name, re.sub(r"^(in\s+)", "", rest.strip(" ,:[]()/"))
    return None


def _value(name: str, cell: str, unit: str) -> float:
    column = COLUMNS[name]
    if cell.casefold() in NOTHING:
        if column.needed:
            raise InputError("is missing", do="give it, or take the point out")
        return float("nan")
    typed = cell if re.search(r"[A-Za-z%°µ]", re.sub(r"[eE][+-]?\d", "", cell)) else f"{cell} {unit}".strip()
    number = parse(typed, column.kind, within=None if name == "efficiency" else column.within)
    if name == "efficiency" and not column.within.holds(number, column.kind):
        if unit:
            raise InputError("is not an efficiency below 100 %")
        raise InputError("is not an efficiency below 1", why="a number without a unit is a share of 1",
                         do="write % in the heading if it is per cent")
    return number
