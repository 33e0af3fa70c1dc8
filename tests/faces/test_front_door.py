"""The front door: the names it shows, that it opens at once, and that paths and objects give the same."""

from __future__ import annotations

import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import numpy as np
import pytest

import wetpath as wp
from wetpath.services.demo import enquiry_path, pump_path

MESSAGES = Path(__file__).parents[1] / "messages" / "cli"


def test_visible_names_are_those_promised() -> None:
    assert sorted(set(dir(wp)) - {"__version__"}) == sorted(wp.__all__)
    assert len(wp.__all__) == len(set(wp.__all__))
    assert 15 <= len(wp.__all__) <= 30
    for name in wp.__all__:
        assert getattr(wp, name) is not None


def test_every_name_has_a_docstring() -> None:
    for name in wp.__all__:
        assert (getattr(wp, name).__doc__ or "").strip(), name


def test_a_name_that_is_not_there() -> None:
    with pytest.raises(AttributeError, match="no attribute 'pump'"):
        _ = wp.pump


def test_version_is_that_of_the_package() -> None:
    assert wp.__version__ == version("wetpath")


def test_star_import_works() -> None:
    subprocess.run([sys.executable, "-c", "from wetpath import *; rate, Rating"], check=True)


def test_paths_and_objects_give_the_same() -> None:
    by_path = wp.rate(enquiry_path("butane_reflux"))
    enquiry = wp.load_enquiry(enquiry_path("butane_reflux"))
    by_object = wp.rate(enquiry, pump=wp.load_pump(pump_path("medium_steel")),
                        liquid=wp.load_liquid("n-Butane"), practice=wp.load_practice())
    mixed = wp.rate(str(enquiry_path("butane_reflux")), pump=wp.demo_pump("medium_steel"))
    for rating in (by_object, mixed):
        np.testing.assert_array_equal(rating.losses.shaft, by_path.losses.shaft)
        assert str(rating.verdict) == str(by_path.verdict)


def test_another_pump_and_practice_count(tmp_path: Path) -> None:
    (tmp_path / "strict.toml").write_text(
        'wetpath = "practice/1"\nname = "strict"\n[limit.vapour_margin_pressure]\nvalue = "20 bar"\nsource = "ours"\n',
        encoding="utf-8")
    plain = wp.rate(MESSAGES / "enquiry.toml")
    strict = wp.rate(MESSAGES / "enquiry.toml", practice=tmp_path / "strict.toml")
    assert strict.practice.name == "strict"
    assert "vapour_margin_pressure" in strict.verdict.failing
    assert "vapour_margin_pressure" not in plain.verdict.failing
    other = wp.rate(MESSAGES / "enquiry.toml", pump=pump_path("medium_steel"))
    assert other.pump.name != plain.pump.name


def test_loaded_enquiry_without_a_pump_says_what_to_do() -> None:
    with pytest.raises(wp.FileProblems, match=r"a loaded enquiry has no place"):
        wp.rate(wp.demo_enquiry("butane_reflux"))


def test_problems_of_all_files_are_told_at_once(tmp_path: Path) -> None:
    (tmp_path / "enquiry.toml").write_bytes((MESSAGES / "enquiry.toml").read_bytes())
    pump = (MESSAGES / "pump.toml").read_text(encoding="utf-8").replace('poles = 12', 'poles = "many"')
    (tmp_path / "pump.toml").write_text(pump, encoding="utf-8")
    (tmp_path / "practice.toml").write_text('wetpath = "practice/1"\n', encoding="utf-8")
    with pytest.raises(wp.FileProblems) as told:
        wp.rate(tmp_path / "enquiry.toml", practice=tmp_path / "practice.toml")
    assert {Path(problem.file).name for problem in told.value.problems} == {"pump.toml", "practice.toml"}
