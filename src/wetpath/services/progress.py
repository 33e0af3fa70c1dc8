"""What a use case says while the user waits."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

#: Takes one short sentence about what takes long; a face shows it, or not.
Announce = Callable[[str], None]


def silent(words: str) -> None:
    """Say nothing."""


def announce_compiling(announce: Announce, kernel: str = "batch", *, what: str = "the solver",
                       seconds: int = 15) -> None:
    """Say that a kernel (a module with a compiled loop) is compiled, when this machine has not compiled it yet."""
    if not _is_compiled(kernel):
        announce(f"compiling {what}, once on this machine, about {seconds} s")


def _is_compiled(kernel: str) -> bool:
    from numba.core import config

    folder = Path(getattr(config, "CACHE_DIR", ""))
    return bool(getattr(config, "DISABLE_JIT", False)) or any(folder.rglob(f"{kernel}.*.nbc"))
