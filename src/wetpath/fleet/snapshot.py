"""What a watch remembers, as plain numbers and words: kept, and taken up again by a watch of the same pump.

Reading it runs no program: numbers, words, arrays, and the data classes and named tuples of the watch by name, nothing
else.
"""

from __future__ import annotations

import dataclasses
import importlib
import io
import json
from collections import deque
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.errors import WetpathError
from wetpath.watching.watcher import Watcher

FORMAT = "memory of a watch/1"
#: What a watch, and its baseline, is made of, which is made anew, not remembered.
_MADE = ("surrogate", "errors", "margin_asked", "_coefficients", "_observed", "wander")
_BASELINE = "_baseline"
_ROOM = "wetpath.watching."


class MemoryNotKnown(WetpathError):
    """What a watch remembers was kept by another version of the program, or is damaged."""


def memory_of(watcher: Watcher, free: Mapping[str, int]) -> bytes:
    """What a watch remembers, with the hours in a row that each alarm has had no reason."""
    arrays: dict[str, NDArray[Any]] = {}
    values = _remembered(watcher) | {_BASELINE: _remembered(watcher._baseline)}
    told = {"format": FORMAT, "values": _told(values, arrays), "free": dict(free)}
    content = io.BytesIO()
    np.savez_compressed(content, allow_pickle=False, told=np.frombuffer(json.dumps(told).encode(), np.uint8), **arrays)
    return content.getvalue()


def remember(watcher: Watcher, memory: bytes) -> dict[str, int]:
    """Let a watch that has just been made go on from what another remembered; return the hours without a reason.

    Raises
    ------
    MemoryNotKnown
        When it was kept by another version of the program: the watch then has to begin anew.
    """
    try:
        with np.load(io.BytesIO(memory), allow_pickle=False) as kept:
            arrays = {name: kept[name] for name in kept.files}
        told = json.loads(arrays.pop("told").tobytes())
        values = _read(told["values"], arrays)
        baseline = values.pop(_BASELINE)
        if (told["format"] != FORMAT or set(values) != set(_remembered(watcher)) - {_BASELINE}
                or set(baseline) != set(_remembered(watcher._baseline))):
            raise ValueError("other things are remembered")
    except (ValueError, KeyError, TypeError, OSError, EOFError, AttributeError, ImportError) as error:
        raise MemoryNotKnown(f"What the watch remembers cannot be read by this version ({error}).") from None
    for owner, kept_of_it in ((watcher, values), (watcher._baseline, baseline)):
        for name, value in kept_of_it.items():
            setattr(owner, name, value)
    watcher._coefficients = watcher.surrogate.at_feed(watcher.feed)
    return {str(name): int(hours) for name, hours in told["free"].items()}


def _remembered(one: object) -> dict[str, Any]:
    """What of a watch or its baseline is remembered, by name."""
    return {name: value for name, value in vars(one).items() if name not in _MADE}


def _told(value: Any, arrays: dict[str, NDArray[Any]]) -> Any:
    if isinstance(value, np.ndarray):
        name = f"a{len(arrays)}"
        arrays[name] = value
        return {"array": name}
    if isinstance(value, np.generic):
        return _told(value.item(), arrays)
    if value is None or isinstance(value, (bool, int, float)):
        return value
    if isinstance(value, str):
        return str(value)
    if isinstance(value, deque):
        return {"row": [_told(one, arrays) for one in value], "of": value.maxlen}
    kind = type(value)
    if isinstance(value, tuple) and hasattr(value, "_asdict"):
        return {"kind": f"{kind.__module__}:{kind.__qualname__}", "fields": _told(value._asdict(), arrays)}
    if isinstance(value, tuple):
        return {"tuple": [_told(one, arrays) for one in value]}
    if isinstance(value, list):
        return {"list": [_told(one, arrays) for one in value]}
    if isinstance(value, Mapping):
        return {"map": [[str(key), _told(one, arrays)] for key, one in value.items()]}
    if dataclasses.is_dataclass(value) and kind.__module__.startswith(_ROOM):
        fields = {one.name: getattr(value, one.name) for one in dataclasses.fields(value)}
        return {"kind": f"{kind.__module__}:{kind.__qualname__}", "fields": _told(fields, arrays)}
    raise TypeError(f"a watch that remembers {kind.__name__} cannot be kept")


def _read(told: Any, arrays: Mapping[str, NDArray[Any]]) -> Any:
    if not isinstance(told, dict):
        return told
    if "array" in told:
        return arrays[told["array"]]
    if "row" in told:
        return deque((_read(one, arrays) for one in told["row"]), maxlen=told["of"])
    if "tuple" in told:
        return tuple(_read(one, arrays) for one in told["tuple"])
    if "list" in told:
        return [_read(one, arrays) for one in told["list"]]
    if "map" in told:
        return {key: _read(one, arrays) for key, one in told["map"]}
    room, _, name = told["kind"].partition(":")
    kind = getattr(importlib.import_module(room), name) if room.startswith(_ROOM) else None
    if not (isinstance(kind, type) and (dataclasses.is_dataclass(kind) or hasattr(kind, "_asdict"))
            and kind.__module__ == room):
        raise ValueError(f"{told['kind']} is not known")
    return kind(**_read(told["fields"], arrays))
