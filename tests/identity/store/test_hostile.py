"""Texts, zips and sheets made to break what reads them: each is refused in words, and soon."""

from __future__ import annotations

import io
import os
import re
import stat
import sys
import zipfile
from pathlib import Path

import openpyxl
import pytest

from wetpath.edge.files import loads_any
from wetpath.edge.problems import MOST_TOLD
from wetpath.edge.toml_text import DEEPEST, toml_tables
from wetpath.errors import FileProblems
from wetpath.services.demo import demo_folder
from wetpath.services.enquiry_rows import LONGEST_LINE, LONGEST_TEXT, enquiry_of_sheet, enquiry_of_text
from wetpath.services.project_files import files_of_folder, files_of_zip, import_files
from wetpath.services.projects import DEMO_PROJECT, documents, local_user, open_projects

HEAD = 'wetpath = "enquiry/1"\n'
DEMO = files_of_folder(demo_folder()).contents


@pytest.mark.parametrize("text", [
    "a = " + "[" * 5000 + "]" * 5000, "a = " + "[" * 100_000, "a = " + "{a=" * 2000 + "1" + "}" * 2000,
    "a" + ".a" * 90_000 + " = 1", "[a" + ".a" * 90_000 + "]\nb = 1", "a = {b" + ".b" * 90_000 + " = 1}"])
def test_nesting_without_end_is_refused(text: str) -> None:
    with pytest.raises(FileProblems, match=f"more than {DEEPEST} levels in one another"):
        loads_any(HEAD + text)


def test_a_number_without_end_is_refused() -> None:
    with pytest.raises(FileProblems, match="a whole number has too many digits"):
        loads_any(HEAD + "a = " + "1" * (sys.get_int_max_str_digits() + 1))


def test_points_and_brackets_in_words_are_no_levels() -> None:
    words = "." * 100 + "[" * 100
    texts = {"basic": f'"{words}\\"{words}"', "literal": f"'{words}'", "long": f'"""\n{words}"\n{words}"""',
             "other": f"'''\n{words}'\n'''"}
    told = toml_tables("".join(f"{name} = {text} # {words}\n" for name, text in texts.items()))
    assert all(words in one for one in told.values())
    assert toml_tables("a = " + "[" * DEEPEST + "]" * DEEPEST)
    assert toml_tables("")== {}


def test_many_faults_are_counted() -> None:
    with pytest.raises(FileProblems) as told:
        loads_any(HEAD + "".join(f"k{number} = 1\n" for number in range(MOST_TOLD + 300)))
    assert len(told.value.problems) == MOST_TOLD + 1
    assert re.fullmatch(r"has \d+ faults more", told.value.problems[-1].text)


def packed(method: int, spoilt: range) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", method) as archive:
        archive.writestr("a.toml", HEAD * 1000)
    content = bytearray(target.getvalue())
    for place in spoilt:
        content[place] ^= 0xFF
    return bytes(content)


@pytest.mark.parametrize(("method", "spoilt"), [(zipfile.ZIP_DEFLATED, range(45, 75)),
                                                (zipfile.ZIP_LZMA, range(50, 70))])
def test_a_spoilt_zip_is_told(method: int, spoilt: range) -> None:
    with pytest.raises(FileProblems, match="is not a zip that can be read"):
        files_of_zip(packed(method, spoilt))


def test_an_import_with_a_document_of_another_kind_saves_nothing(tmp_path: Path) -> None:
    store = open_projects(f"sqlite:///{tmp_path}/a.sqlite")
    enquiry = next(text for path, text in DEMO.items() if path.startswith("enquiries/"))
    with pytest.raises(FileProblems, match=r"pumps/large\.toml: is of the kind enquiry"):
        import_files(store, local_user(store), DEMO_PROJECT, {"a.toml": enquiry, "pumps/large.toml": enquiry})
    assert "a.toml" not in {one.path for one in documents(store, DEMO_PROJECT)}
    store.close()


@pytest.mark.skipif(os.name != "posix", reason="rights of files are those of POSIX")
def test_a_database_is_made_for_its_user_alone(tmp_path: Path) -> None:
    open_projects(f"sqlite:///{tmp_path}/a.sqlite").close()
    assert stat.S_IMODE((tmp_path / "a.sqlite").stat().st_mode) == 0o600


@pytest.mark.parametrize("line", ["flow" + " " * 990 + "x: 3", "flow" + " " * 900 + "x;3", "Liquid: " + "x" * 900,
                                  "Flow;45;" + "x;" * 490])
def test_lines_made_to_take_long_are_read_soon(line: str) -> None:
    text = "\n".join([line] * (LONGEST_TEXT // (len(line) + 1)))
    assert enquiry_of_text(text).unread


def test_rows_that_are_too_long_are_told() -> None:
    with pytest.raises(FileProblems, match=f"allowed: up to {LONGEST_TEXT}"):
        enquiry_of_text("x" * (LONGEST_TEXT + 1))
    (unread,) = [one for one in enquiry_of_text("Flow: 45 m3/h\n" + "y" * (LONGEST_LINE + 1)).unread
                 if one.place == "line 2"]
    assert unread.reason == f"is longer than {LONGEST_LINE} characters"


def sheet(content: bytes) -> bytes:
    """A workbook whose only sheet is this XML."""
    book, made, target = openpyxl.Workbook(), io.BytesIO(), io.BytesIO()
    book.save(made)
    with zipfile.ZipFile(made) as before, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as after:
        for name in before.namelist():
            after.writestr(name, content if name.endswith("sheet1.xml") else before.read(name))
    return target.getvalue()


def test_a_sheet_that_unpacks_to_too_much_is_refused_unread() -> None:
    with pytest.raises(FileProblems, match="when unpacked; allowed: up to 50 MB"):
        enquiry_of_sheet(sheet(b" " * 51_000_000))


def test_a_spoilt_workbook_is_told() -> None:
    content = bytearray(sheet(b"<worksheet/>" * 1000))
    for place in range(len(content) // 3, len(content) // 3 + 40):
        content[place] ^= 0x55
    with pytest.raises(FileProblems, match="is not an Excel workbook that can be read"):
        enquiry_of_sheet(bytes(content))
