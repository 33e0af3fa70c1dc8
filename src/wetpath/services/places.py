"""Errors that turn up after reading, put at the file, the field and the line they come from."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path

from wetpath.edge.problems import field_name
from wetpath.edge.toml_places import Places
from wetpath.errors import FileProblems, InputError, Problem

_STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")
_NO_NAMES: Mapping[str, str] = {}


def placed(error: InputError, file: str | os.PathLike[str], names: Mapping[str, str] = _NO_NAMES) -> FileProblems:
    """Return an error as a problem of one file.

    ``names`` gives, for fields that the error calls by another name than the file does, the name in the file. A
    `FileProblems` names its own places and is returned as it is.
    """
    if isinstance(error, FileProblems):
        return error
    return FileProblems([problem_at(error.problem, file, error.problem.field, names)])


def problem_at(problem: Problem, file: str | os.PathLike[str], field: str,
               names: Mapping[str, str] = _NO_NAMES) -> Problem:
    """Return a problem at a field of a file, with the line and the value that stand there."""
    text = _text(file)
    places = Places(text)
    if field in names and places.value(path_of(field))[:1] in ("", "{") and places.has(path_of(names[field])):
        field = names[field]
    path = path_of(field)
    line = places.line(path)
    written = places.value(path)
    if written.startswith("[") and problem.value:
        written = problem.value          # one entry of a list is wrong, not the list
    return problem.at(field=field_name(path, tomllib.loads(text)), file=str(file), line=line,
                      value=written or problem.value, context=places.context(line) if line else ())


def path_of(field: str) -> tuple[str | int, ...]:
    """Path of a field as users count.

    >>> path_of("cases[2].suction_pressure")
    ('cases', 1, 'suction_pressure')
    """
    return tuple(name or int(number) - 1 for name, number in _STEP.findall(field))


def _text(file: str | os.PathLike[str]) -> str:
    return Path(file).read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
