"""The journal: what was acknowledged is there again, whatever happened to the process or the disk."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("pyarrow")

from wetpath.errors import SourceError
from wetpath.links import journal as module
from wetpath.links.journal import READING, Journal, Readings

TAGS = ("a", "b")


def batch(begin: int, count: int, tag: int = 0) -> Readings:
    made = np.zeros(count, READING)
    made["tag"], made["time"] = tag, (begin + np.arange(count)) * 10**9
    made["value"] = np.sin(made["time"] / 1e9)
    return made


def everything(folder: Path) -> Readings:
    one = Journal(folder, TAGS)
    found = np.concatenate([np.zeros(0, READING), *one.read()])
    one.close()
    return found


def test_parts_and_log_read_as_they_were_written(tmp_path: Path) -> None:
    one = Journal(tmp_path, TAGS, full=5000)
    for begin in range(0, 1000, 50):
        one.append(batch(begin, 50))
        one.append(batch(begin, 50, tag=1))
    one.close()
    assert len(list(tmp_path.glob("part-*.parquet"))) == 8
    assert len(list(tmp_path.glob("log-*.bin"))) == 1
    found = everything(tmp_path)
    for tag in (0, 1):
        assert np.array_equal(found[found["tag"] == tag], batch(0, 1000, tag))
    again = Journal(tmp_path, TAGS)
    assert again.last == {0: 999 * 10**9, 1: 999 * 10**9}
    later = np.concatenate(list(again.read(after=989 * 10**9)))
    again.close()
    assert sorted(set((later["time"] // 10**9).tolist())) == list(range(990, 1000))


@pytest.mark.parametrize("cut", [1, 7, 100])
def test_torn_end_of_a_log_is_cut_off(tmp_path: Path, cut: int) -> None:
    one = Journal(tmp_path, TAGS)
    one.append(batch(0, 10))
    one.append(batch(10, 10))
    one.close()
    log = next(tmp_path.glob("log-*.bin"))
    os.truncate(log, log.stat().st_size - cut)
    again = Journal(tmp_path, TAGS)
    assert again.last == {0: 9 * 10**9}
    again.append(batch(10, 5))
    again.close()
    assert np.array_equal(everything(tmp_path), batch(0, 15))


def test_damaged_frame_is_not_taken_for_readings(tmp_path: Path) -> None:
    one = Journal(tmp_path, TAGS)
    one.append(batch(0, 10))
    one.append(batch(10, 10))
    one.close()
    log = next(tmp_path.glob("log-*.bin"))
    raw = bytearray(log.read_bytes())
    raw[-3] ^= 0xFF
    log.write_bytes(raw)
    assert np.array_equal(everything(tmp_path), batch(0, 10))


def test_crash_between_part_and_new_log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    one = Journal(tmp_path, TAGS)
    one.append(batch(0, 20))

    def crash(*_: object) -> None:
        raise RuntimeError("the machine stops here")

    monkeypatch.setattr(Journal, "_open", crash)
    with pytest.raises(RuntimeError):
        one.finish()
    one.close()
    monkeypatch.undo()
    assert len(list(tmp_path.glob("part-*.parquet"))) == 1
    assert (tmp_path / "log-000001.bin").stat().st_size > 0
    assert np.array_equal(everything(tmp_path), batch(0, 20))


def test_crash_while_a_part_is_written(tmp_path: Path) -> None:
    one = Journal(tmp_path, TAGS)
    one.append(batch(0, 20))
    one.close()
    (tmp_path / "part.new").write_bytes(b"half a part")
    assert np.array_equal(everything(tmp_path), batch(0, 20))
    assert not (tmp_path / "part.new").exists()


def test_tags_keep_their_numbers_when_the_mapping_changes(tmp_path: Path) -> None:
    one = Journal(tmp_path, ("a", "b"))
    one.append(batch(0, 3, tag=1))
    one.close()
    again = Journal(tmp_path, ("c", "b"))
    assert (again.number("b"), again.number("c")) == (1, 2)
    again.close()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_real_full_device_is_told(tmp_path: Path) -> None:
    from io import FileIO

    one = Journal(tmp_path, TAGS)
    one.append(batch(0, 3))
    log, one._log = one._log, FileIO("/dev/full", "w")
    with pytest.raises(SourceError, match=r"The disk of the journal .* is full: receiving has stopped"):
        one.append(batch(3, 3))
    one.close()
    assert log is not None
    log.close()
    assert np.array_equal(everything(tmp_path), batch(0, 3))


def test_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(SourceError, match=r"The journal .* cannot be written"):
        Journal(tmp_path / "file" / "journal", TAGS)


def test_write_through_is_called_before_it_returns(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    one = Journal(tmp_path, TAGS)
    called = []
    monkeypatch.setattr(module.os, "fsync", lambda handle: called.append(os.fstat(handle).st_size))
    one.append(batch(0, 10))
    one.close()
    assert called == [12 + 10 * READING.itemsize]


@pytest.mark.parametrize(("file", "damage"), [("part-000001.parquet", b"no part"), ("part-000001.parquet", b""),
                                              ("tags.json", b"[")])
def test_damaged_file_is_named(file: str, damage: bytes, tmp_path: Path) -> None:
    one = Journal(tmp_path, TAGS)
    one.append(batch(0, 10))
    one.finish()
    one.close()
    (tmp_path / file).write_bytes(damage)
    with pytest.raises(SourceError, match=rf"The journal has a damaged file, .*{file}"):
        everything(tmp_path)
