"""Single fields set in a TOML text; comments, order and spelling of everything else stay."""

from __future__ import annotations

import re
from collections.abc import Mapping
from copy import deepcopy
from typing import Any

import tomlkit
from tomlkit.items import AoT, Table

from wetpath.errors import InputError
from wetpath.store.differences import ABSENT, Change, Entry, Step, Way, same
from wetpath.store.documents import plain, tables_of

_STEP = re.compile(r'(?P<first>[A-Za-z0-9_-]+)|\.(?P<key>[A-Za-z0-9_-]+)|\["(?P<name>(?:[^"\\]|\\.)*)"\]'
                   r"|\[(?P<number>[1-9]\d*)\]")


def way_of(field: str) -> Way:
    """Read a field as users write it; entries are named, or counted from 1.

    >>> way_of('cases["A normal"].flow'), way_of("cases[2].flow")
    (('cases', Entry(name='A normal'), 'flow'), ('cases', 1, 'flow'))
    """
    steps: list[Step] = []
    at = 0
    while at < len(field):
        match = _STEP.match(field, at)
        if match is None or (match["first"] is None) != bool(steps):
            raise InputError("is not the name of a field", field="field", value=f'"{field}"',
                             do='write it like flow, site.altitude or cases["A normal"].flow')
        if match["name"] is not None:
            steps.append(Entry(re.sub(r"\\(.)", r"\1", match["name"])))
        elif match["number"] is not None:
            steps.append(int(match["number"]) - 1)
        else:
            steps.append(match["first"] or match["key"])
        at = match.end()
    return tuple(steps)


def with_fields(content: str, values: Mapping[str, Any]) -> str:
    """Return a text with fields set to new values; None takes a field out.

    >>> with_fields('flow = "45 m3/h"   # by phone', {"flow": "60 m3/h"})
    'flow = "60 m3/h"   # by phone'
    """
    return applied(content, [Change(way_of(field), None, ABSENT if value is None else value)
                             for field, value in values.items()])


def applied(content: str, changes: list[Change]) -> str:
    """Return a text with changes made to it.

    Raises
    ------
    InputError
        A change leads to a place that is not there.
    """
    if not changes:
        return content
    wanted: Any = tables_of(content)
    document: Any = tomlkit.parse(plain(content))
    for change in changes:
        _set(wanted, change)
        _set(document, change)
    text = tomlkit.dumps(document)
    if not same(tables_of(text), wanted):
        # A value cannot stand behind the tables of a text; written anew they come in the right order.
        text = tomlkit.dumps(_in_order(document))
        if not same(tables_of(text), wanted):
            raise InputError("cannot be changed in this text", field=changes[0].field,
                             do="change it in the text itself")
    mark = "\ufeff" if content.startswith("\ufeff") else ""
    return mark + (text.replace("\n", "\r\n") if "\r\n" in content else text)


def _set(document: Any, change: Change) -> None:
    *way, last = change.way
    holder = document
    if change.order:
        _reorder(holder, change)
        return
    for step in way:
        index = _index(holder, step)
        if index is None:
            if change.after is ABSENT:
                return
            if not isinstance(step, str) or not hasattr(holder, "items"):
                raise _nowhere(change)
            holder[step] = tomlkit.table() if isinstance(document, tomlkit.TOMLDocument) else {}
            index = step
        holder = holder[index]
    index = _index(holder, last)
    if change.after is ABSENT:
        if index is not None:
            del holder[index]
        return
    if index is not None:
        if isinstance(holder, AoT):
            holder[index] = _table(change.after)
        else:
            holder[index] = _value(change.after, document)
    elif isinstance(last, Entry) and isinstance(holder, list):
        holder.append(_table(change.after) if isinstance(holder, AoT) else deepcopy(change.after))
    elif isinstance(last, str) and hasattr(holder, "items"):
        holder[last] = _value(change.after, document)
    else:
        raise _nowhere(change)


def _reorder(holder: Any, change: Change) -> None:
    """Put the named entries of a list in the order of another one; entries it does not name stay at the end."""
    for step in change.way:
        holder = holder[_index(holder, step)]
    entries = [deepcopy(entry) for entry in holder]
    rank = {name: place for place, name in enumerate(change.after)}
    entries.sort(key=lambda entry: rank.get(str(entry.get("name")), len(rank)))
    while len(holder):
        del holder[len(holder) - 1]
    for entry in entries:
        holder.append(entry)


def _index(holder: Any, step: Step) -> Any:
    if isinstance(step, Entry):
        if not isinstance(holder, list):
            return None
        return next((number for number, item in enumerate(holder)
                     if hasattr(item, "get") and item.get("name") == step.name), None)
    if isinstance(step, int):
        return step if isinstance(holder, list) and step < len(holder) else None
    return step if hasattr(holder, "items") and step in holder else None


def _value(value: Any, document: Any) -> Any:
    if not isinstance(document, tomlkit.TOMLDocument):
        return deepcopy(value)
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        listed = tomlkit.aot()
        for item in value:
            listed.append(_table(item))
        return listed
    return _table(value) if isinstance(value, dict) else value


def _table(values: dict[str, Any]) -> Table:
    table = tomlkit.table()
    ordered = sorted(values.items(), key=lambda pair: isinstance(pair[1], dict) or _is_list_of_tables(pair[1]))
    for key, value in ordered:
        table.append(key, _value(value, tomlkit.document()))
    return table


def _is_list_of_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(item, dict) for item in value)


def _in_order(document: Any) -> Any:
    ordered = tomlkit.document()
    for rank in range(3):
        for key, value in document.items():
            if rank == (2 if isinstance(value, AoT) else 1 if isinstance(value, Table) else 0):
                ordered.append(key, value)
    return ordered


def _nowhere(change: Change) -> InputError:
    return InputError("leads to no place in this text", field=change.field)
