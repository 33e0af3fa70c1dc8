"""Tables are made and brought up to date; a copy is made before; an unknown version is refused."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import inspect, text

from wetpath.store.accounts import add_user, local_user, users
from wetpath.store.errors import DatabaseError
from wetpath.store.opening import Store, migrate, newest_version, open_store, version_of, versions
from wetpath.store.tables import Base


def brought_to(store: Store, version: str) -> None:
    with store.engine.execution_options(writes=True).begin() as connection:
        migrate(connection, version)


def left_behind(url: str, version: str) -> None:
    store = open_store(url)
    brought_to(store, version)
    store.close()


def test_an_empty_database_gets_the_newest_tables(store: Store) -> None:
    with store.engine.connect() as connection:
        assert version_of(connection) == newest_version() == versions()[-1]
        assert set(inspect(connection).get_table_names()) == {*Base.metadata.tables, "alembic_version"}


def test_the_tables_are_those_of_the_program(store: Store) -> None:
    with store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True, "compare_server_default": True})
        assert compare_metadata(context, Base.metadata) == []
        found = inspect(connection)
        for name, table in Base.metadata.tables.items():
            checks = {str(check["name"]) for check in found.get_check_constraints(name)}
            assert checks == {str(one.name) for one in table.constraints if str(one.name).startswith("ck_")}


@pytest.mark.parametrize("version", versions())
def test_every_version_goes_down_and_up_again(store: Store, version: str) -> None:
    before = (None, *versions())[versions().index(version)] or "base"
    brought_to(store, version)
    brought_to(store, before)
    with store.engine.connect() as connection:
        assert version_of(connection) == (None if before == "base" else before)
    brought_to(store, newest_version())
    with store.engine.connect() as connection:
        assert version_of(connection) == newest_version()
        assert set(inspect(connection).get_table_names()) == {*Base.metadata.tables, "alembic_version"}


def test_rows_live_through_an_upgrade(url: str) -> None:
    store = open_store(url)
    add_user(store, "Ada", "a long enough one")
    brought_to(store, versions()[0])
    store.close()
    again = open_store(url, upgrade=True)
    assert [user.name for user in users(again)] == ["Ada"]
    again.close()


def test_sqlite_is_copied_before_an_upgrade(tmp_path: Path) -> None:
    file = tmp_path / "w.sqlite"
    left_behind(f"sqlite:///{file}", versions()[0])
    assert list(tmp_path.glob("w-before-*")) == []
    open_store(f"sqlite:///{file}").close()
    copies = list(tmp_path.glob("w-before-*.sqlite"))
    assert len(copies) == 1
    with sqlite3.connect(copies[0]) as copy:
        assert copy.execute("SELECT version_num FROM alembic_version").fetchall() == [(versions()[0],)]
    copy.close()
    open_store(f"sqlite:///{file}").close()
    assert len(list(tmp_path.glob("w-before-*.sqlite"))) == 1


def test_postgresql_is_upgraded_when_asked_only(postgresql_url: str) -> None:
    left_behind(postgresql_url, versions()[0])
    with pytest.raises(DatabaseError) as raised:
        open_store(postgresql_url)
    assert str(raised.value).endswith(
        f"has tables of an older version ({versions()[0]}; needed: {newest_version()})\n"
        "  do:  make a backup, then run: wetpath database upgrade")
    store = open_store(postgresql_url, upgrade=True)
    with store.engine.connect() as connection:
        assert version_of(connection) == newest_version()
    store.close()


def test_tables_of_a_later_version_are_refused(url: str) -> None:
    store = open_store(url)
    with store.engine.execution_options(writes=True).begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    store.close()
    with pytest.raises(DatabaseError, match=r"was written by a later version of the program \(tables 9999, known here"):
        open_store(url, upgrade=True)


def test_many_open_an_empty_database_at_once(url: str) -> None:
    opened: list[Store] = []
    errors: list[Exception] = []

    def open_it() -> None:
        try:
            store = open_store(url)
            local_user(store)
            opened.append(store)
        except Exception as error:
            errors.append(error)

    threads = [threading.Thread(target=open_it) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == []
    assert len({local_user(store).id for store in opened}) == 1
    for store in opened:
        store.close()


def test_sqlite_keeps_its_journal_and_its_references(tmp_path: Path) -> None:
    store = open_store(f"sqlite:///{tmp_path}/w.sqlite")
    with store.engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2
    store.close()


def test_the_default_is_a_file_in_the_folder_of_the_data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("WETPATH_DATA", str(tmp_path / "mine"))
    open_store().close()
    assert (tmp_path / "mine" / "wetpath.sqlite").is_file()


@pytest.mark.parametrize(("address", "said"), [
    ("nonsense", '"nonsense" is not the address of a database\n  do:  write sqlite:///FILE or '
                 "postgresql://USER@HOST/NAME"),
    ("sqlite://", "a database in memory keeps nothing\n  do:  name a file: sqlite:///FILE"),
    ("mysql://host/x", "mysql is not a database known here; known: sqlite, postgresql")])
def test_other_addresses_are_refused(address: str, said: str) -> None:
    with pytest.raises(DatabaseError) as raised:
        open_store(address)
    assert str(raised.value) == said


def test_a_file_that_is_no_database_is_told(tmp_path: Path) -> None:
    (tmp_path / "w.sqlite").write_text("these are words, and no database" * 100)
    with pytest.raises(DatabaseError, match="cannot be opened: file is not a database"):
        open_store(f"sqlite:///{tmp_path}/w.sqlite")


def test_a_server_that_is_not_there_is_told_without_the_password(tmp_path: Path) -> None:
    with pytest.raises(DatabaseError) as raised:
        open_store(f"postgresql://ann:secret@/works?host={tmp_path}")
    assert "cannot be opened" in str(raised.value)
    assert "secret" not in str(raised.value)
