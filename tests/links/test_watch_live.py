"""A pump watched live: the virtual plant served over OPC UA, its margin told without a false alarm."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from wetpath.edge.files import dump_document
from wetpath.errors import InputError
from wetpath.services.demo import enquiry_path
from wetpath.services.rating import load_service
from wetpath.services.watch import watch, watch_live, watcher_for
from wetpath.watching.samples import Samples, Signal


def test_a_served_pump_is_watched(new_plant: Callable, tmp_path: Path) -> None:
    plant = new_plant(speed=20.0)
    mapping = tmp_path / "mapping.toml"
    mapping.write_text(dump_document(plant.mapping), encoding="utf-8")
    raised = []
    found, files = watch_live(f"opc.tcp://127.0.0.1:{plant.port}", tmp_path / "journal", mapping,
                              enquiry_path("hot_water"), seconds=6.0, raised=raised.append)
    assert found.watcher.counts.taken > 60
    assert np.isfinite(found.watcher.lowest.margin)
    assert found.last > found.first
    assert not raised
    assert found.account
    assert any(one.role == "enquiry" for one in files)


def test_an_hour_in_small_pieces_keeps_one_row_a_minute() -> None:
    """However many pieces come, the minutes are those of the hour in one piece."""
    rating = load_service(enquiry_path("hot_water")).rate()
    usual = watcher_for(rating).errors.usual
    time = 1_750_000_020.0 + np.arange(600)
    signals = (Signal.FLOW, Signal.SUCTION_TEMPERATURE, Signal.SPEED, Signal.SUCTION_PRESSURE)
    whole = Samples(time, {one: np.full(time.size, value) for one, value in zip(signals, usual, strict=True)})
    pieces = [whole.between(float(begin), float(begin) + 2.0) for begin in time[::2]]
    one, other = watch(watcher_for(rating), [whole]), watch(watcher_for(rating), pieces)
    assert one.minutes.shape == other.minutes.shape == (10, 8)
    assert np.allclose(one.minutes, other.minutes, equal_nan=True)


def test_nothing_usable_says_what_was_left_out() -> None:
    rating = load_service(enquiry_path("hot_water")).rate()
    with pytest.raises(InputError, match="holds no usable sample\n  why: 7 readings of FT not used: bad quality"):
        watch(watcher_for(rating), [], told=lambda: ("7 readings of FT not used: bad quality",))


def test_a_server_that_does_not_answer_is_told_while_it_is_waited_for(new_plant: Callable, tmp_path: Path) -> None:
    plant = new_plant()
    mapping, said = tmp_path / "mapping.toml", []
    mapping.write_text(dump_document(plant.mapping), encoding="utf-8")
    plant.stop()
    with pytest.raises(InputError, match=f"why: no connection to opc.tcp://127.0.0.1:{plant.port}"):
        watch_live(f"opc.tcp://127.0.0.1:{plant.port}", tmp_path / "journal", mapping, enquiry_path("hot_water"),
                   seconds=3.0, announce=said.append)
    assert any(one.startswith("no connection to opc.tcp://127.0.0.1") for one in said)
