"""Projects over HTTP: documents with revisions, two people at once, import and export, ratings; roles and sizes."""

from __future__ import annotations

import io
import zipfile
from hashlib import sha256
from itertools import count

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from wetpath.faces.api.account import current_account
from wetpath.faces.api.limits import LONGEST_ZIP, PREFIX, ZIP_TYPE
from wetpath.services.demo import demo_folder
from wetpath.services.desk import rate_papers
from wetpath.services.project_files import files_of_folder
from wetpath.services.projects import Store, User, add_user, issues, keep_record, kept_papers, local_user

PATH = "enquiries/butane_reflux.toml"
WATER = "enquiries/cold_water.toml"
_numbers = count(1)
DEMO = files_of_folder(demo_folder()).contents


def zipped(contents: dict[str, str] | dict[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for path, content in contents.items():
            archive.writestr(path, content)
    return packed.getvalue()


def bring(client: TestClient, place: str, content: bytes, kind: str = ZIP_TYPE, **query: str):
    return client.post(f"{place}/import", content=content, params=query, headers={"content-type": kind})


@pytest.fixture
def place(client: TestClient) -> str:
    """The address of a new project that holds the demo."""
    made = client.post(f"{PREFIX}/projects", json={"name": f"Works {next(_numbers)}"})
    assert made.status_code == 201, made.text
    address: str = made.headers["location"]
    assert bring(client, address, zipped(dict(DEMO)), reason="first").status_code == 200
    return address


def read(client: TestClient, place: str, path: str = PATH, **query: int) -> dict:
    answer = client.get(f"{place}/document", params={"path": path, **query})
    assert answer.status_code == 200, answer.text
    return answer.json()


def save(client: TestClient, place: str, content: str, based_on: int | None, path: str = PATH, reason: str = ""):
    return client.put(f"{place}/document", params={"path": path},
                      json={"content": content, "based_on": based_on, "reason": reason})


def changed(content: str, old: str, new: str) -> str:
    assert old in content
    return content.replace(old, new, 1)


def test_a_project_is_begun_listed_and_told(client: TestClient, place: str) -> None:
    number = int(place.rpartition("/")[2])
    assert number in [one["number"] for one in client.get(f"{PREFIX}/projects").json()]
    project = client.get(place).json()
    assert {one["path"] for one in project["documents"]} == set(DEMO)
    assert all(one["revision"] == 1 and one["reason"] == "first" and one["in_use"] for one in project["documents"])
    kinds = client.get(place, params={"kind": "pump"}).json()["documents"]
    assert kinds
    assert all(one["path"].startswith("pumps/") for one in kinds)


def test_what_goes_out_is_what_came_in_byte_for_byte(client: TestClient, place: str) -> None:
    answer = client.get(f"{place}/export")
    assert answer.headers["content-type"] == ZIP_TYPE
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        assert {name: archive.read(name).decode("utf-8") for name in archive.namelist()} == dict(DEMO)
    again = bring(client, place, answer.content).json()
    assert (again["new"], again["changed"], set(again["unchanged"])) == ([], [], set(DEMO))


def test_an_import_tells_what_is_new_changed_and_left_out(client: TestClient, place: str) -> None:
    text = DEMO[PATH]
    told = bring(client, place, zipped({"enquiries/other.toml": text, PATH: text + "# later\n", "notes.txt": "x"}))
    assert told.json() == {"new": ["enquiries/other.toml"], "changed": [PATH], "unchanged": [], "conflicts": [],
                           "left_out": {"notes.txt": "is not a TOML file"}}


def test_a_faulty_import_saves_nothing(client: TestClient, place: str) -> None:
    answer = bring(client, place, zipped({"a.toml": DEMO[PATH], "b.toml": DEMO[PATH].replace("m3/h", "bar g", 1),
                                          "../c.toml": DEMO[PATH]}))
    assert answer.status_code == 422
    assert {one["file"] for one in answer.json()["problems"]} == {"b.toml", "../c.toml"}
    assert "a.toml" not in {one["path"] for one in client.get(place).json()["documents"]}
    assert bring(client, place, b"no zip").json()["problems"][0]["do"] == "give a zip without a password"


def test_an_import_must_be_called_a_zip_and_has_a_limit(client: TestClient, place: str) -> None:
    assert bring(client, place, zipped({PATH: DEMO[PATH]}), kind="text/plain").status_code == 415
    assert bring(client, place, b" " * (LONGEST_ZIP + 1)).status_code == 413


def test_a_save_is_a_revision_with_author_reason_and_changes(client: TestClient, place: str, store: Store) -> None:
    before = read(client, place)
    flow = before["content"].split("flow", 1)[1].split('"')[1]
    answer = save(client, place, changed(before["content"], f'"{flow}"', '"61 m3/h"'), 1, reason="duty changed")
    assert answer.status_code == 200, answer.text
    told = answer.json()
    assert told["new"]
    revision = told["revision"]
    assert (revision["number"], revision["parent"], revision["reason"]) == (2, 1, "duty changed")
    assert revision["author"]
    assert [(one["before"], one["after"]) for one in revision["changes"]] == [(flow, "61 m3/h")]
    history = client.get(f"{place}/document/revisions", params={"path": PATH}).json()
    assert [one["number"] for one in history] == [2, 1]
    assert history[0] == revision
    assert read(client, place, revision=1) == before
    differences = client.get(f"{place}/document/differences", params={"path": PATH, "before": 2, "after": 1}).json()
    assert [(one["before"], one["after"]) for one in differences] == [("61 m3/h", flow)]
    assert not save(client, place, read(client, place)["content"], 2).json()["new"]


def test_a_new_document_is_made_without_a_former_revision(client: TestClient, place: str) -> None:
    assert save(client, place, DEMO["pumps/small.toml"], None, "pumps/other.toml").status_code == 201
    assert save(client, place, DEMO["pumps/small.toml"], 1, "pumps/third.toml").status_code == 404


def test_two_who_save_at_once_conflict_and_nothing_is_lost(client: TestClient, place: str) -> None:
    base = read(client, place)["content"]
    flows = [piece.split('"')[1] for piece in base.split("\nflow")[1:]]
    theirs = changed(base, f'"{flows[0]}"', '"61 m3/h"')
    mine = changed(changed(base, f'"{flows[0]}"', '"62 m3/h"'), 'title = "', 'title = "Mine: ')
    assert save(client, place, theirs, 1).status_code == 200
    answer = save(client, place, mine, 1)
    assert answer.status_code == 409
    assert answer.headers["content-type"] == "application/problem+json"
    told = answer.json()
    assert (told["based_on"], told["theirs"]["number"], told["path"]) == (1, 2, PATH)
    assert [(one["base"], one["mine"], one["theirs"]) for one in told["merge"]["clashes"]] == [
        (flows[0], "62 m3/h", "61 m3/h")]
    assert "2" in told["problems"][0]["do"]
    assert read(client, place)["content"] == theirs
    offer = told["merge"]["content"]
    assert 'title = "Mine: ' in offer
    assert '"61 m3/h"' in offer
    assert save(client, place, offer, 2).json()["revision"]["number"] == 3


def test_what_is_not_valid_is_not_saved(client: TestClient, place: str) -> None:
    base = read(client, place)["content"]
    answer = save(client, place, base.replace("m3/h", "bar g", 1), 1)
    assert answer.status_code == 422
    assert answer.json()["problems"][0]["field"].endswith("flow")
    assert read(client, place)["number"] == 1
    assert save(client, place, DEMO["pumps/small.toml"], 1).status_code == 422          # another kind
    assert save(client, place, base, None, "../out.toml").status_code == 422
    assert save(client, place, base + "#" * 200_000, 1).status_code == 422


def test_a_document_is_taken_out_of_use_and_put_back(client: TestClient, place: str) -> None:
    def use(in_use: bool) -> int:
        return client.put(f"{place}/document/use", params={"path": PATH}, json={"in_use": in_use}).status_code

    assert use(False) == 204
    assert PATH not in {one["path"] for one in client.get(place).json()["documents"]}
    everything = client.get(place, params={"all_documents": True}).json()["documents"]
    assert [one["in_use"] for one in everything if one["path"] == PATH] == [False]
    assert save(client, place, read(client, place)["content"] + "# x\n", 1).status_code == 422
    assert use(True) == 204
    assert save(client, place, read(client, place)["content"] + "# x\n", 1).status_code == 200


def test_a_rating_is_kept_with_the_revisions_it_is_from(client: TestClient, place: str, store: Store) -> None:
    answer = client.post(f"{place}/ratings", json={"enquiry": PATH})
    assert answer.status_code == 201, answer.text
    kept = answer.json()
    assert client.get(answer.headers["location"]).json() == kept
    name = client.get(place).json()["name"]
    assert kept["record"] == rate_papers(kept_papers(store, name, PATH).papers).record.model_dump(mode="json")
    assert kept["made_from"]["enquiry"] == {"path": PATH, "revision": 1, "sha256": read(client, place)["sha256"]}
    assert kept["made_from"]["pump"]["path"].startswith("pumps/")
    listed = client.get(f"{place}/ratings", params={"path": PATH}).json()
    assert listed == [{key: value for key, value in kept.items() if key != "record"}]


def test_what_is_not_there_is_told(client: TestClient, place: str) -> None:
    for address, query in ((f"{PREFIX}/projects/99999", {}), (f"{place}/document", {"path": "no.toml"}),
                           (f"{place}/document", {"path": PATH, "revision": 9}), (f"{PREFIX}/ratings/99999", {}),
                           (f"{place}/document/revisions", {"path": "no.toml"})):
        answer = client.get(address, params=query)
        assert answer.status_code == 404, address
        assert answer.headers["content-type"] == "application/problem+json"
        assert answer.json()["problems"][0]["text"].startswith("is not a ")


def test_an_address_names_all_its_methods(client: TestClient, place: str) -> None:
    """RFC 9110, 10.2.1 and 15.5.6: a 405 lists the methods of the address."""
    for address, methods in ((f"{place}/document", "GET, PUT"), (f"{PREFIX}/projects", "GET, POST")):
        answer = client.delete(address)
        assert (answer.status_code, answer.headers["allow"]) == (405, methods)


def test_a_name_is_taken_once(client: TestClient, place: str) -> None:
    name = client.get(place).json()["name"]
    answer = client.post(f"{PREFIX}/projects", json={"name": name})
    assert answer.status_code == 422
    assert answer.json()["problems"][0]["text"] == "is there already"


def test_a_reader_reads_and_changes_nothing(app: FastAPI, client: TestClient, place: str, store: Store) -> None:
    reader: User = add_user(store, f"Reader {next(_numbers)}", "a password of several words", "reader")
    app.dependency_overrides[current_account] = lambda: reader
    try:
        content = read(client, place)["content"]
        assert client.get(f"{place}/export").status_code == 200
        for answer in (save(client, place, content + "# x\n", 1), bring(client, place, zipped({PATH: content + "#\n"})),
                       client.post(f"{PREFIX}/projects", json={"name": "Other"}),
                       client.post(f"{place}/ratings", json={"enquiry": PATH}),
                       client.put(f"{place}/document/use", params={"path": PATH}, json={"in_use": False})):
            assert answer.status_code == 403, answer.text
            assert "needed is engineer" in answer.json()["title"]
    finally:
        app.dependency_overrides.clear()
    assert read(client, place)["number"] == 1


@pytest.fixture(scope="module")
def issued(client: TestClient, store: Store) -> tuple[str, dict, dict]:
    """A project, a kept rating of its water enquiry, and its first issue; the setting of a report takes a while."""
    made = client.post(f"{PREFIX}/projects", json={"name": f"Works {next(_numbers)}"})
    address: str = made.headers["location"]
    bring(client, address, zipped(dict(DEMO)))
    rating = client.post(f"{address}/ratings", json={"enquiry": WATER}).json()
    answer = issue(client, address, rating["number"], "A")
    assert answer.status_code == 201, answer.text
    return address, rating, answer.json() | {"location": answer.headers["location"]}


def issue(client: TestClient, place: str, rating: int, letter: str, **other: str):
    return client.post(f"{place}/issues", json={"enquiry": WATER, "rating": rating, "letter": letter,
                                                "reason": "for approval", **other})


def test_a_kept_rating_is_issued_with_its_files_and_stays(client: TestClient, store: Store,
                                                          issued: tuple[str, dict, dict]) -> None:
    place, rating, first = issued
    assert (first["letter"], first["rating"], first["reason"]) == ("A", rating["number"], "for approval")
    assert [one["name"] for one in first["files"]] == [f"cold_water-A.{end}" for end in ("json", "pdf", "xlsx")]
    whole = client.get(first["location"]).json()
    assert whole["record"] == rating["record"]
    begin = {".json": b"{", ".pdf": b"%PDF", ".xlsx": b"PK"}
    for one in first["files"]:
        answer = client.get(f"{place}/issues/A/file", params={"path": WATER, "name": one["name"]})
        assert sha256(answer.content).hexdigest() == one["sha256"]
        assert len(answer.content) == one["bytes"]
        assert answer.content.startswith(begin[one["name"][one["name"].rfind("."):]])
    listed = client.get(f"{place}/issues", params={"path": WATER}).json()
    assert listed["next_letter"] == "B"
    assert [one["letter"] for one in listed["issues"]] == ["A"]
    name = client.get(place).json()["name"]
    assert [one.letter for one in issues(store, name, WATER)] == ["A"]      # what the web lists


def test_what_is_not_to_be_issued_is_refused_at_its_field(client: TestClient, issued: tuple[str, dict, dict]) -> None:
    place, rating, _ = issued
    again = issue(client, place, rating["number"], "A")
    assert again.status_code == 422
    assert again.json()["problems"][0]["field"] == "letter"
    assert again.json()["problems"][0]["do"] == "look at the issues, then issue under B"
    assert issue(client, place, 99999, "B").status_code == 404
    assert issue(client, place, rating["number"], "b").json()["type"] == "urn:wetpath:request"
    content = read(client, place, WATER)["content"]
    assert save(client, place, content + "# looked at again\n", 1, WATER).status_code == 200
    old = issue(client, place, rating["number"], "B")
    assert old.status_code == 422
    assert old.json()["problems"][0]["text"] == "is revision 2 by now; the rating is of revision 1"
    for address, query in ((f"{place}/issues/B", {}), (f"{place}/issues/A/file", {"name": "other.pdf"})):
        answer = client.get(address, params={"path": WATER, **query})
        assert (answer.status_code, answer.headers["content-type"]) == (404, "application/problem+json")


def test_an_engineer_does_not_issue(app: FastAPI, client: TestClient, store: Store,
                                    issued: tuple[str, dict, dict]) -> None:
    place, rating, _ = issued
    engineer = add_user(store, f"Engineer {next(_numbers)}", "a password of several words", "engineer")
    app.dependency_overrides[current_account] = lambda: engineer
    try:
        answer = issue(client, place, rating["number"], "B")
    finally:
        app.dependency_overrides.clear()
    assert (answer.status_code, answer.json()["type"]) == (403, "urn:wetpath:role")
    assert "needed is approver" in answer.json()["title"]


def test_a_rating_of_another_program_is_not_issued(client: TestClient, store: Store,
                                                   issued: tuple[str, dict, dict]) -> None:
    """What the record tells must be what the files tell; they are set anew from the revisions."""
    place, _, _ = issued
    name = client.get(place).json()["name"]
    kept = kept_papers(store, name, WATER)
    record = rate_papers(kept.papers).record.model_copy(update={"program_version": "0.0.1"})
    other = keep_record(store, local_user(store), kept, record)
    answer = issue(client, place, other.id, "B")
    assert answer.status_code == 422
    assert answer.json()["problems"][0]["field"] == "rating"
