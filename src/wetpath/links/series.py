"""Files with a row for each minute of a watched pump: written whole, found again by their SHA-256."""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wetpath.errors import SourceError


def write_series(folder: Path, file: str, names: Sequence[str], rows: NDArray[np.float64]) -> str:
    """Write rows under a name; return the SHA-256 of the file. It stands under its name only when it is whole.

    Parameters
    ----------
    folder : path
        Of all series.
    file : str
        Name below it.
    names : sequence of str
        Of the columns; the first is the time, UTC seconds since 1970.
    rows : array (rows, columns)
        SI; NaN where there is nothing.
    """
    table = pl.DataFrame({name: rows[:, place] for place, name in enumerate(names)}).with_columns(
        (pl.col(names[0]) * 1e6).round().cast(pl.Int64).cast(pl.Datetime("us", "UTC")))
    content = io.BytesIO()
    table.write_parquet(content, compression="zstd", statistics=False)
    target = folder / file
    try:
        target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle, unfinished = tempfile.mkstemp(dir=target.parent, suffix=".unfinished")
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(content.getbuffer())
                stream.flush()
                os.fsync(stream.fileno())
            os.replace(unfinished, target)
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(unfinished)
            raise
    except OSError as error:
        raise SourceError(f"{target} cannot be written: {error.strerror or error}. Make room there, or name another "
                          "folder.") from None
    return hashlib.sha256(content.getbuffer()).hexdigest()


def read_series(folder: Path, file: str, sha256: str) -> pl.DataFrame:
    """Read a file of the catalogue.

    Raises
    ------
    SourceError
        When it is not there, or not as it was written.
    """
    try:
        content = (folder / file).read_bytes()
    except OSError as error:
        raise SourceError(f"{folder / file} cannot be read: {error.strerror or error}.") from None
    if hashlib.sha256(content).hexdigest() != sha256:
        raise SourceError(f"{folder / file} is not as it was written: its SHA-256 differs from that of the catalogue.")
    return pl.read_parquet(io.BytesIO(content))
