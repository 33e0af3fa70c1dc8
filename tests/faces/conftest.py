"""The command line run inside the test, with what it wrote; the words of PDFs."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

import pypdfium2
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


@pytest.fixture(scope="session")
def pages_of() -> Callable[[bytes], tuple[str, ...]]:
    """The words of each page of a PDF."""

    @lru_cache(8)
    def read(pdf: bytes) -> tuple[str, ...]:
        return tuple(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf))

    return read
