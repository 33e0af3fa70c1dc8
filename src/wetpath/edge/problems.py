"""The problems pydantic finds in a document, told in our words with field, line and remedy."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from wetpath.edge.annotations import literals_in, models_in, quantity_marks
from wetpath.edge.part import SeveralErrors
from wetpath.edge.quantities import RATIO, Kind
from wetpath.edge.ranges import OutOfRange, Within
from wetpath.edge.toml_places import Path, Places
from wetpath.errors import FileProblems, InputError, Problem, nearest_names

_RANGES = {"greater_than": ("gt", "above"), "greater_than_equal": ("ge", "lower"),
           "less_than": ("lt", "below"), "less_than_equal": ("le", "upper")}
_TYPES = {
    "string_type": "a text in quotes",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "float_parsing": "a number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "list_type": "a list",
    "tuple_type": "a list",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "date_type": "a date like 2025-03-31",
    "date_parsing": "a date like 2025-03-31",
    "date_from_datetime_parsing": "a date like 2025-03-31",
    "datetime_type": "a time like 2025-03-31T14:02:00Z",
    "datetime_parsing": "a time like 2025-03-31T14:02:00Z",
    "datetime_from_date_parsing": "a time like 2025-03-31T14:02:00Z",
}

#: Faults told of one file; nobody reads more.
MOST_TOLD = 200
_STEPS = re.compile(r"\[(\d+)\]|([^.\[\]]+)")


def problems_of(error: ValidationError, model: type[BaseModel], data: Any, *, file: str = "",
                places: Places | None = None) -> list[Problem]:
    """Return every problem of a failed validation, in the order of the file.

    Parameters
    ----------
    error : ValidationError
        What pydantic raised for ``data``.
    model : type[BaseModel]
        The model of the document.
    data : Any
        What was validated, as tables and lists.
    file, places
        Name of the file, and where its keys stand, when it came from one.
    """
    found = []
    records = error.errors()
    for record in records[:MOST_TOLD]:
        path = _path_in(data, record)
        given = _value_at(data, path)
        if record["type"] == "too_short" and isinstance(given, list) and len(given) >= record["ctx"]["min_length"]:
            continue  # enough were given; those that are wrong are told one by one
        for problem, inner in _told(record, path, model, data, places):
            found.append(_placed(problem, path + inner, data, file, places))
    order = sorted(range(len(found)), key=lambda index: (found[index].line or 0, index))
    more = len(records) - MOST_TOLD
    rest = [Problem(f"has {more} faults more", file=file, do="put these right first")] if more > 0 else []
    return list(dict.fromkeys(found[index] for index in order)) + rest


def field_name(path: Path, data: Any) -> str:
    """Write a path as users count: ``branch["rear hole"].length``, or ``branch[1]`` where there is no name.

    >>> field_name(("branch", 1, "length"), {"branch": [{}, {"length": 1}]})
    'branch[2].length'
    """
    text, here = "", data
    for step in path:
        here = _step(here, step)
        if isinstance(step, int):
            name = here.get("name") if isinstance(here, dict) else None
            text += f'["{name}"]' if isinstance(name, str) else f"[{step + 1}]"
        else:
            text += ("." if text else "") + step
    return text


def _told(record: Any, path: Path, model: type[BaseModel], data: Any,
          places: Places | None) -> Iterator[tuple[Problem, Path]]:
    kind = record["type"]
    context = record.get("ctx", {})
    raised = context.get("error")
    if isinstance(raised, InputError):
        yield from _from_raised(raised, path, data, places)
        return
    fields = list(_fields_at(model, path))
    if kind == "missing":
        field = fields[0] if fields else None
        yield Problem("is missing", do=_how_to_write(path[-1], field) if field else ""), ()
    elif kind == "extra_forbidden":
        known = _field_names(model, path[:-1])
        near = nearest_names(str(path[-1]), known, at_most=1)
        hint = f" Did you mean {near[0]}?" if near else ""
        yield Problem(f"is not a field of {_table_name(path[:-1])}.{hint}",
                      do="" if near else f"fields here: {', '.join(known)}"), ()
    elif kind in _RANGES:
        name, bound = _RANGES[kind]
        within = Within(**{bound: float(context[name])})
        quantity = next(_kinds(fields), RATIO)
        value = record["input"]
        if isinstance(value, str):
            error = OutOfRange(_outside(within, bound), quantity, within).retold(value)
        else:
            error = OutOfRange(float(value), quantity, within)
        yield error.problem, ()
    elif kind in ("literal_error", "enum", "union_tag_invalid"):
        yield from _not_in_list(record, fields, model, path)
    elif kind == "union_tag_not_found":
        name = str(context.get("discriminator", "")).strip("'")
        tags = sorted({tag for part in _models_at(model, path) if name in part.model_fields
                       for tag in literals_in(part.model_fields[name])})
        yield Problem("is missing", do=f"give one of: {', '.join(tags)}"), (name,)
    elif kind in _TYPES:
        listed = kind in ("list_type", "tuple_type") and any(models_in(field) for field in fields)
        yield Problem(f"is not {_TYPES[kind]}",
                      do=f"write [[{path[-1]}]] before each of its entries" if listed else ""), ()
    elif kind in ("too_short", "too_long"):
        number, word = (
            (context["min_length"], "at least") if kind == "too_short" else (context["max_length"], "at most")
        )
        yield Problem(f"has {context['actual_length']} entries; {word} {number} are needed"), ()
    else:
        yield Problem(str(raised) if raised else record["msg"][:1].lower() + record["msg"][1:]), ()


def _from_raised(
    error: InputError, path: Path, data: Any, places: Places | None
) -> Iterator[tuple[Problem, Path]]:
    if isinstance(error, SeveralErrors):
        for single in error.errors:
            yield from _from_raised(single, path, data, places)
        return
    if isinstance(error, FileProblems):
        for problem in error.problems:
            yield problem, _path_written(problem.field)
        return
    inner = _path_written(error.problem.field)
    typed = _value_at(data, path + inner)
    if isinstance(error, OutOfRange) and isinstance(typed, str) and inner:
        error = error.retold(typed)
    yield error.problem, inner


def _path_written(field: str) -> Path:
    """Return the path of a field written as users count: ``tags[2].tag`` is entry 1 of tags."""
    return tuple(int(number) - 1 if number else name for number, name in _STEPS.findall(field))


def _not_in_list(record: Any, fields: list[FieldInfo], model: type[BaseModel],
                 path: Path) -> Iterator[tuple[Problem, Path]]:
    context = record["ctx"]
    inner: Path = ()
    given = record["input"]
    if record["type"] == "union_tag_invalid":
        name = str(context["discriminator"]).strip("'")
        inner, given = (name,), context["tag"]
        allowed = [tag.strip("' ") for tag in str(context["expected_tags"]).split(",")]
    else:
        allowed = [choice.strip("'") for choice in str(context["expected"]).replace(" or ", ", ").split(", ")]
    near = nearest_names(str(given), allowed, at_most=1)
    hint = f" Did you mean {near[0]}?" if near else ""
    yield Problem(f"is not known here.{hint}", do=f"give one of: {', '.join(allowed)}"), inner


def _placed(problem: Problem, path: Path, data: Any, file: str, places: Places | None) -> Problem:
    name = field_name(path, data)
    if places is None:
        value = _value_at(data, path)
        shown = f'"{value}"' if isinstance(value, str) else ""
        return problem.at(field=name, value=shown or problem.value, file=file)
    line = places.line(path)
    return problem.at(field=name, value=places.value(path), file=file, line=line,
                      context=places.context(line) if line else ())


def _path_in(data: Any, record: Any) -> Path:
    """Return the path of a record in the document, without the members of unions that pydantic names."""
    path: list[str | int] = []
    here = data
    location = record["loc"]
    for position, step in enumerate(location):
        last = position == len(location) - 1
        exists = (isinstance(here, dict) and step in here) or (
            isinstance(here, (list, tuple)) and isinstance(step, int) and step < len(here))
        if exists or (last and record["type"] in ("missing", "extra_forbidden")):
            path.append(step)
            here = _step(here, step)
    return tuple(path)


def _step(here: Any, step: str | int) -> Any:
    if isinstance(here, dict):
        return here.get(step)
    if isinstance(here, (list, tuple)) and isinstance(step, int) and step < len(here):
        return here[step]
    return None


def _value_at(data: Any, path: Path) -> Any:
    for step in path:
        data = _step(data, step)
    return data


def _models_at(model: type[BaseModel], path: Path) -> list[type[BaseModel]]:
    models = [model]
    for step in path:
        if isinstance(step, str):
            inside = [part for holder in models if step in holder.model_fields
                      for part in models_in(holder.model_fields[step])]
            models = inside or models       # the key of a dict of parts leads to the same parts
    return models


def _fields_at(model: type[BaseModel], path: Path) -> Iterator[FieldInfo]:
    names = [step for step in path if isinstance(step, str)]
    if names:
        position = len(path) - 1 - path[::-1].index(names[-1])
        for holder in _models_at(model, path[:position]):
            if names[-1] in holder.model_fields:
                yield holder.model_fields[names[-1]]


def _field_names(model: type[BaseModel], path: Path) -> list[str]:
    return list(dict.fromkeys(name for part in _models_at(model, path) for name in part.model_fields))


def _kinds(fields: list[FieldInfo]) -> Iterator[Kind]:
    for field in fields:
        for mark in quantity_marks(field):
            yield mark.kind


def _outside(within: Within, bound: str) -> float:
    """Return some value on the wrong side of the only bound of a range."""
    value = float(getattr(within, bound))
    return value - 1 if bound in ("above", "lower") else value + 1


def _table_name(path: Path) -> str:
    names = ".".join(step for step in path if isinstance(step, str))
    if not names:
        return "this file"
    return f"[[{names}]]" if isinstance(path[-1], int) else f"[{names}]"


def _how_to_write(name: str | int, field: FieldInfo) -> str:
    kinds = list(_kinds([field]))
    example = f'{name} = "{kinds[0].example}"' if kinds else ""
    if field.examples:
        first = field.examples[0]
        example = f'{name} = "{first}"' if isinstance(first, str) else f"{name} = {first}"
    elif not example and literals_in(field):
        example = f'{name} = "{literals_in(field)[0]}"'
    elif not example and models_in(field):
        return f"write a table [{name}]" + (f": {field.description}" if field.description else "")
    elif not example and field.annotation is str:
        example = f'{name} = "..."'
    return "give " + ", for example ".join(text for text in (field.description or "it", example) if text)
