"""A file with a change: what the change left alone is taken over, the rest is validated anew."""

from __future__ import annotations

from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from wetpath.edge.problems import problems_of
from wetpath.errors import FileProblems
from wetpath.machine.pump_file import PumpFile
from wetpath.questions.remedies.remedy import Change, unchanged
from wetpath.rating.enquiry import Enquiry

File = TypeVar("File", PumpFile, Enquiry)


def changed_file(file: File, change: Change) -> File:
    """Return the file with the change; raise `FileProblems` where it is refused.

    Tables that stay the same are those of the file, with what has been worked out of them; the file and every changed
    table are made anew, as a copy would keep what was worked out of values that are others now.
    """
    if change is unchanged:
        return file
    model = type(file)
    before, data = file.model_dump(), file.model_dump()
    change(data)
    try:
        return model.model_validate(_taken_over(file, data, before))
    except ValidationError as error:
        raise FileProblems(problems_of(error, model, data)) from None


def _taken_over(part: Any, value: Any, before: Any) -> Any:
    """The part itself where its value has stayed; of a table that has changed, the entries that have stayed."""
    if isinstance(value, dict) and isinstance(part, BaseModel):
        return {name: _own_or_taken(part, name, inner, before) for name, inner in value.items()}
    return value


def _own_or_taken(table: BaseModel, name: str, value: Any, before: Any) -> Any:
    if name not in before:
        return value
    part = getattr(table, name)
    return part if value == before[name] else _taken_over(part, value, before[name])
