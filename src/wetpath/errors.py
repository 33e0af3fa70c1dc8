"""The whole exception tree, in one file.

::

    WetpathError                    anything the program says to its user; never a programming mistake
    ├── InputError                  something the user gave is wrong (exit code 2)
    │   ├── UnitError               a text that should be a number with a unit
    │   ├── UnknownName             a name that is not in a list; carries the nearest ones
    │   └── FileProblems            a file with one or many Problem records, all told at once
    ├── LimitError                  a value outside the range in which a model or table holds
    ├── Stopped                     work that its user stopped (exit code 130)
    ├── WorkersError                other processes or machines that were to do the work do not
    ├── SourceError                 a source of measured values does not answer, or what it sends cannot be kept
    └── DataError                   the program's own data is damaged or incomplete

Every message speaks to the user: which field, which value, what is allowed, why, what to do. A `Problem` is
one such message in its parts; errors that stand for one wrong field carry one in ``problem``.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any


@dataclass(frozen=True)
class Problem:
    """One thing wrong with one place of the input, told in its parts.

    ``text`` is what follows the place in a sentence, for example ``"is too thick; allowed: up to 6.5 mm"``.
    """

    text: str
    field: str = ""                  # dotted, as in the file: containment_shell.wall, or branch[2].length
    value: str = ""                  # as the user wrote it
    why: str = ""
    do: str = ""
    file: str = ""
    line: int | None = None          # first line is 1
    column: int | None = None        # first column is 1; only for errors of syntax
    context: tuple[str, ...] = ()    # lines of the file around it, already marked

    def at(self, **place: Any) -> Problem:
        """Return the same problem with more known about its place."""
        return replace(self, **place)

    @property
    def sentence(self) -> str:
        """The problem without its file, reason, remedy and context."""
        place = f"{self.field} = {self.value}" if self.field and self.value else self.field or self.value
        return f"{place} {self.text}".strip()

    def __str__(self) -> str:
        where = self.file
        if self.line is not None:
            where += (", " if where else "") + f"line {self.line}"
            if self.column is not None:
                where += f", column {self.column}"
        lines = [f"{where}: {self.sentence}" if where else self.sentence]
        if self.why:
            lines.append(f"  why: {self.why}")
        if self.do:
            lines.append(f"  do:  {self.do}")
        lines.extend(self.context)
        return "\n".join(lines)


class WetpathError(Exception):
    """Root of everything the program says to its user by an exception."""

    exit_code = 1


class InputError(WetpathError, ValueError):
    """Something the user gave is wrong: ``InputError("is too thick", field="wall", why="..", do="..")``.

    It is a ``ValueError`` so that a part may raise it while it checks itself and the loader of files goes on
    to collect the rest.
    """

    exit_code = 2

    def __init__(self, text: str, *, field: str = "", value: str = "", why: str = "", do: str = "") -> None:
        self.problem = Problem(text, field=field, value=value, why=why, do=do)
        super().__init__(str(self.problem))

    def __reduce__(self) -> tuple[Any, ...]:
        return _rebuild, (type(self), self.__dict__, self.args)


class UnitError(InputError):
    """A text that should be a number with a unit, and is not, or is one of another kind, or out of range."""


class UnknownName(InputError):
    """A name that is not in a list. ``nearest`` holds up to three names of the list that look alike."""

    def __init__(self, what: str, name: str, known: Iterable[str], *, field: str = "", do: str = "") -> None:
        names = sorted(set(known))
        self.name = name
        self.nearest = nearest_names(name, names)
        if self.nearest:
            hint = f"Did you mean {_or(self.nearest)}?"
        elif 0 < len(names) <= 12:
            hint = f"Known: {', '.join(names)}."
        else:
            hint = ""
        super().__init__(f"is not {with_article(what)} known here." + (f" {hint}" if hint else ""),
                         field=field, value=f'"{name}"', do=do)


class FileProblems(InputError):
    """All that is wrong with one or more files, told at once; ``problems`` keeps the records apart."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        Exception.__init__(self, "\n".join(str(problem) for problem in self.problems))

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The first of the problems."""
        return self.problems[0]


class LimitError(WetpathError):
    """A value outside the range in which a model or a table holds, where going on would mislead."""


class Stopped(WetpathError):
    """Work that its user stopped before there was an answer; tells what is done and kept."""

    exit_code = 130


class WorkersError(WetpathError):
    """Other processes or machines that were to do the work do not; tells what is done and kept."""

    exit_code = 2


class SourceError(WetpathError):
    """A source of measured values does not answer, or what it sends cannot be kept; nothing kept is lost."""

    exit_code = 2


class DataError(WetpathError):
    """The program's own data is damaged or incomplete: a fault of the installation, not of the user."""


#: What is typed is likened to known names by so many characters; comparing takes their square.
LONGEST_LIKENED = 200


def nearest_names(name: str, known: Iterable[str], *, at_most: int = 3) -> tuple[str, ...]:
    """Return the known names that look most like ``name``, best first; case and separators count little.

    >>> nearest_names("gap_raidal", ["bore", "gap_radial", "gap_axial"])
    ('gap_radial', 'gap_axial')
    """
    plain = {known_name: _plain(known_name) for known_name in known}
    wanted = _plain(name[:LONGEST_LIKENED])
    scored = [(difflib.SequenceMatcher(None, wanted, text).ratio(), known_name)
              for known_name, text in plain.items()]
    best = max((score for score, _ in scored), default=0.0)
    chosen = [item for item in scored if item[0] >= 0.6 and item[0] >= best - 0.2]
    chosen.sort(key=lambda item: (-item[0], item[1]))
    return tuple(known_name for _, known_name in chosen[:at_most])


def with_article(name: str) -> str:
    """Put the article before a name.

    >>> with_article("pump file"), with_article("enquiry")
    ('a pump file', 'an enquiry')
    """
    return f"an {name}" if name[:1] in "aeiou" else f"a {name}"


def _plain(name: str) -> str:
    return "".join(character for character in name.casefold() if character.isalnum())


def _or(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " or " + names[-1]


def _rebuild(kind: type[InputError], state: dict[str, Any], args: tuple[Any, ...]) -> InputError:
    error = kind.__new__(kind)
    error.__dict__.update(state)
    error.args = args
    return error
