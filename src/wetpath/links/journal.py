"""The journal of a live source: what has been received is on the disk before it is used.

A folder holds finished parts, ``part-000001.parquet``, and one open log, ``log-000002.bin``. A batch of readings is
one frame of the log (mark, number, check sum, records) and counts when it is written through to the disk. A full log
becomes the part of its number: written aside, written through, renamed. A log whose part is there already is left over
from a crash and removed; a torn frame at the end of a log is cut off.
"""

from __future__ import annotations

import contextlib
import json
import os
import struct
import zlib
from collections.abc import Iterator, Mapping, Sequence
from io import FileIO, RawIOBase
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa  # type: ignore[import-untyped]
import pyarrow.parquet as parquet  # type: ignore[import-untyped]
from numpy.typing import NDArray

from wetpath.errors import InputError, SourceError

#: One reading: number of its tag, UTC nanoseconds since 1970, raw value, status code of OPC UA.
READING = np.dtype([("tag", "<u2"), ("time", "<i8"), ("value", "<f8"), ("status", "<u4")])
Readings = NDArray[np.void]

_FRAME = struct.Struct("<4sII")
_MARK = b"WPJ1"
#: Size at which a log becomes a part [byte], about 360 000 readings.
FULL = 8 << 20
_LAST, _SPAN = b"wetpath.last", b"wetpath.span"


class Journal:
    """Readings of some tags on the disk; one process writes at a time."""

    def __init__(self, folder: Path, tags: Sequence[str], *, full: int = FULL) -> None:
        self.folder = folder
        self.full = full
        self.last: dict[int, int] = {}           # newest time of each tag that is on the disk
        self._log: FileIO | None = None
        self._size = 0
        with _told(folder):
            folder.mkdir(parents=True, exist_ok=True)
            self._lock = _locked(folder)
            try:
                self.tags = self._known_tags(tags)
                self._recover()
            except BaseException:
                self.close()
                raise

    def number(self, tag: str) -> int:
        """Number of a tag in the records."""
        return self.tags.index(tag)

    def append(self, readings: Readings) -> None:
        """Write readings through to the disk; when this returns, they are safe.

        Raises
        ------
        SourceError
            The disk is full or cannot be written; nothing of these readings is kept, all before are.
        """
        if not readings.size:
            return
        assert self._log is not None
        payload = readings.tobytes()
        size = self._size
        try:
            _write_all(self._log, _FRAME.pack(_MARK, readings.size, zlib.crc32(payload)) + payload)
            os.fsync(self._log.fileno())
        except OSError as error:
            with contextlib.suppress(OSError):
                self._log.truncate(size)
                self._log.seek(size)
            raise _full(self.folder, error) from None
        self._size = size + _FRAME.size + len(payload)
        self._note(readings)
        if self._size >= self.full:
            self.finish()

    def finish(self) -> None:
        """Make the log a part."""
        readings = np.concatenate([np.zeros(0, READING), *_frames(self._log_path)])
        if not readings.size:
            return
        part, aside = self._part_path(self._number), self.folder / "part.new"
        with _told(self.folder):
            try:
                _write_part(aside, readings, self.last)
                os.replace(aside, part)
                _through(self.folder)
            except OSError:
                aside.unlink(missing_ok=True)
                raise
            old = self._log_path
            self._open(self._number + 1)
            old.unlink()

    def read(self, after: int = -(2**62)) -> Iterator[Readings]:
        """Readings later than a time [ns], in the order they came; a piece is at most a full log."""
        for path in self._parts():
            if _told_by(path, _SPAN)[1] > after:
                try:
                    table = parquet.read_table(path, use_threads=False)
                except (OSError, pa.ArrowInvalid):
                    raise _damaged(path) from None
                found = np.zeros(table.num_rows, READING)
                for name in READING.names or ():
                    found[name] = table[name].to_numpy()
                yield found[found["time"] > after]
        for found in _frames(self._log_path):
            yield found[found["time"] > after]

    def close(self) -> None:
        """Let go of the folder; what is on the disk stays."""
        if self._log is not None:
            with contextlib.suppress(OSError):
                self._log.close()
            self._log = None
        self._lock.close()

    def _note(self, readings: Readings) -> None:
        for tag in np.unique(readings["tag"]):
            newest = int(readings["time"][readings["tag"] == tag].max())
            self.last[int(tag)] = max(newest, self.last.get(int(tag), newest))

    def _known_tags(self, tags: Sequence[str]) -> list[str]:
        """Tags keep their numbers for as long as the folder lives; new ones come behind."""
        path = self.folder / "tags.json"
        try:
            known: list[str] = json.loads(path.read_text(encoding="utf-8")) if path.exists() else []
        except ValueError:
            raise _damaged(path) from None
        every = [*known, *(one for one in tags if one not in known)]
        if every != known:
            aside = self.folder / "tags.new"
            aside.write_text(json.dumps(every, ensure_ascii=False), encoding="utf-8")
            _through(aside)
            os.replace(aside, path)
            _through(self.folder)
        return every

    def _recover(self) -> None:
        (self.folder / "part.new").unlink(missing_ok=True)
        parts = self._parts()
        newest = int(parts[-1].stem.rpartition("-")[2]) if parts else 0
        if parts:
            self.last = {int(tag): time for tag, time in _told_by(parts[-1], _LAST).items()}
        for log in self.folder.glob("log-*.bin"):
            if int(log.stem.rpartition("-")[2]) <= newest:
                log.unlink()
        self._open(newest + 1)

    def _open(self, number: int) -> None:
        if self._log is not None:
            self._log.close()
        self._number = number
        self._log_path = self.folder / f"log-{number:06d}.bin"
        self._log_path.touch()
        good = 0
        for readings in _frames(self._log_path):
            good += _FRAME.size + readings.nbytes
            self._note(readings)
        self._log = FileIO(self._log_path, "r+")
        self._log.truncate(good)
        self._log.seek(0, os.SEEK_END)
        os.fsync(self._log.fileno())
        _through(self.folder)
        self._size = good

    def _part_path(self, number: int) -> Path:
        return self.folder / f"part-{number:06d}.parquet"

    def _parts(self) -> list[Path]:
        return sorted(self.folder.glob("part-*.parquet"))


def _write_all(file: RawIOBase, data: bytes) -> None:
    """Write every byte: without a buffer, a write may take a part only."""
    left = memoryview(data)
    while left:
        left = left[file.write(left) or 0:]


def _frames(path: Path) -> Iterator[Readings]:
    """Whole frames of a log; ends at the first that is torn."""
    with path.open("rb") as file:
        while len(head := file.read(_FRAME.size)) == _FRAME.size:
            mark, number, check = _FRAME.unpack(head)
            payload = file.read(number * READING.itemsize) if mark == _MARK else b""
            if len(payload) != number * READING.itemsize or mark != _MARK or zlib.crc32(payload) != check:
                return
            yield np.frombuffer(payload, READING)


def _write_part(path: Path, readings: Readings, last: Mapping[int, int]) -> None:
    span = [int(readings["time"].min()), int(readings["time"].max())]
    columns = {name: pa.array(np.ascontiguousarray(readings[name])) for name in READING.names or ()}
    table = pa.table(columns).replace_schema_metadata({_LAST: json.dumps(last), _SPAN: json.dumps(span)})
    with path.open("wb") as file:
        parquet.write_table(table, file, compression="zstd")
        file.flush()
        os.fsync(file.fileno())


def _told_by(path: Path, key: bytes) -> Any:
    """What a part says of itself."""
    try:
        return json.loads((parquet.read_schema(path).metadata or {})[key])
    except (OSError, pa.ArrowInvalid, KeyError, ValueError):
        raise _damaged(path) from None


def _damaged(path: Path) -> SourceError:
    return SourceError(f"The journal has a damaged file, {path}: it was changed from outside, or the disk failed. The "
                       "rest of the journal is not touched. Put the file back from a copy, or begin another journal in "
                       "another folder.")


def _through(path: Path) -> None:
    """Write a file or folder through to the disk."""
    if os.name == "nt" and path.is_dir():
        return                                  # a folder cannot be opened there; renames are written through
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _locked(folder: Path) -> Any:
    """Keep other processes from writing the same journal; the lock goes when this process does."""
    file = (folder / "lock").open("a")
    try:
        import fcntl
    except ImportError:
        return file
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        file.close()
        raise InputError("is in use by another process", field="--journal", value=f'"{folder}"',
                         do="stop that one, or give each watch a folder of its own") from None
    return file


@contextlib.contextmanager
def _told(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise _full(folder, error) from None


def _full(folder: Path, error: OSError) -> SourceError:
    import errno

    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        what = f"The disk of the journal {folder} is full"
    else:
        what = f"The journal {folder} cannot be written ({error.strerror or error})"
    return SourceError(f"{what}: receiving has stopped. All readings acknowledged before are kept. Make room and start "
                       "again: what is missing is read from the history of the server, where it has one.")
