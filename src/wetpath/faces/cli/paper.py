"""What text is written on: headings, paragraphs and tables for a terminal, a pipe or a file."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TextIO, cast

from rich.cells import cell_len
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from wetpath.edge.units import THIN_SPACE
from wetpath.services.standing import Standing

#: Width where nobody says how wide the paper is.
WIDTH = 100
LEAST_WIDTH = 60
_LONGEST_WORD = 16      # longer ones may be broken
#: Colours of signs and headlines; words stay in the colour of the text.
COLOURS = {Standing.SHORT: "bold #c2410c", Standing.TIGHT: "#d9911f", Standing.HOLDS: "#5b9fc4",
           Standing.AMPLE: "#3f8fca", Standing.UNKNOWN: "bold", Standing.NOT_ASKED: "dim"}
#: What stands for a character that the encoding of the output does not have.
PLAIN = {"▼": "v", "◆": "~", "●": "o", "·": ".", "−": "-", "–": "-", "→": ">", "≥": ">", "≤": "<", "×": "x", "°": "d",
         "²": "2", "³": "3", "Ω": "O", "µ": "u", "─": "-", "\u2009": " ", "’": "'", "Ø": "D"}

#: Stands for a thin space while lines are broken, so that no number is parted from its unit.
GLUE = "\ue000"


class Paper:
    """A stream with a width, written on from top to bottom."""

    def __init__(self, stream: TextIO | None = None) -> None:
        self.stream = stream or sys.stdout
        given = os.environ.get("COLUMNS", "")
        width = int(given) if given.isdigit() else None if self.stream.isatty() else WIDTH
        self.console = Console(file=cast(TextIO, _Encoded(self.stream)), width=width and max(width, LEAST_WIDTH),
                               highlight=False, markup=False, emoji=False, legacy_windows=False, soft_wrap=False,
                               force_terminal=self.stream.isatty(),
                               no_color=bool(os.environ.get("NO_COLOR")) or not self.stream.isatty())

    @property
    def width(self) -> int:
        """Columns of the paper."""
        return self.console.width

    def headline(self, words: str, standing: Standing) -> None:
        """The answer, with its sign."""
        self.console.print(Text(f"{standing.sign} {words}", style=f"bold {COLOURS[standing]}"))

    def gap(self) -> None:
        """Leave a line empty."""
        self.console.print()

    def heading(self, words: str, more: str = "") -> None:
        """Begin a section."""
        text = Text(words, style="bold")
        if more:
            text.append(f", {more}", style="not bold")
        self.console.print()
        self.console.print(text)

    def say(self, words: str | Text, indent: int = 0) -> None:
        """Write a paragraph."""
        self.console.print(Padding(_glued(words), (0, 0, 0, indent), expand=False))

    def items(self, words: Sequence[str], marks: Sequence[str] = ()) -> None:
        """Write a list of sentences, each with a mark of its own or a dash."""
        rows = [(mark, item) for mark, item in zip(marks or ["–"] * len(words), words, strict=True)]
        self.table([Column(""), Column("", wraps=True)], rows)

    def table(self, columns: Sequence[Column], rows: Sequence[Sequence[str | Text]], *, foot: bool = False) -> None:
        """Write a table without lines; columns that may wrap give way when the paper is narrow.

        ``foot`` puts the cells of a row on its last line, so that titles of several lines stand on their columns.
        """
        self._lines(columns, self._widths(columns, rows), rows, any(column.title for column in columns), foot)

    def sections(self, columns: Sequence[Column], parts: Sequence[tuple[str, Sequence[Sequence[str | Text]]]]) -> None:
        """Write a table in parts, each under a line of its own."""
        widths = self._widths(columns, [row for _, rows in parts for row in rows])
        self._lines(columns, widths, [], True)
        for title, rows in parts:
            self.console.print(Text(title, style="dim"))
            self._lines(columns, widths, rows, False)

    @property
    def _gap(self) -> int:
        """Columns between the columns of a table."""
        return 2 if self.width >= WIDTH else 1

    def _lines(self, columns: Sequence[Column], widths: Sequence[int], rows: Sequence[Sequence[str | Text]],
               header: bool, foot: bool = False) -> None:
        """Write rows of a table, with or without the titles of its columns."""
        table = Table(box=None, padding=(0, self._gap, 0, 0), pad_edge=False, header_style="dim", show_header=header)
        for column, width in zip(columns, widths, strict=True):
            table.add_column(column.title, justify="right" if column.number else "left", overflow="fold", width=width,
                             vertical="bottom" if foot else "top")
        for row in rows:
            table.add_row(*map(_glued, row))
        self.console.print(table)

    def _widths(self, columns: Sequence[Column], rows: Sequence[Sequence[str | Text]]) -> list[int]:
        """Natural widths, less what wrapping columns must give, the widest first."""
        natural = []
        for number, column in enumerate(columns):
            texts = [str(row[number]) for row in rows]
            if not column.wraps or column.least is None:
                texts += column.title.split("\n")
            natural.append(max((cell_len(line) for text in texts for line in text.split("\n")), default=0))
        widths = [min(width, column.most or width) for width, column in zip(natural, columns, strict=True)]
        widths = [max(width, column.least or 0) for width, column in zip(widths, columns, strict=True)]
        words = [[word for row in rows for word in _glued(row[number]).plain.split()] for number in range(len(columns))]
        longest = [min(_LONGEST_WORD, max(map(cell_len, some), default=0)) for some in words]
        excess = sum(widths) + self._gap * (len(columns) - 1) - self.width
        while excess > 0:
            able = [number for number, column in enumerate(columns)
                    if column.wraps and widths[number] > max(column.least or 0, longest[number])]
            if not able:
                break
            widths[max(able, key=lambda number: widths[number])] -= 1
            excess -= 1
        return widths

    def by_case(self, cases: Sequence[str], rows: Sequence[tuple[str, Sequence[str]]]) -> None:
        """Write quantities down and operating cases across, as many tables as the width asks for."""
        label = max(len(name) for name, _ in rows)
        longest = max((len(text) for _, texts in rows for text in texts), default=0)
        each = max(12 if self.width >= WIDTH else 11, min(longest, 15))
        at_once = max(1, (self.width - min(label, 31)) // (each + self._gap))
        for first in range(0, len(cases), at_once):
            some = slice(first, first + at_once)
            columns = [Column("", wraps=True, least=min(label, 31))]
            columns += [Column(name, number=True, least=each, most=each, wraps=True) for name in cases[some]]
            self.table(columns, [(name, *texts[some]) for name, texts in rows], foot=True)


@dataclass(frozen=True)
class Column:
    """A column of a table; one that ``wraps`` may be narrower than its texts, down to ``least``."""

    title: str
    number: bool = False
    wraps: bool = False
    least: int | None = None
    most: int | None = None


def signed(standing: Standing, words: str = "") -> Text:
    """A sign in its colour, then words."""
    text = Text(standing.sign, style=COLOURS[standing])
    return text.append(f" {words}") if words else text


def _glued(words: str | Text) -> Text:
    """Words whose numbers stay with their units."""
    text = Text(words) if isinstance(words, str) else words.copy()
    text.plain = text.plain.replace(THIN_SPACE, GLUE)
    return text


class _Encoded:
    """A stream that writes a plain character for one its encoding does not have."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        encoding = getattr(stream, "encoding", None) or "utf-8"
        self.encoding = encoding
        self._plain = {}
        for character, plain in PLAIN.items():
            try:
                character.encode(encoding)
            except UnicodeEncodeError:
                self._plain[ord(character)] = plain

    def write(self, text: str) -> int:
        text = text.replace(GLUE, THIN_SPACE).translate(self._plain)
        if not self._stream.isatty():
            text = re.sub(" +$", "", text, flags=re.MULTILINE)
        return self._stream.write(text.encode(self.encoding, "replace").decode(self.encoding))

    def flush(self) -> None:
        self._stream.flush()

    def isatty(self) -> bool:
        return self._stream.isatty()

    def fileno(self) -> int:
        return self._stream.fileno()
