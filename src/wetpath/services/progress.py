"""What a use case says while the user waits."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

#: Takes one short sentence about what takes long; a face shows it, or not.
Announce = Callable[[str], None]


def silent(words: str) -> None:
    """Say nothing."""


def announce_compiling(announce: Announce) -> None:
    """Say that the solver is compiled, when this machine has no compiled solver of this version yet."""
    if not _solver_is_compiled():
        announce("compiling the solver, once on this machine, about 15 s")


def _solver_is_compiled() -> bool:
    from numba.core import config

    folder = Path(getattr(config, "CACHE_DIR", ""))
    return bool(getattr(config, "DISABLE_JIT", False)) or any(folder.rglob("batch.*.nbc"))
