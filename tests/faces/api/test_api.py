"""The HTTP interface: the same answers as the use cases, words for what is wrong, limits on sizes; and fuzzed."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from wetpath.faces.api.routes import LONGEST_BODY, PREFIX, install
from wetpath.services.demo import enquiry_path, pump_path
from wetpath.services.desk import papers_of_file, rate_papers
from wetpath.services.projects import open_store


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """The questions need no database; one kind of it is enough."""
    store = open_store(f"sqlite:///{tmp_path_factory.mktemp('api')}/wetpath.sqlite")
    app = FastAPI()
    install(app, store)
    with TestClient(app) as found:
        yield found
    store.close()


@pytest.fixture(scope="module")
def asked() -> dict[str, str]:
    papers = papers_of_file(enquiry_path("cold_water"))
    return {"enquiry": papers.enquiry, "pump": papers.pump}


def test_the_rating_is_that_of_the_use_case(client: TestClient, asked: dict[str, str]) -> None:
    answer = client.post(f"{PREFIX}/rate", json=asked)
    assert answer.status_code == 200
    record = rate_papers(papers_of_file(enquiry_path("cold_water"))).record
    assert answer.json() == record.model_dump(mode="json")


def test_a_window_and_a_selection_answer_with_their_records(client: TestClient, asked: dict[str, str]) -> None:
    window = client.post(f"{PREFIX}/window", json=asked | {"grid": "6x5"})
    assert window.status_code == 200, window.text
    assert len(window.json()["map"]["holds"]) == 6
    selection = client.post(f"{PREFIX}/select", json={
        "enquiry": asked["enquiry"], "catalogue": {"one": pump_path("large").read_text(encoding="utf-8")}, "most": 2})
    assert selection.status_code == 200, selection.text
    assert 1 <= len(selection.json()["offers"]) <= 2


def test_what_is_wrong_is_told_at_its_field(client: TestClient, asked: dict[str, str]) -> None:
    wrong = asked["enquiry"].replace('"15 degC"', '"15 decC"', 1)
    assert wrong != asked["enquiry"]
    answer = client.post(f"{PREFIX}/rate", json=asked | {"enquiry": wrong})
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    problem = answer.json()["problems"][0]
    assert problem["field"].endswith("temperature")
    assert "decC" in problem["value"]
    assert problem["line"] > 1


def test_an_enquiry_may_not_name_files_of_the_server(client: TestClient, asked: dict[str, str]) -> None:
    named = asked["enquiry"].replace("\n\n", '\npump_file = "/etc/passwd"\n\n', 1)
    answer = client.post(f"{PREFIX}/rate", json=asked | {"enquiry": named})
    assert answer.status_code == 422
    assert answer.json()["problems"][0]["field"] == "pump_file"


def test_sizes_have_limits(client: TestClient, asked: dict[str, str]) -> None:
    assert client.post(f"{PREFIX}/rate", content=b" " * (LONGEST_BODY + 1)).status_code == 413
    assert client.post(f"{PREFIX}/rate", json=asked | {"pump": "#" * 200_001}).status_code == 422


def test_liquids_and_files(client: TestClient) -> None:
    water = client.get(f"{PREFIX}/liquids", params={"name": "Water"}).json()
    assert water["cas_number"] == "7732-18-5"
    assert client.get(f"{PREFIX}/liquids", params={"name": "no such liquid"}).status_code == 422
    text = pump_path("small").read_text(encoding="utf-8")
    assert client.post(f"{PREFIX}/check", json={"text": text}).json()["kind"] == "pump file"
    assert client.post(f"{PREFIX}/check", json={"text": 'wetpath = "pump/1"'}).status_code == 422
