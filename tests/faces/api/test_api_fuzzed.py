"""Requests made up from the description of the interface: no answer outside it, no fault of the server."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import schemathesis
from fastapi import FastAPI
from fastapi.testclient import TestClient
from hypothesis import settings
from sqlalchemy import create_engine

from wetpath.faces.api.account import current_store
from wetpath.faces.api.limits import ZIP_TYPE
from wetpath.faces.api.routes import PREFIX, install
from wetpath.services.demo import demo_folder
from wetpath.services.liquids import liquid_told
from wetpath.services.project_files import files_of_folder, import_files
from wetpath.services.projects import Store, create_project, local_user, rate_and_keep

app = FastAPI()
install(app, Store(create_engine("sqlite://")))      # to be described; the requests are answered out of other stores
schemathesis.serializer.alias(ZIP_TYPE, "application/octet-stream")
schema = schemathesis.openapi.from_asgi("/openapi.json", app)


@pytest.fixture(scope="module", autouse=True)
def filled(store: Store) -> Iterator[None]:
    """A project with the demo and one rating."""
    made = create_project(store, local_user(store), "Works")
    import_files(store, local_user(store), made.name, files_of_folder(demo_folder()).contents)
    rate_and_keep(store, local_user(store), made.name, "enquiries/butane_reflux.toml")
    liquid_told("water")      # reads the databases of liquids once, which may take longer than an answer may
    app.dependency_overrides[current_store] = lambda: store
    yield
    app.dependency_overrides.clear()


@schema.parametrize()
@settings(max_examples=15, deadline=None)
def test_every_address_answers_as_described(case: schemathesis.Case) -> None:
    # a text that is no file of ours is refused, whatever the description says of its length; so is a name that is taken
    answer = case.call()
    if answer.status_code != 413:      # a body that is too long is refused unread, right or wrong
        case.validate_response(answer, excluded_checks=[
            schemathesis.checks.CHECKS.get_one("positive_data_acceptance")])


def test_the_description_names_every_address_and_no_other() -> None:
    assert {f"{operation.ok().method.upper()} {operation.ok().path.removeprefix(PREFIX)}"
            for operation in schema.get_all_operations()} == {
        "GET /version", "POST /rate", "POST /window", "POST /select", "POST /check", "GET /liquids",
        "GET /projects", "POST /projects", "GET /projects/{project}", "GET /projects/{project}/export",
        "POST /projects/{project}/import", "GET /projects/{project}/document", "PUT /projects/{project}/document",
        "PUT /projects/{project}/document/use", "GET /projects/{project}/document/revisions",
        "GET /projects/{project}/document/differences", "GET /projects/{project}/ratings",
        "POST /projects/{project}/ratings", "GET /ratings/{number}", "GET /projects/{project}/issues",
        "POST /projects/{project}/issues", "GET /projects/{project}/issues/{letter}",
        "GET /projects/{project}/issues/{letter}/file"}


def test_every_reference_of_the_description_leads_somewhere() -> None:
    description = TestClient(app).get(f"{PREFIX}/openapi.json").json()
    assert description["paths"] == app.openapi()["paths"]

    def references(part: object) -> Iterator[str]:
        if isinstance(part, dict):
            yield from (value for key, value in part.items() if key == "$ref" and isinstance(value, str))
        for one in part.values() if isinstance(part, dict) else part if isinstance(part, list) else ():
            yield from references(one)

    found = set(references(description))
    assert found
    known = {f"#/components/schemas/{name}" for name in description["components"]["schemas"]}
    assert found <= known
