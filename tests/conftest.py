"""The ``against`` fixture, one row of the validation table for every check against the outside; a real PostgreSQL."""

from __future__ import annotations

import json
import os
import pwd
import shutil
import subprocess
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from wetpath.edge.sources import all_sources

ROWS: pytest.StashKey[list[dict[str, Any]]] = pytest.StashKey()
TESTS: pytest.StashKey[dict[str, Any]] = pytest.StashKey()
PAGES, LINKS = "tests/faces/web/", "tests/links/"
#: Longest first, so that no worker is left alone with one of them: pages on one, what mostly waits on another.
FIRST = (PAGES, LINKS, "tests/identity/fleet/", "tests/identity/questions/test_scale",
         "tests/faces/test_scale", "tests/faces/report/", "tests/faces/api/", "tests/identity/store/", "tests/faces/")
STATUSES = {"read", "recalled", "derived", "computed", "common practice"}


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--validation-rows", default=None, metavar="FILE",
                     help="write every checked row (source, ours, expected, tolerance) to this JSON file; write "
                          "--validation-rows=FILE, or pytest takes a FILE that is there already for a test")
    parser.addoption("--all-looks", action="store_true", help="photograph pages in the dark, on paper and in grey too")


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """A file stays on one worker, and so do all files of the pages: they share a server, a browser, what is rated.

    So do those of the links, which mostly wait: cores are for the others then.
    """
    if config.getvalue("dist") != "loadfile":
        return None
    from xdist.scheduler import LoadFileScheduling

    config.option.loadscopereorder = False
    class Together(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            file: str = super()._split_scope(nodeid)
            return next((place for place in (PAGES, LINKS) if file.startswith(place)), file)

    return Together(config, log)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put what takes long first, files together."""
    items.sort(key=lambda item: next((place for place, one in enumerate(FIRST) if item.nodeid.startswith(one)),
                                     len(FIRST)))


def pytest_configure(config: pytest.Config) -> None:
    config.stash[ROWS] = []
    config.stash[TESTS] = {}


@pytest.fixture
def against(request: pytest.FixtureRequest) -> Callable[..., None]:
    """Compare a number of ours with one from outside, record the row, and fail when they disagree.

    Call it as ``against(source, status, quantity, ours, expected, rel=.., abs=.., unit="..")``. ``source`` is a
    key of ``data/sources``, ``status`` tells how the expected value is known: read in the source, recalled
    from memory of it, derived from first principles, or computed by an independent program or library.
    """

    def check(source: str, status: str, quantity: str, ours: float, expected: float, *,
              rel: float | None = None, abs: float | None = None, unit: str = "-") -> None:
        assert source in all_sources(), f"source {source!r} is no row of data/sources"
        assert status in STATUSES, f"status {status!r} is not one of {sorted(STATUSES)}"
        assert (rel is None) != (abs is None), "give one tolerance, rel or abs"
        ours, expected = float(ours), float(expected)
        room = rel * np.abs(expected) if rel is not None else abs
        agrees = bool(np.abs(ours - expected) <= room)
        request.config.stash[ROWS].append({
            "test": request.node.nodeid, "source": source, "status": status, "quantity": quantity, "unit": unit,
            "ours": ours, "expected": expected, "tolerance": float(rel if rel is not None else abs),
            "tolerance_kind": "relative" if rel is not None else "absolute", "agrees": agrees})
        assert agrees, f"{quantity}: ours {ours!r}, {source} gives {expected!r} {unit}, allowed difference {room!r}"

    return check


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
    from sqlalchemy import create_engine, text

    engine = create_engine(cluster, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text("SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                                "WHERE datname = 'postgres' AND pid <> pg_backend_pid()"))
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    engine.dispose()
    return cluster


@pytest.fixture(scope="session")
def new_database(cluster: str) -> Callable[[str], str]:
    """Make a database of its own under a name, for what lives longer than a test; tells its address."""
    from sqlalchemy import create_engine, make_url, text

    def made(name: str) -> str:
        engine = create_engine(cluster, isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            connection.execute(text(f'CREATE DATABASE "{name}"'))
        engine.dispose()
        return make_url(cluster).set(database=name).render_as_string()

    return made


def pytest_collection_finish(session: pytest.Session) -> None:
    """Count the tests by kind of proof, and note the facts of the trade among them."""
    kinds = Counter(kind_of(item.nodeid) for item in session.items)
    facts = {item.nodeid.split("[")[0]: first_sentence(item)
             for item in session.items if item.get_closest_marker("common_practice")}
    session.config.stash[TESTS] = {"kinds": dict(sorted(kinds.items())), "common_practice": facts}


def kind_of(nodeid: str) -> str:
    """Kind of proof of a test: its folder under tests; examples in modules and pages are doctests."""
    parts = nodeid.split("::")[0].split("/")
    return parts[1] if parts[0] == "tests" and len(parts) > 2 else "doctest"


def first_sentence(item: pytest.Item) -> str:
    """What a test says of itself: its name in words, then the first paragraph of its docstring."""
    said = getattr(getattr(item, "function", None), "__doc__", None)
    name = item.name.split("[")[0].removeprefix("test_").replace("_", " ")
    return f"{name}: {' '.join(said.split(chr(10) * 2)[0].split())}" if said else name


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any, error: object) -> None:
    """Take over the rows of a worker when tests run in several processes."""
    config: pytest.Config = node.config
    sent = getattr(node, "workeroutput", {})
    config.stash[ROWS].extend(sent.get("validation_rows", []))
    told: dict[str, Any] = config.stash[TESTS]
    told.update(sent.get("validation_tests", {}))


def pytest_sessionfinish(session: pytest.Session) -> None:
    rows = session.config.stash[ROWS]
    worker = getattr(session.config, "workeroutput", None)
    if worker is not None:
        worker["validation_rows"], worker["validation_tests"] = rows, session.config.stash[TESTS]
        return
    target = session.config.getoption("--validation-rows")
    if target:
        Path(target).parent.mkdir(parents=True, exist_ok=True)
        told: dict[str, Any] = session.config.stash[TESTS]
        written = {**told, "rows": sorted(rows, key=lambda row: (row["test"], row["quantity"]))}
        Path(target).write_text(json.dumps(written, indent=1), encoding="utf-8")
