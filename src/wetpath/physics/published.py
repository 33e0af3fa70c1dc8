"""Marks that tie a formula to its published source and let the compiled kernel call it unchanged."""

import hashlib
import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, TypeVar, cast

import numba
import numpy as np
import platformdirs
from numba.extending import overload, register_jitable

Status = Literal["read", "recalled", "derived", "exact", "common practice"]
Function = TypeVar("Function", bound=Callable[..., Any])


@dataclass(frozen=True)
class Source:
    """One source of a formula: the key of its row in ``data/sources`` and how it is known.

    ``read`` = read in the text named, ``recalled`` = written from memory of it, ``derived`` = derived
    from first principles here, ``exact`` = a textbook identity, ``common practice`` = no source.
    """

    key: str
    status: Status


#: Every marked formula by its dotted name, for ``docs`` and for the list of sources of a rating.
FORMULAS: dict[str, tuple[Source, ...]] = {}


def published(key: str, *, status: Status) -> Callable[[Function], Function]:
    """Attach a source to a formula; stack it for several sources. It does not wrap the function."""

    def mark(function: Function) -> Function:
        name = f"{function.__module__}.{function.__qualname__}"
        FORMULAS[name] = (Source(key, status), *FORMULAS.get(name, ()))
        return function

    return mark


def in_kernel(function: Function) -> Function:
    """Let compiled code call this textbook function of scalars; in Python it stays what it is."""
    known: Function = register_jitable(function)
    return known


def choose(condition: Any, if_true: Any, if_false: Any) -> Any:
    """``if_true`` where the condition holds, else ``if_false``; for arrays and, in the kernel, scalars."""
    return np.where(condition, if_true, if_false)


@overload(choose)
def _choose_scalar(condition: Any, if_true: Any, if_false: Any) -> Any:
    def pick(condition: Any, if_true: Any, if_false: Any) -> Any:
        return if_true if condition else if_false

    return pick


def kernel_cache_folder() -> Path:
    """Folder of the compiled kernels, named by the content of every file they may be compiled from.

    The compiler's own cache looks only at the file of the outermost function; a formula changed in another
    file must not be answered from an old kernel. ``WETPATH_CACHE`` overrides the place.
    """
    package = Path(__file__).resolve().parents[1]
    digest = hashlib.sha256(numba.__version__.encode())
    for folder in ("physics", "liquids", "coupling", "circulation"):
        for path in sorted((package / folder).rglob("*.py")):
            digest.update(path.read_bytes())
    root = os.environ.get("WETPATH_CACHE") or platformdirs.user_cache_dir("wetpath")
    return Path(root) / f"kernels-{digest.hexdigest()[:16]}"


if not os.environ.get("NUMBA_CACHE_DIR"):
    vars(numba.config)["CACHE_DIR"] = str(kernel_cache_folder())


def compiled(function: Function) -> Function:
    """Compile a loop over cases once and keep it on disk; ``NUMBA_DISABLE_JIT=1`` leaves it plain Python.

    It runs without the interpreter's lock, so that threads can share a batch.
    """
    loop: Any = numba.njit(cache=True, error_model="numpy", nogil=True)(function)
    return cast(Function, loop)


def entry(function: Function, *like: Any) -> Function:
    """The machine code of a compiled loop for values of the types of ``like``, without a look at types in every call.

    For a solver that calls it a hundred thousand times. Every later call must come with the same types.
    """
    function(*like)
    loop: Any = function
    return cast(Function, loop.get_overload(tuple(numba.typeof(one) for one in like))
                if hasattr(loop, "get_overload") else function)
