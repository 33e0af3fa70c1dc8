"""A pump watched live: the virtual plant served over OPC UA, its margin told without a false alarm."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np

from wetpath.edge.files import dump_document
from wetpath.services.demo import enquiry_path
from wetpath.services.watch import watch_live


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
