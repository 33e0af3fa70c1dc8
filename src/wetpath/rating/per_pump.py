"""What follows from a pump alone, worked out once and kept for as long as the pump lives."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TypeVar
from weakref import ref

from wetpath.machine.pump_file import PumpFile

Found = TypeVar("Found")


def once_per_pump(derive: Callable[[PumpFile], Found]) -> Callable[[PumpFile], Found]:
    """Keep what a function derives from a pump.

    A pump is frozen, and a changed one is another object, so the object itself is the key. It is kept beside the pump
    and not in it: a copy of a pump takes over all that is stored inside. What is derived must not refer to the pump,
    or the pump would never be let go.
    """
    known: dict[int, tuple[ref[PumpFile], Found]] = {}

    @wraps(derive)
    def kept(pump: PumpFile) -> Found:
        number = id(pump)
        entry = known.get(number)
        if entry is not None and entry[0]() is pump:
            return entry[1]

        def forget(dead: ref[PumpFile]) -> None:
            if (last := known.get(number)) is not None and last[0] is dead:
                del known[number]

        found = derive(pump)
        known[number] = ref(pump, forget), found
        return found

    return kept
