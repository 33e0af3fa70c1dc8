"""What the command line says of bad input, word for word; texts in ``cli/messages.toml``, and never a traceback."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path

import pytest

from wetpath.faces.cli.main import run

FOLDER = Path(__file__).parent / "cli"
MESSAGES = tomllib.loads((FOLDER / "messages.toml").read_text(encoding="utf-8"))


def _prepare(folder: Path, row: dict) -> None:
    for name in ("enquiry.toml", "pump.toml", "liquid.toml"):
        shutil.copy(FOLDER / name, folder / name)
    for key in ("change", "also"):
        if key in row:
            name, old, new = row[key]
            text = (folder / name).read_text(encoding="utf-8")
            assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {name}"
            (folder / name).write_text(text.replace(old, new), encoding="utf-8")
    if "insert" in row:
        name, after, new = row["insert"]
        text = (folder / name).read_text(encoding="utf-8")
        (folder / name).write_text(text.replace(after, after + new), encoding="utf-8")
    if "write" in row:
        (folder / row["write"][0]).write_text(row["write"][1], encoding="utf-8")
    if "bytes" in row:
        (folder / row["bytes"][0]).write_bytes(bytes(row["bytes"][1]))


@pytest.mark.parametrize("name", MESSAGES)
def test_bad_input_is_told_word_for_word(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                                         capsys: pytest.CaptureFixture[str]) -> None:
    row = MESSAGES[name]
    _prepare(tmp_path, row)
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as stop:
        run(row.get("command", "rate enquiry.toml").split())
    captured = capsys.readouterr()
    said = "\n".join(line for line in captured.err.splitlines() if not line.endswith(" ..."))
    assert said == row["text"].rstrip("\n")
    assert captured.out == ""
    assert stop.value.code == 2
