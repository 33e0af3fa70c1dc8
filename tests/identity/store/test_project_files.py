"""A project goes out to files and comes back byte for byte; papers are read out of it and saved back."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest

from wetpath.errors import FileProblems
from wetpath.services.demo import demo_folder
from wetpath.services.project_files import export_folder, export_zip, files_of_folder, files_of_zip, import_files
from wetpath.services.projects import (
    DEMO_PROJECT,
    Saved,
    documents,
    history,
    kept_papers,
    local_user,
    open_projects,
    save_papers,
)
from wetpath.store.accounts import User
from wetpath.store.opening import Store
from wetpath.store.revisions import retire

#: The documents of the demo: mapping, evidence and fleets are files of other questions, not kept in projects.
FOLDERS = ("enquiries", "pumps", "liquids", "practices")
DEMO = {path.relative_to(demo_folder()).as_posix(): path.read_bytes()
        for folder in FOLDERS for path in (demo_folder() / folder).glob("*.toml")}


@pytest.fixture
def demo(store: Store, engineer: User) -> str:
    import_files(store, engineer, "Demo", files_of_folder(demo_folder()).contents)
    return "Demo"


def test_folder_and_zip_give_back_the_same_bytes(store: Store, engineer: User, demo: str, tmp_path: Path) -> None:
    export_folder(store, demo, tmp_path / "out")
    written = {path.relative_to(tmp_path / "out").as_posix(): path.read_bytes()
               for path in (tmp_path / "out").rglob("*.toml")}
    assert written == DEMO
    packed = export_zip(store, demo)
    assert packed == export_zip(store, demo)
    done = import_files(store, engineer, "Again", files_of_zip(packed).contents)
    assert set(done.new) == set(DEMO)
    assert export_zip(store, "Again") == packed


def test_importing_again_changes_what_differs_only(store: Store, engineer: User, demo: str) -> None:
    contents = dict(files_of_folder(demo_folder()).contents)
    path = "enquiries/butane_reflux.toml"
    contents[path] = contents[path].replace("45 m3/h", "46 m3/h")
    retire(store, engineer, demo, "pumps/small.toml")
    done = import_files(store, engineer, demo, contents)
    assert (done.new, done.changed, len(done.unchanged)) == ((), (path,), len(DEMO) - 1)
    assert [str(change) for change in history(store, demo, path)[0].changes] == [
        'cases["A normal"].flow 45 m3/h -> 46 m3/h']
    assert "pumps/small.toml" in {entry.path for entry in documents(store, demo)}


def test_files_in_the_way_are_not_overwritten(store: Store, demo: str, tmp_path: Path) -> None:
    (tmp_path / "pumps").mkdir()
    (tmp_path / "pumps" / "small.toml").write_text("mine")
    with pytest.raises(FileProblems, match="is there already with other content"):
        export_folder(store, demo, tmp_path)
    assert [path.name for path in tmp_path.rglob("*.toml")] == ["small.toml"]


def test_all_that_is_wrong_is_told_at_once_and_the_rest_left_out(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("= =")
    (tmp_path / "b.toml").write_bytes(b"\xff")
    (tmp_path / "c.toml").write_text('wetpath = "enquiry/1"\n')
    with pytest.raises(FileProblems) as raised:
        files_of_folder(tmp_path)
    assert {problem.file for problem in raised.value.problems} == {"a.toml", "b.toml", "c.toml"}
    assert files_of_folder(demo_folder()).left_out["README.md"] == "is not a TOML file"


def packed(**files: str) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return target.getvalue()


@pytest.mark.parametrize("name", ["../evil.toml", "/etc/evil.toml", "a/../../evil.toml"])
def test_a_zip_cannot_lead_out(name: str) -> None:
    good = DEMO["enquiries/butane_reflux.toml"].decode()
    with pytest.raises(FileProblems, match="is not the path of a document"):
        files_of_zip(packed(**{name: good}))


def test_what_is_no_zip_is_told() -> None:
    with pytest.raises(FileProblems, match="is not a zip that can be read"):
        files_of_zip(b"PK nonsense")
    assert files_of_zip(packed(**{"__MACOSX/._a.toml": "x", "a.txt": "y"})).left_out == {
        "__MACOSX/._a.toml": "is hidden", "a.txt": "is not a TOML file"}


def test_papers_of_every_demo_enquiry_go_round_unchanged(store: Store, engineer: User, demo: str) -> None:
    for entry in documents(store, demo, kind="enquiry"):
        kept = kept_papers(store, demo, entry.path)
        assert save_papers(store, engineer, kept, kept.papers) == ()


def test_what_is_changed_on_the_desk_goes_to_its_document(store: Store, engineer: User, demo: str) -> None:
    enquiry = "enquiries/acrylic_ester.toml"
    kept = kept_papers(store, demo, enquiry)
    papers = (kept.papers.with_value("enquiry:cases[1].flow", "47 m3/h")
              .with_value("enquiry:liquid.limits.polymerisation", "44 degC")
              .with_value("pump:containment_shell.wall", "1.4 mm"))
    outcomes = save_papers(store, engineer, kept, papers, reason="tried")
    told = {}
    for outcome in outcomes:
        assert isinstance(outcome, Saved)
        told[outcome.revision.path] = [str(change) for change in outcome.revision.changes]
    assert told.pop("pumps/medium_steel.toml")[0].endswith("-> 1.4 mm")
    assert told == {enquiry: ['cases["A rated"].flow 48 m3/h -> 47 m3/h'],
                    "liquids/acrylic_ester.toml": ["liquid.limits.polymerisation 45 degC -> 44 degC"]}
    again = kept_papers(store, demo, enquiry)
    assert again.papers == papers
    assert again.made_from["enquiry"] == (enquiry, 2)


def test_another_pump_is_named_by_the_enquiry(store: Store, engineer: User, demo: str) -> None:
    kept = kept_papers(store, demo, "enquiries/water_test.toml", pump="pumps/small.toml")
    (outcome,) = save_papers(store, engineer, kept, kept.papers)
    assert isinstance(outcome, Saved)
    assert [str(change) for change in outcome.revision.changes] == [
        "pump_file ../pumps/medium_light.toml -> ../pumps/small.toml"]


def test_a_document_that_is_not_in_the_project_is_told(store: Store, engineer: User) -> None:
    path = "enquiries/butane_reflux.toml"
    import_files(store, engineer, "Bare", {path: DEMO[path].decode()})
    with pytest.raises(FileProblems, match=r"names pumps/medium_steel\.toml, which is not in Bare"):
        kept_papers(store, "Bare", path)


def test_a_new_store_of_ones_own_has_the_demo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("WETPATH_DATA", str(tmp_path))
    for _ in range(2):
        store = open_projects()
        assert {entry.path for entry in documents(store, DEMO_PROJECT)} == set(DEMO)
        assert all(entry.number == 1 and entry.author == local_user(store).name
                   for entry in documents(store, DEMO_PROJECT))
        store.close()
