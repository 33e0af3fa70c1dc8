"""A store on SQLite, always, and on a real PostgreSQL where its programs are found."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from wetpath.services.demo import enquiry_path
from wetpath.store.accounts import User, local_user
from wetpath.store.opening import Store, open_store
from wetpath.store.revisions import Saved, create_project, save

PROJECT, PATH = "Works", "enquiries/reflux.toml"


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    if request.param == "postgresql":
        found: str = request.getfixturevalue("postgresql_url")
        return found
    return f"sqlite:///{tmp_path}/data/wetpath.sqlite"


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    opened = open_store(url)
    yield opened
    opened.close()


@pytest.fixture
def engineer(store: Store) -> User:
    return local_user(store)


@pytest.fixture
def text_1() -> str:
    return enquiry_path("butane_reflux").read_text(encoding="utf-8")


@pytest.fixture
def works(store: Store, engineer: User, text_1: str) -> str:
    """A project with one enquiry in its first revision."""
    create_project(store, engineer, PROJECT)
    assert isinstance(save(store, engineer, PROJECT, PATH, text_1, based_on=None, reason="asked by phone"), Saved)
    return PROJECT
