"""Keeps finished property tables on disk, so that a liquid is built once for each machine."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
import zipfile
from dataclasses import asdict
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from wetpath.liquids.liquid import Liquid, describe, from_description
from wetpath.liquids.lookup import LiquidArrays
from wetpath.words import packed

if TYPE_CHECKING:
    from wetpath.liquids.specification import LiquidSpecification

#: Names the folder of the cache, if set.
FOLDER_VARIABLE = "WETPATH_CACHE"


def folder() -> Path:
    """Where the tables are kept: ``$WETPATH_CACHE/liquids`` or the user's cache folder."""
    if given := os.environ.get(FOLDER_VARIABLE):
        return Path(given) / "liquids"
    from platformdirs import user_cache_path

    return user_cache_path("wetpath", appauthor=False) / "liquids"


def key(specification: LiquidSpecification) -> str:
    """Hash of all that decides what is in a table: the specification, the libraries, this package's code."""
    content = {"specification": asdict(specification), "libraries": _library_versions(),
               "code": _code()}
    return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()


def read(specification: LiquidSpecification) -> Liquid | None:
    """The liquid of this specification if its table is on disk and whole, else None."""
    path = folder() / f"{key(specification)}.npz"
    try:
        with path.open("rb") as handle, np.load(handle, allow_pickle=False) as file:
            description = json.loads(file["description"].tobytes())
            fields = {name: file[name] for name in LiquidArrays._fields}
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return None
    arrays = LiquidArrays(**{name: value.item() if value.ndim == 0 else value for name,
                             value in fields.items()})
    try:
        return from_description(description, arrays)
    except (KeyError, TypeError):
        return None


def write(specification: LiquidSpecification, liquid: Liquid) -> None:
    """Keep a table; a folder that cannot be written is no error, the table is then built again next time."""
    described = describe(liquid) | {"warnings": [packed(one) for one in liquid.warnings]}
    description = np.frombuffer(json.dumps(described).encode(), dtype=np.uint8)
    target = folder() / f"{key(specification)}.npz"
    with contextlib.suppress(OSError):
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=target.parent, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                np.savez(file, allow_pickle=False, description=description, **liquid.arrays._asdict())
            os.replace(name, target)
        except BaseException:
            os.unlink(name)
            raise


@cache
def _code() -> str:
    """Digest of the files that build the tables, so that a table of an older version is never read."""
    digest = hashlib.sha256()
    for path in sorted(Path(__file__).parent.glob("*.py")):
        digest.update(path.read_bytes())
    return digest.hexdigest()


@cache
def _library_versions() -> dict[str, str]:
    found = {}
    for name in ("CoolProp", "chemicals", "thermo", "scipy"):
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "absent"
    return found
