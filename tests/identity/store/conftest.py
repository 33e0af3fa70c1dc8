"""A store on SQLite, always, and on a real PostgreSQL where its programs are found."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from wetpath.services.demo import enquiry_path
from wetpath.store.accounts import User, local_user
from wetpath.store.opening import Store, open_store
from wetpath.store.revisions import Saved, create_project, save

PROJECT, PATH = "Works", "enquiries/reflux.toml"


def _programs() -> Path | None:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    named = shutil.which("initdb")
    return found[-1].parent if found else Path(named).parent if named else None


@pytest.fixture(scope="session")
def cluster() -> Iterator[str]:
    """Address of a throw-away PostgreSQL on a socket in a folder of its own."""
    programs = _programs()
    if programs is None:
        pytest.skip("no initdb here: PostgreSQL is not installed")
    as_user: list[str] = []
    folder = Path(tempfile.mkdtemp(prefix="wp-pg-"))
    if os.getuid() == 0:
        try:
            account = pwd.getpwnam("postgres")
        except KeyError:
            pytest.skip("PostgreSQL does not run as root, and there is no user postgres")
        os.chown(folder, account.pw_uid, account.pw_gid)
        as_user = ["runuser", "-u", "postgres", "--"]
    data = folder / "data"

    def run(*command: str) -> None:
        subprocess.run([*as_user, *command], check=True, cwd=folder, stdout=subprocess.DEVNULL, timeout=120)

    run(str(programs / "initdb"), "-D", str(data), "-U", "postgres", "-A", "trust", "--no-sync", "-E", "UTF8",
        "--locale=C")
    run(str(programs / "pg_ctl"), "-D", str(data), "-w", "-l", str(folder / "log"), "-o",
        f"-c listen_addresses='' -c unix_socket_directories='{folder}' -c fsync=off", "start")
    try:
        yield f"postgresql+psycopg://postgres@/postgres?host={folder}"
    finally:
        run(str(programs / "pg_ctl"), "-D", str(data), "-w", "-m", "immediate", "stop")
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def postgresql_url(cluster: str) -> str:
    """Address of an empty database."""
    engine = create_engine(cluster, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text("SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                                "WHERE datname = 'postgres' AND pid <> pg_backend_pid()"))
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    engine.dispose()
    return cluster


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
