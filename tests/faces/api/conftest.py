"""A server's application over a store on SQLite and on a real PostgreSQL."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from wetpath.faces.api.routes import install
from wetpath.services.projects import Store, open_store


def application(store: Store) -> FastAPI:
    app = FastAPI()
    install(app, store)
    return app


@pytest.fixture(scope="module", params=["sqlite", pytest.param("postgresql", marks=pytest.mark.thorough)])
def store(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    if request.param == "postgresql":
        name = f"api_{os.getpid()}_{request.module.__name__.rpartition('.')[2]}"
        url = request.getfixturevalue("new_database")(name)
    else:
        url = f"sqlite:///{Path(tmp_path_factory.mktemp('api'))}/wetpath.sqlite"
    opened = open_store(url)
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def app(store: Store) -> FastAPI:
    return application(store)


@pytest.fixture(scope="module")
def client(app: FastAPI) -> Iterator[TestClient]:
    with TestClient(app) as found:
        yield found
