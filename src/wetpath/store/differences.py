"""What differs between two texts of a document, told by fields."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

from wetpath.store.documents import meaning_of, tables_of


class Entry(NamedTuple):
    """Step to the entry of a list of tables that has this name."""

    name: str


Step = str | int | Entry
Way = tuple[Step, ...]


class _Absent:
    """Stands where nothing is given."""

    def __repr__(self) -> str:
        return "not given"


ABSENT: Any = _Absent()


@dataclass(frozen=True)
class Change:
    """One field that differs; ``order`` when only the order of the entries of a list does."""

    way: Way
    before: Any
    after: Any
    order: bool = False

    @property
    def field(self) -> str:
        """The field as users write it: ``cases["A normal"].flow``."""
        return field_text(self.way)

    def __str__(self) -> str:
        return f"{self.field} {value_text(self.before)} -> {value_text(self.after)}"


@dataclass(frozen=True)
class FieldChange:
    """A change in words, as it is kept with a revision."""

    field: str
    before: str
    after: str

    def __str__(self) -> str:
        return f"{self.field} {self.before} -> {self.after}" if self.field else self.after


def differences(before: str, after: str) -> tuple[Change, ...]:
    """Return the fields that differ between two TOML texts; one and the same value spelt otherwise does not.

    >>> [str(change) for change in differences('flow = "45 m3/h"', 'flow = "60 m3/h"')]
    ['flow 45 m3/h -> 60 m3/h']
    """
    meanings = meaning_of(before), meaning_of(after)
    return tuple(change for change in _differing(tables_of(before), tables_of(after), ())
                 if change.order or not _means_the_same(change.way, *meanings))


def told(before: str | None, after: str) -> tuple[FieldChange, ...]:
    """Return the differences in words; a first text and one that differs in no field say so."""
    if before is None:
        return (FieldChange("", "", "first revision"),)
    found = differences(before, after)
    if not found and before != after:
        return (FieldChange("", "", "no value: only comments, order of fields or spelling"),)
    return tuple(FieldChange(change.field, value_text(change.before), value_text(change.after)) for change in found)


def field_text(way: Way) -> str:
    """Write the way to a value as users do.

    >>> field_text(("cases", Entry("A"), "flow")), field_text(("list", 0))
    ('cases["A"].flow', 'list[1]')
    """
    text = ""
    for step in way:
        if isinstance(step, Entry):
            text += f"[{json.dumps(step.name, ensure_ascii=False)}]"
        elif isinstance(step, int):
            text += f"[{step + 1}]"
        else:
            text += ("." if text else "") + step
    return text


def value_text(value: Any) -> str:
    """Write a value for people, in one line."""
    if isinstance(value, str):
        words = " ".join(value.split())
        return words if len(words) <= 80 else words[:77] + "..."
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return f"a table of {len(value)}"
    if isinstance(value, list):
        if any(isinstance(item, (dict, list)) for item in value):
            return f"a list of {len(value)}"
        return value_text(", ".join(value_text(item) for item in value)) or "an empty list"
    return str(value)


def step_into(holder: Any, step: Step) -> Any:
    """Return what a step leads to; `ABSENT` when it leads nowhere."""
    if isinstance(step, Entry):
        if not isinstance(holder, list):
            return ABSENT
        return next((item for item in holder if isinstance(item, dict) and item.get("name") == step.name), ABSENT)
    if isinstance(step, int):
        return holder[step] if isinstance(holder, list) and step < len(holder) else ABSENT
    return holder.get(step, ABSENT) if isinstance(holder, dict) else ABSENT


def value_at(tables: Any, way: Way) -> Any:
    """Return the value at the end of a way; `ABSENT` when there is none."""
    for step in way:
        tables = step_into(tables, step)
    return tables


def names_of(value: Any) -> list[str] | None:
    """Return the names of the entries of a list of tables when each has one of its own."""
    if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
        return None
    names = [item.get("name") for item in value]
    if not all(isinstance(name, str) for name in names) or len(set(names)) != len(names):
        return None
    return [name for name in names if isinstance(name, str)]


def same(one: Any, other: Any) -> bool:
    """Whether two values are the same as they are typed: 1, 1.0 and true are three."""
    if type(one) is not type(other):
        return False
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(same, one, other))
    return bool(one == other)


def _differing(before: Any, after: Any, way: Way) -> Iterator[Change]:
    if isinstance(after, dict) and after and (
            isinstance(before, dict) or (before is ABSENT and not _is_entry(way))):
        earlier = {} if before is ABSENT else before
        for key in dict.fromkeys((*earlier, *after)):
            yield from _differing(earlier.get(key, ABSENT), after.get(key, ABSENT), (*way, key))
        return
    names, others = names_of(before), names_of(after)
    if names and others:
        for name in dict.fromkeys((*names, *others)):
            yield from _differing(step_into(before, Entry(name)), step_into(after, Entry(name)), (*way, Entry(name)))
        common = [name for name in others if name in names]
        if common != [name for name in names if name in others]:
            yield Change(way, names, others, order=True)
    elif _tables(before) and _tables(after) and len(before) == len(after) and names is None and others is None:
        for number, pair in enumerate(zip(before, after, strict=True)):
            yield from _differing(*pair, (*way, number))
    elif not same(before, after):
        yield Change(way, before, after)


def _is_entry(way: Way) -> bool:
    """Whether a way leads to a named entry of a list; a new one is told as one change."""
    return bool(way) and isinstance(way[-1], Entry)


def _tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(item, dict) for item in value)


def _means_the_same(way: Way, before: dict[str, Any] | None, after: dict[str, Any] | None) -> bool:
    if before is None or after is None:
        return False
    one, other = value_at(before, way), value_at(after, way)
    return one is not ABSENT and same(one, other)

