"""Where in a TOML text every key and value stands, for messages; tomllib reads the values themselves."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass

Path = tuple[str | int, ...]


@dataclass(frozen=True)
class Place:
    """The place of a key: its line (first is 1), and the span of its value in the text."""

    line: int
    start: int = 0
    end: int = 0


class Places:
    """Line and value text of every path of a valid TOML document, for example ``("branch", 0, "length")``."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.lines = text.split("\n")
        self._places: dict[Path, Place] = {}
        self._counts: dict[Path, int] = {}
        _Scanner(text, self._places, self._counts).scan()

    def line(self, path: Path) -> int | None:
        """Return the line of a path, or of the nearest table around it; None for the document itself."""
        for length in range(len(path), 0, -1):
            if (place := self._places.get(path[:length])) is not None:
                return place.line
        return None

    def has(self, path: Path) -> bool:
        """Whether the path itself stands in the text."""
        return path in self._places

    def value(self, path: Path) -> str:
        """Return the value of a path as it is written, shortened to one line; empty for a table."""
        place = self._places.get(path)
        if place is None or place.end <= place.start:
            return ""
        written = " ".join(self.text[place.start:place.end].split())
        return written if len(written) <= 60 else written[:57] + "..."

    def context(self, line: int, column: int | None = None) -> tuple[str, ...]:
        """Return the line before and the line itself with a marker, and with a caret under ``column``."""
        before = next((number for number in range(line - 1, 0, -1) if self.lines[number - 1].strip()), None)
        return marked_lines(self.lines, line, before, column)


def marked_lines(
    lines: list[str], line: int, before: int | None, column: int | None = None
) -> tuple[str, ...]:
    """Return the lines ``before`` and ``line`` with their numbers, the second marked."""
    width = len(str(line))
    shown = [f"    {before:>{width}} | {lines[before - 1].rstrip()}"] if before else []
    if line <= len(lines):
        shown.append(f"  > {line:>{width}} | {lines[line - 1].rstrip()}")
        if column is not None:
            shown.append(f"    {'':>{width}} | {' ' * (column - 1)}^")
    return tuple(shown)


class _Scanner:
    """One walk over a text that tomllib has accepted, so that every construct may be trusted to be closed."""

    def __init__(self, text: str, places: dict[Path, Place], counts: dict[Path, int]) -> None:
        self.text, self.places, self.counts = text, places, counts
        self.at, self.line_number, self.counted = 0, 1, 0

    def scan(self) -> None:
        table: Path = ()
        while self._skip(" \t\r\n"):
            if self.text.startswith("[[", self.at):
                table = self._header(2)
            elif self.text[self.at] == "[":
                table = self._header(1)
            else:
                self._pair(table)

    def _line(self) -> int:
        self.line_number += self.text.count("\n", self.counted, self.at)
        self.counted = self.at
        return self.line_number

    def _skip(self, blanks: str) -> bool:
        """Move over blanks, and over comments where line ends are blanks; False at the end of the text."""
        while self.at < len(self.text):
            character = self.text[self.at]
            if character == "#" and "\n" in blanks:
                end = self.text.find("\n", self.at)
                self.at = len(self.text) if end < 0 else end
            elif character in blanks:
                self.at += 1
            else:
                return True
        return False

    def _header(self, brackets: int) -> Path:
        line = self._line()
        self.at += brackets
        keys = self._dotted_key()
        self.at += brackets
        path: Path = ()
        for position, key in enumerate(keys):
            path += (key,)
            last = position == len(keys) - 1
            if brackets == 2 and last:
                self.counts[path] = self.counts.get(path, 0) + 1
                self.places.setdefault(path, Place(line))
            if path in self.counts:
                path += (self.counts[path] - 1,)
            if last:
                self.places[path] = Place(line)
            else:
                self.places.setdefault(path, Place(line))
        return path

    def _pair(self, table: Path) -> None:
        line = self._line()
        path = table
        for key in self._dotted_key():
            path += (key,)
            self.places.setdefault(path, Place(line))
        self.at += 1                                    # the equals sign
        self._skip(" \t")
        start = self.at
        self._value(path)
        self.places[path] = Place(line, start, self.at)

    def _dotted_key(self) -> list[str]:
        keys: list[str] = []
        while True:
            self._skip(" \t")
            start = self.at
            if self.text[self.at] in "\"'":
                self._string()
                keys.append(next(iter(tomllib.loads(self.text[start:self.at] + "=0"))))
            else:
                while self.text[self.at] not in " \t.=]":
                    self.at += 1
                keys.append(self.text[start:self.at])
            self._skip(" \t")
            if self.text[self.at] != ".":
                return keys
            self.at += 1

    def _value(self, path: Path) -> None:
        character = self.text[self.at]
        if character in "\"'":
            self._string()
        elif character == "[":
            self._array(path)
        elif character == "{":
            self._inline_table(path)
        else:
            while self.at < len(self.text) and self.text[self.at] not in ",]}#\r\n":
                self.at += 1
            while self.text[self.at - 1] in " \t":
                self.at -= 1

    def _array(self, path: Path) -> None:
        self.at += 1
        index = 0
        while self._skip(" \t\r\n,") and self.text[self.at] != "]":
            line, start = self._line(), self.at
            self._value((*path, index))
            self.places[(*path, index)] = Place(line, start, self.at)
            index += 1
        self.at += 1

    def _inline_table(self, path: Path) -> None:
        self.at += 1
        while self._skip(" \t\r\n,") and self.text[self.at] != "}":
            self._pair(path)
        self.at += 1

    def _string(self) -> None:
        quote = self.text[self.at]
        if self.text.startswith(quote * 3, self.at):
            self.at += 3
            while not self.text.startswith(quote * 3, self.at):
                self.at += 2 if quote == '"' and self.text[self.at] == "\\" else 1
            self.at += 3
            while self.text.startswith(quote, self.at):  # up to two quotes may stand before the closing three
                self.at += 1
        else:
            self.at += 1
            while self.text[self.at] != quote:
                self.at += 2 if quote == '"' and self.text[self.at] == "\\" else 1
            self.at += 1
