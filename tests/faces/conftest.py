"""The command line run inside the test, with what it wrote."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import pytest

from wetpath.faces.cli.main import run


class Ran(NamedTuple):
    code: int
    out: str
    err: str


@pytest.fixture
def cli(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Ran]:
    """Run ``wetpath`` with arguments, on paper of the usual width; return its exit code and what it wrote."""
    monkeypatch.delenv("COLUMNS", raising=False)

    def call(*arguments: str) -> Ran:
        with pytest.raises(SystemExit) as stop:
            run([str(argument) for argument in arguments])
        captured = capsys.readouterr()
        return Ran(int(stop.value.code or 0), captured.out, captured.err)

    return call
