"""One part of some work on its way to another process, and what that process does with it."""

from __future__ import annotations

import hashlib
import os
import pickle
import signal
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

from wetpath import __version__
from wetpath.circulation.batch import one_thread
from wetpath.errors import WorkersError
from wetpath.questions.parts import Result, Work

#: Rooms whose code and data decide the numbers.
_ROOMS = ("physics", "edge", "liquids", "coupling", "circulation", "machine", "rating", "questions", "upsets",
          "watching", "fleet", "links", "data")
#: Of these files.
_SUFFIXES = {".py", ".toml", ".csv"}
#: Libraries whose versions may change a last digit.
_LIBRARIES = ("numpy", "scipy", "numba")
#: What tells numerical libraries how many threads to start.
_THREAD_VARIABLES = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMEXPR_NUM_THREADS")


@dataclass(frozen=True)
class Task:
    """A part, with everything another machine needs for it; liquid tables and pump files travel in ``shared``."""

    solve: Callable[[Any, Any], Result]
    shared: bytes
    chunk: Any
    program: str                 # see `fingerprint`


def tasks_of(work: Work[Any, Any]) -> Callable[[int], Task]:
    """Make the task of a part by its number; what all share is packed once."""
    shared, program = pickle.dumps(work.shared, protocol=pickle.HIGHEST_PROTOCOL), fingerprint()
    return lambda number: Task(work.solve, shared, work.chunks[number], program)


def solve_task(task: Task) -> Result:
    """Do a part in one thread: there are as many workers as cores already."""
    if task.program != fingerprint():
        raise WorkersError(f"A worker runs another version of this program or its libraries than the {__version__} "
                           "here; its numbers may differ. Install the same versions on all machines.")
    with one_thread():
        return task.solve(_unpacked(task.shared), task.chunk)


@lru_cache(maxsize=2)
def _unpacked(shared: bytes) -> Any:
    return pickle.loads(shared)


def begin_worker() -> None:
    """Prepare a process of this machine: the terminal's interrupt goes to the one that waits for it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for name in _THREAD_VARIABLES:
        os.environ.setdefault(name, "1")


@cache
def fingerprint() -> str:
    """Digest of the version, the code and data that decide the numbers, and the numerical libraries."""
    package = Path(__file__).resolve().parents[2]
    digest = hashlib.sha256(" ".join([__version__, *(f"{name} {version(name)}" for name in _LIBRARIES)]).encode())
    for room in _ROOMS:
        for path in sorted((package / room).rglob("*")):
            if path.suffix in _SUFFIXES:
                digest.update(path.read_bytes())
    return digest.hexdigest()
