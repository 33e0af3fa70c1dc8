"""What every part of a machine, and every other table of a file, is built on: data that check themselves."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, Self, TypeVar

from pydantic import BaseModel, ConfigDict, Field, model_validator
from pydantic.fields import FieldInfo

from wetpath.edge.fields import Measured, MeasuredList, SiFloat, SiInt
from wetpath.edge.quantities import RATIO, Kind
from wetpath.edge.ranges import OutOfRange, Within
from wetpath.errors import InputError

Rule = TypeVar("Rule", bound=Callable[..., Any])


class SeveralErrors(InputError):
    """All the rules one part breaks; ``errors`` keeps them apart."""

    def __init__(self, errors: list[InputError]) -> None:
        self.errors = tuple(errors)
        self.problem = errors[0].problem
        Exception.__init__(self, "\n".join(str(error) for error in errors))


class Part(BaseModel):
    """Base of every table in a file: unknown keys refused, values frozen, rules all checked.

    ::

        class ContainmentShell(Part):
            bore: Length = drawing("inside diameter under the magnets")
            wall: Length = drawing("wall thickness under the magnets", upper="20 mm")

            @rule
            def wall_is_thin(self) -> None:
                self.within("wall", upper=0.05 * self.bore, note=f"for a bore of {self.shown('bore')}",
                            words="is too thick", why="the eddy-loss model takes the wall as thin")
    """

    model_config = ConfigDict(extra="forbid", frozen=True, validate_default=True)

    def within(self, field: str, *, lower: float | str | None = None, above: float | str | None = None,
               upper: float | str | None = None, below: float | str | None = None,
               note: str = "", words: str = "", why: str = "", do: str = "") -> Self:
        """Raise `OutOfRange` when a field (one quantity or a list) lies outside a range; else return self.

        Bounds are in SI or texts. ``note`` follows the range ("for a bore of 130 mm"), ``words`` replace
        "is too large".
        """
        kind = kind_of(type(self), field)
        limits = Within(lower=lower, above=above, upper=upper, below=below)
        value = getattr(self, field)
        for item in value if isinstance(value, tuple) else (value,):
            if item is not None and not limits.holds(item, kind):
                raise OutOfRange(item, kind, limits, field=field, note=note, words=words, why=why, do=do,
                                 listed=isinstance(value, tuple))
        return self

    def refuse(self, field: str, text: str, *, why: str = "", do: str = "") -> InputError:
        """Return the error that says ``text`` of a field, to be raised by the caller."""
        value = getattr(self, field, None) if field else None
        shown = self.shown(field) if field in type(self).model_fields and value is not None else ""
        return InputError(text, field=field, value=f'"{shown}"' if shown else "", why=why, do=do)

    def shown(self, field: str) -> str:
        """Return the value of a field in words: with unit where it is a quantity."""
        from wetpath.edge.units import express

        value = getattr(self, field)
        mark = _mark(type(self), field)
        if mark is None or value is None:
            return str(value)
        values = value if isinstance(value, tuple) else (value,)
        return ", ".join(express(item, mark.kind, digits=4, space=" ") for item in values)

    @model_validator(mode="after")
    def _check_rules(self) -> Self:
        errors: list[InputError] = []
        for name in _rules_of(type(self)):
            try:
                getattr(self, name)()
            except SeveralErrors as several:
                errors.extend(several.errors)
            except InputError as error:
                errors.append(error)
        if len(errors) > 1:
            raise SeveralErrors(errors)
        if errors:
            raise errors[0]
        return self


def rule(check: Rule) -> Rule:
    """Mark a method of a `Part` as a rule: it raises an `InputError` when broken; all rules are tried."""
    check.is_rule = True  # type: ignore[attr-defined]
    return check


def drawing(
    description: str,
    *,
    default: Any = ...,
    lower: float | str | None = None,
    above: float | str | None = None,
    upper: float | str | None = None,
    below: float | str | None = None,
    examples: list[Any] | None = None,
    title: str | None = None,
) -> Any:
    """Describe a field as a drawing would, with its range; bounds in SI or as texts with a unit."""
    field: FieldInfo = Field(_in_si(default), description=description, examples=examples, title=title)
    if any(bound is not None for bound in (lower, above, upper, below)):
        field.metadata.append(Within(lower=lower, above=above, upper=upper, below=below))
    return field


def _in_si(default: Any) -> Any:
    """Mark a number the program gives as a default, so that it is not mistaken for one without its unit."""
    if isinstance(default, tuple):
        return tuple(_in_si(item) for item in default)
    if type(default) is float:
        return SiFloat(default)
    return SiInt(default) if type(default) is int else default


def kind_of(model: type[BaseModel], field: str) -> Kind:
    """Return the kind of quantity a field of a model holds; a plain number counts as a ratio."""
    mark = _mark(model, field)
    return mark.kind if mark else RATIO


def _mark(model: type[BaseModel], field: str) -> Measured | MeasuredList | None:
    from wetpath.edge.annotations import quantity_marks

    marks = quantity_marks(model.model_fields[field])
    return marks[0] if marks else None


@cache
def _rules_of(model: type[BaseModel]) -> tuple[str, ...]:
    """Return the names of the rules of a class, base classes first, in the order they are written."""
    names: dict[str, None] = {}
    for base in reversed(model.__mro__):
        for name, member in vars(base).items():
            if getattr(member, "is_rule", False):
                names.setdefault(name)
    return tuple(names)
