"""What a report is made of, before it is set: sheets of words, tables and drawings."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Cell:
    """One cell as it is shown; with the number behind it, in the unit shown, where it is one."""

    text: str
    number: float | None = None
    decimals: int | None = None
    bold: bool = False
    changed: bool = False
    standing: str = ""
    sign: str = ""                # of the standing or the bound, before the number
    unit: str = ""                # behind the number, where the column does not name it
    across: int = 1               # columns it takes; those that follow in the row are empty
    formula: str = ""             # of the workbook, "{1}-{3}": columns of the same row


@dataclass(frozen=True)
class Table:
    """A table; a column is its name and whether it holds numbers."""

    title: str
    columns: tuple[tuple[str, bool], ...]
    rows: tuple[tuple[Cell, ...], ...]
    note: str = ""


@dataclass(frozen=True)
class Words:
    """Paragraphs under a title; a title may be empty."""

    title: str
    lines: tuple[str, ...]
    soft: bool = False


@dataclass(frozen=True)
class Picture:
    """A drawing with the words for those who do not see it."""

    title: str
    svg: str
    description: str
    width: str = "100%"


@dataclass(frozen=True)
class Chart:
    """Curves over one axis, for a native chart of a workbook; the numbers stand in a table of the same sheet."""

    title: str
    x_column: int
    y_columns: tuple[int, ...]
    x_name: str
    y_name: str


Part = Table | Words | Picture


@dataclass(frozen=True)
class Sheet:
    """One sheet of the report: a page or more of the PDF, one sheet of the workbook."""

    key: str
    title: str
    parts: tuple[Part, ...]
    chart: Chart | None = None
    wide: bool = False            # set across the paper


@dataclass(frozen=True)
class Report:
    """The whole report."""

    title: str
    subtitle: str
    headline: str
    standing: str
    sentence: str
    date: str
    draft: bool
    strip: tuple[str, ...]
    sheets: tuple[Sheet, ...]
    words: dict[str, str] = field(default_factory=dict)
