"""A rule that compares entries of a list points at the line it means."""

from __future__ import annotations

from importlib.resources import files

import pytest

from wetpath.edge.files import loads_document
from wetpath.edge.mapping import MappingFile
from wetpath.errors import FileProblems


def test_second_use_of_a_tag_is_shown_with_its_line_and_value() -> None:
    text = (files("wetpath") / "data/demo/mapping/unit_12.toml").read_text(encoding="utf-8")
    lines = text.splitlines()
    first, second = [at for at, line in enumerate(lines) if line.startswith("tag = ")][:2]
    lines[second] = lines[first]
    with pytest.raises(FileProblems) as caught:
        loads_document("\n".join(lines), MappingFile, file="unit.toml")
    [problem] = caught.value.problems
    assert problem.field == "tags[2].tag"
    assert problem.line == second + 1
    assert problem.value == lines[second].removeprefix("tag = ")
