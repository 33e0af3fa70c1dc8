"""The ``against`` fixture: one row of the validation table for every check against the outside world."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

ROWS = pytest.StashKey[list[dict[str, Any]]]()
STATUSES = {"read", "recalled", "derived", "computed", "common practice"}


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--validation-rows", default=None, metavar="FILE",
                     help="write every checked row (source, ours, expected, tolerance) to this JSON file")


def pytest_configure(config: pytest.Config) -> None:
    config.stash[ROWS] = []


@pytest.fixture
def against(request: pytest.FixtureRequest) -> Callable[..., None]:
    """Compare a number of ours with one from outside, record the row, and fail when they disagree.

    Call it as ``against(source, status, quantity, ours, expected, rel=.., abs=.., unit="..")``. ``source`` is a
    key of ``data/sources``, ``status`` tells how the expected value is known: read in the source, recalled
    from memory of it, derived from first principles, or computed by an independent program or library.
    """

    def check(source: str, status: str, quantity: str, ours: float, expected: float, *,
              rel: float | None = None, abs: float | None = None, unit: str = "-") -> None:
        assert status in STATUSES, f"status {status!r} is not one of {sorted(STATUSES)}"
        assert (rel is None) != (abs is None), "give one tolerance, rel or abs"
        ours, expected = float(ours), float(expected)
        room = rel * np.abs(expected) if rel is not None else abs
        request.config.stash[ROWS].append({
            "test": request.node.nodeid, "source": source, "status": status, "quantity": quantity, "unit": unit,
            "ours": ours, "expected": expected, "tolerance": rel if rel is not None else abs,
            "tolerance_kind": "relative" if rel is not None else "absolute"})
        assert np.abs(ours - expected) <= room, (
            f"{quantity}: ours {ours!r}, {source} gives {expected!r} {unit}, allowed difference {room!r}")

    return check


def pytest_sessionfinish(session: pytest.Session) -> None:
    target = session.config.getoption("--validation-rows")
    if target:
        Path(target).parent.mkdir(parents=True, exist_ok=True)
        Path(target).write_text(json.dumps(session.config.stash[ROWS], indent=1))
