"""What the types of a model's fields say, also inside optional, list and union types."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from wetpath.edge.fields import Measured, MeasuredList


def quantity_marks(field: FieldInfo) -> list[Measured | MeasuredList]:
    """Return the marks of quantities of a field."""
    return [item for item in field.metadata if isinstance(item, (Measured, MeasuredList))] + marks_in(
        field.annotation
    )


def marks_in(annotation: Any) -> list[Measured | MeasuredList]:
    """Return the marks of quantities inside a type."""
    return [item for item in _inside(annotation) if isinstance(item, (Measured, MeasuredList))]


def models_in(field: FieldInfo) -> list[type[BaseModel]]:
    """Return the models a field may hold."""
    return [
        item for item in _inside(field.annotation) if isinstance(item, type) and issubclass(item, BaseModel)
    ]


def literals_in(field: FieldInfo) -> list[Any]:
    """Return the fixed values a field may have."""
    return [item for item in _inside(field.annotation) if isinstance(item, str)]


def _inside(annotation: Any) -> Iterator[Any]:
    yield annotation
    for argument in get_args(annotation):
        yield from _inside(argument)
