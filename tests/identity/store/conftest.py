"""A store on SQLite, always, and on a real PostgreSQL where its programs are found."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import psycopg
import pytest
from argon2 import PasswordHasher
from sqlalchemy import make_url

from wetpath.services.demo import enquiry_path
from wetpath.store import accounts
from wetpath.store.accounts import User, local_user
from wetpath.store.opening import Store, open_store
from wetpath.store.revisions import Saved, create_project, save

PROJECT, PATH = "Works", "enquiries/reflux.toml"


@pytest.fixture(autouse=True)
def quick_hashes(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Passwords hashed with little work, but where the hash itself is the matter."""
    if "hash" not in request.node.name:
        quick = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
        monkeypatch.setattr(accounts, "_hasher", lambda: quick)
        monkeypatch.setattr(accounts, "_no_hash", lambda: quick.hash("none"))


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    if request.param == "postgresql":
        found: str = request.getfixturevalue("postgresql_url")
        return found
    return f"sqlite:///{tmp_path}/data/wetpath.sqlite"


@pytest.fixture(scope="session")
def tables_of_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with the tables and nothing in them, to be copied."""
    file = tmp_path_factory.mktemp("tables") / "wetpath.sqlite"
    open_store(f"sqlite:///{file}").close()
    return file


@pytest.fixture(scope="session")
def tables_of_postgresql(new_database: Callable[[str], str]) -> str:
    """What makes the tables, as PostgreSQL itself writes it down."""
    url = make_url(new_database("tables"))
    open_store(url.render_as_string()).close()
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/pg_dump"))
    dump = str(found[-1]) if found else "pg_dump"
    written = subprocess.run([dump, "-h", str(url.query["host"]), "-U", str(url.username), "--inserts", "--no-owner",
                              str(url.database)], check=True, capture_output=True, text=True, timeout=60).stdout
    return "\n".join(line for line in written.splitlines() if not line.startswith(("\\", "SET ", "SELECT pg_catalog")))


@pytest.fixture
def store(url: str, request: pytest.FixtureRequest) -> Iterator[Store]:
    """A store with empty tables; how they come about is the matter of tests of opening and migrations."""
    if url.startswith("sqlite"):
        file = Path(str(make_url(url).database))
        file.parent.mkdir(mode=0o700)
        shutil.copy(request.getfixturevalue("tables_of_sqlite"), file)
    else:
        place = make_url(url)
        with psycopg.connect(host=str(place.query["host"]), user=place.username, dbname=place.database) as connection:
            connection.execute(request.getfixturevalue("tables_of_postgresql"))
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
