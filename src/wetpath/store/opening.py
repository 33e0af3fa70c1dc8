"""Opening a database: where it is, how it is connected, and bringing its tables up to date."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from alembic.config import Config
from alembic.runtime.environment import EnvironmentContext
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.orm import Session

from wetpath.store.errors import DatabaseError
from wetpath.store.tables import Base

#: Names the folder of the user's data, if set.
FOLDER_VARIABLE = "WETPATH_DATA"
FILE_NAME = "wetpath.sqlite"
UPGRADE_COMMAND = "wetpath database upgrade"
MIGRATIONS = Path(__file__).parent / "migrations"
#: A writer waits this long for another one before it gives up [s].
PATIENCE = 30.0
_LOCK = 0x77657470617468       # of the upgrade, in PostgreSQL


@dataclass(frozen=True)
class Store:
    """An open database. May be used from many threads; every call of the store is one transaction of its own."""

    engine: Engine

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A transaction that only reads."""
        with Session(self.engine, expire_on_commit=False) as session, session.begin():
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A transaction that writes; in SQLite it waits for its turn before it reads."""
        with Session(self.engine.execution_options(writes=True), expire_on_commit=False) as session, session.begin():
            yield session

    def close(self) -> None:
        """Give all connections back."""
        self.engine.dispose()


def data_folder() -> Path:
    """Where the user's data are: ``$WETPATH_DATA`` or the user's data folder."""
    if given := os.environ.get(FOLDER_VARIABLE):
        return Path(given)
    from platformdirs import user_data_path

    return user_data_path("wetpath", appauthor=False)


def open_store(url: str | None = None, *, upgrade: bool | None = None) -> Store:
    """Open a database, with its tables made or brought up to date.

    Parameters
    ----------
    url : str, optional
        "sqlite:///file", "postgresql://user@host/name"; without it the file in the user's data folder.
    upgrade : bool, optional
        Whether tables of an older version are brought up to date. By default they are in SQLite, after a copy of
        the file has been made beside it, and not in PostgreSQL. Tables of a database without any are always made.

    Raises
    ------
    DatabaseError
        It cannot be opened, is of an older version and was not to be upgraded, or of a later one.
    """
    target = _target(url)
    try:
        engine = _engine(target)
        try:
            _bring_up_to_date(engine, target.get_backend_name() == "sqlite" if upgrade is None else upgrade)
        except BaseException:
            engine.dispose()
            raise
    except (NoSuchModuleError, ModuleNotFoundError) as error:
        raise DatabaseError(f"the library for {target.drivername} is not installed: {error}\n"
                            "  do:  install wetpath with the extra named team") from None
    except DBAPIError as error:
        raise DatabaseError(f"{_shown(target)} cannot be opened: {str(error.orig).strip()}") from None
    return Store(engine)


def version_of(connection: Connection) -> str | None:
    """The version of the tables of a database; None when it has none."""
    return MigrationContext.configure(connection).get_current_revision()


def newest_version() -> str:
    """The version of the tables this program works with."""
    newest = _scripts().get_current_head()
    assert newest is not None
    return newest


def versions() -> tuple[str, ...]:
    """All versions, the first one first."""
    return tuple(reversed([script.revision for script in _scripts().walk_revisions()]))


def migrate(connection: Connection, version: str) -> None:
    """Bring the tables of a database up or down to a version ("base" for none), inside the transaction begun."""
    scripts = _scripts()
    order = ["base", *versions()]
    down = order.index(version) < order.index(version_of(connection) or "base")

    def steps(current: Any, context: MigrationContext) -> Any:
        return scripts._downgrade_revs(version, current) if down else scripts._upgrade_revs(version, current)

    with EnvironmentContext(Config(), scripts, fn=steps, destination_rev=version) as environment:
        environment.configure(connection=connection, target_metadata=Base.metadata, transactional_ddl=True)
        environment.run_migrations()


def _scripts() -> ScriptDirectory:
    return ScriptDirectory(str(MIGRATIONS))


def _target(url: str | None) -> URL:
    if url is None:
        return URL.create("sqlite", database=str(data_folder() / FILE_NAME))
    try:
        target = make_url(url)
    except ArgumentError:
        raise DatabaseError(f'"{url}" is not the address of a database\n'
                            "  do:  write sqlite:///FILE or postgresql://USER@HOST/NAME") from None
    if target.drivername in ("postgresql", "postgres"):
        return target.set(drivername="postgresql+psycopg")
    if target.get_backend_name() not in ("sqlite", "postgresql"):
        raise DatabaseError(f"{target.drivername} is not a database known here; known: sqlite, postgresql")
    if target.get_backend_name() == "sqlite" and target.database in (None, "", ":memory:"):
        raise DatabaseError("a database in memory keeps nothing\n  do:  name a file: sqlite:///FILE")
    return target


def _shown(target: URL) -> str:
    return target.render_as_string(hide_password=True)


def _engine(target: URL) -> Engine:
    if target.get_backend_name() != "sqlite":
        return create_engine(target, pool_pre_ping=True)
    assert target.database is not None
    try:
        Path(target.database).parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise DatabaseError(f"{target.database} cannot be made: {(error.strerror or str(error)).lower()}") from None
    _make_for_its_user(target.database)
    engine = create_engine(target, connect_args={"timeout": PATIENCE})
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _make_for_its_user(path: str | Path) -> None:
    """Make a file that nobody but its user reads, unless it is there; what cannot be made is told when it is opened."""
    with suppress(OSError):
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))


def _prepare_sqlite(connection: sqlite3.Connection, _: object) -> None:
    connection.isolation_level = None        # transactions are begun below
    for setting in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", "recursive_triggers = ON"):
        connection.execute(f"PRAGMA {setting}")


def _begin_sqlite(connection: Connection) -> None:
    connection.exec_driver_sql("BEGIN IMMEDIATE" if connection.get_execution_options().get("writes") else "BEGIN")


def _bring_up_to_date(engine: Engine, allowed: bool) -> None:
    newest, known = newest_version(), versions()
    with engine.connect() as connection:
        found = version_of(connection)
    if found == newest:
        return
    if found is not None and found not in known:
        raise DatabaseError(f"{_shown(engine.url)} was written by a later version of the program (tables {found}, "
                            f"known here: up to {newest})\n  do:  use that version or a newer one")
    if found is not None and not allowed:
        raise DatabaseError(f"{_shown(engine.url)} has tables of an older version ({found}; needed: {newest})\n"
                            f"  do:  make a backup, then run: {UPGRADE_COMMAND}")
    sqlite = engine.dialect.name == "sqlite"
    if sqlite and found is not None:
        _back_up(Path(str(engine.url.database)), found)
    with engine.execution_options(writes=True).begin() as connection:
        if not sqlite:
            connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _LOCK})
        if version_of(connection) != newest:         # another process may have been first
            migrate(connection, newest)


def _back_up(path: Path, version: str) -> Path:
    """Copy a database file beside itself, whole even while others write."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%f")
    target = path.with_name(f"{path.stem}-before-{version}-{stamp}{path.suffix}")
    _make_for_its_user(target)
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(target)) as copy:
        source.backup(copy)
    return target
