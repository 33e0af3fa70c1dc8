"""Parts that are done, kept on disk until all of the work is, so that a run that was stopped goes on from there."""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import shutil
import tempfile
import time
from pathlib import Path

import numpy as np
import platformdirs

from wetpath.questions.parts import Result

#: Names the folder of the cache, if set.
FOLDER_VARIABLE = "WETPATH_CACHE"
#: A run that nobody has gone on with for this long is forgotten [s].
FORGOTTEN = 30 * 86400.0
_DIGEST = 32


def place_of_runs() -> Path:
    """Folder of the runs that are not finished."""
    return Path(os.environ.get(FOLDER_VARIABLE) or platformdirs.user_cache_dir("wetpath", appauthor=False)) / "parts"


class Kept:
    """The parts of one run. A folder that cannot be written is no error: the parts are then done again next time."""

    def __init__(self, key: str) -> None:
        self.folder = place_of_runs() / key

    def has(self, name: str, number: int) -> bool:
        """Whether a part is there."""
        return self._file(name, number).exists()

    def read(self, name: str, number: int) -> Result | None:
        """A part that was done before; None when it was not, or when its file is damaged."""
        try:
            content = self._file(name, number).read_bytes()
        except OSError:
            return None
        if hashlib.sha256(content[_DIGEST:]).digest() != content[:_DIGEST]:
            with contextlib.suppress(OSError):
                self._file(name, number).unlink()
            return None
        with np.load(io.BytesIO(content[_DIGEST:]), allow_pickle=False) as arrays:
            return {key: arrays[key] for key in arrays.files}

    def write(self, name: str, number: int, result: Result) -> None:
        """Keep a part; it stands under its name only when it is whole."""
        content = io.BytesIO()
        np.savez(content, allow_pickle=False, **result)
        with contextlib.suppress(OSError):
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            handle, unfinished = tempfile.mkstemp(dir=self.folder, suffix=".unfinished")
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(hashlib.sha256(content.getbuffer()).digest())
                    file.write(content.getbuffer())
                os.replace(unfinished, self._file(name, number))
            except BaseException:
                os.unlink(unfinished)
                raise

    def clear(self) -> None:
        """Drop the parts of this run, and runs that were forgotten."""
        shutil.rmtree(self.folder, ignore_errors=True)
        with contextlib.suppress(OSError):
            for run in self.folder.parent.iterdir():
                if run.is_dir() and time.time() - run.stat().st_mtime > FORGOTTEN:
                    shutil.rmtree(run, ignore_errors=True)

    def _file(self, name: str, number: int) -> Path:
        return self.folder / f"{name.replace(' ', '_')}-{number + 1:06d}.part"
