"""The cache of liquid tables: what is read is what was written, and damage is repaired silently."""

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from wetpath.liquids import specification as module
from wetpath.liquids import store
from wetpath.liquids.liquid import describe
from wetpath.liquids.specification import LiquidSpecification, load_liquid

WATER = LiquidSpecification("reference equation", ("water",))


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv(store.FOLDER_VARIABLE, str(tmp_path))
    return tmp_path / "liquids"


@pytest.fixture
def builds(monkeypatch):
    """Counts how often a table is built."""
    built = []
    original = module._build
    monkeypatch.setattr(module, "_build", lambda wanted: built.append(wanted) or original(wanted))
    return built


def test_second_load_reads_the_same_liquid(folder, builds):
    first, second = load_liquid(WATER), load_liquid(WATER)
    assert len(builds) == 1
    assert describe(second) == describe(first)
    assert second.content_hash == first.content_hash
    for ours, theirs in zip(first.arrays, second.arrays, strict=True):
        np.testing.assert_array_equal(ours, theirs)
    np.testing.assert_array_equal(first.state(300.0, 1e5), second.state(300.0, 1e5))


def test_table_without_vapour_pressure_survives(folder):
    wanted = LiquidSpecification("solution", ("ethanol",), (0.3,))
    load_liquid(wanted)
    assert not load_liquid(wanted).has_vapour_pressure


def test_another_specification_has_another_file(folder, builds):
    load_liquid(WATER)
    load_liquid(replace(WATER, highest_excess_pressure=5e6))
    assert len(builds) == 2
    assert len(list(folder.glob("*.npz"))) == 2


@pytest.mark.parametrize("damage", [lambda data: b"", lambda data: data[:100], lambda data: b"x" * len(data),
                                    lambda data: data[:-200] + bytes(200),
                                    lambda data: data[:3000] + bytes(500) + data[3500:]])
def test_damaged_file_is_built_again(folder, builds, damage):
    good = load_liquid(WATER)
    path, = folder.glob("*.npz")
    path.write_bytes(damage(path.read_bytes()))
    again = load_liquid(WATER)
    assert len(builds) == 2
    assert again.content_hash == good.content_hash
    load_liquid(WATER)
    assert len(builds) == 2


def test_no_part_files_are_left(folder):
    load_liquid(WATER)
    assert [path.suffix for path in folder.iterdir()] == [".npz"]


def test_without_cache_nothing_is_written(folder):
    load_liquid(WATER, cache=False)
    assert not folder.exists()


def test_folder_that_cannot_be_made_is_no_error(tmp_path, monkeypatch):
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    monkeypatch.setenv(store.FOLDER_VARIABLE, str(blocked))
    assert load_liquid(WATER).name == "water"


def test_importing_and_reading_a_table_needs_no_property_library(folder):
    load_liquid(WATER)
    code = ("import sys; from wetpath.liquids.specification import LiquidSpecification, load_liquid;"
            "load_liquid(LiquidSpecification('reference equation', ('water',)));"
            "print([name for name in ('CoolProp', 'chemicals', 'thermo', 'pandas') if name in sys.modules])")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
