"""Accounts: passwords are hashed, sessions end, failed logins are slowed down; drafts live through a killed server."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import select, text, update

from wetpath.errors import InputError
from wetpath.store import accounts
from wetpath.store.accounts import (
    User,
    add_user,
    close_account,
    local_user,
    log_in,
    log_out,
    session_user,
    set_password,
    set_role,
    tidy_sessions,
    users,
)
from wetpath.store.drafts import draft, drafts, drop_draft, keep_draft
from wetpath.store.errors import LoginRefused, NotKnown, TooManyAttempts
from wetpath.store.opening import Store, open_store
from wetpath.store.revisions import create_project
from wetpath.store.tables import AttemptRow, SessionRow, UserRow

PASSWORD = "four words in a row"


@pytest.fixture
def ada(store: Store) -> User:
    return add_user(store, "Ada  Ex", PASSWORD)


def test_the_password_is_kept_as_an_argon2id_hash(store: Store, ada: User) -> None:
    with store.reading() as session:
        kept = session.scalars(select(UserRow.password_hash).where(UserRow.id == ada.id)).one()
    assert kept is not None
    assert kept.startswith("$argon2id$v=19$")
    assert PASSWORD not in kept


def test_a_login_gives_a_session_whose_token_is_not_kept(store: Store, ada: User) -> None:
    login = log_in(store, "ada ex", PASSWORD)
    assert session_user(store, login.token) == ada == login.user
    with store.reading() as session:
        (kept,) = session.scalars(select(SessionRow.token_sha256)).all()
    assert kept == accounts.sha256_of(login.token) != login.token
    assert session_user(store, kept) is None
    log_out(store, login.token)
    assert session_user(store, login.token) is None


def test_two_logins_have_two_tokens(store: Store, ada: User) -> None:
    assert log_in(store, ada.name, PASSWORD).token != log_in(store, ada.name, PASSWORD).token


def test_a_session_ends(store: Store, ada: User) -> None:
    login = log_in(store, ada.name, PASSWORD, lasting=timedelta(seconds=-1))
    assert session_user(store, login.token) is None
    tidy_sessions(store)
    with store.reading() as session:
        assert session.scalars(select(SessionRow)).all() == []


@pytest.mark.parametrize(("name", "password"), [
    ("Ada Ex", "wrong"), ("nobody", PASSWORD), ("", ""), ("\x1flocal", PASSWORD), ("Ada\x00Ex", "\ud800"),
    ("Ada Ex", "x" * 5000)])
def test_what_does_not_belong_together_is_refused_in_the_same_words(store: Store, ada: User, name: str,
                                                                    password: str) -> None:
    local_user(store)
    with pytest.raises(LoginRefused) as raised:
        log_in(store, name, password)
    assert str(raised.value) == ("login is refused: name and password do not belong together\n"
                                 "  do:  try again, or ask whoever keeps the accounts")


def test_failed_logins_of_a_name_are_limited_for_a_while(store: Store, ada: User) -> None:
    for _ in range(accounts.FAILURES_OF_NAME):
        with pytest.raises(LoginRefused, match="do not belong together"):
            log_in(store, "ADA EX", "wrong")
    with pytest.raises(TooManyAttempts) as raised:
        log_in(store, ada.name, PASSWORD)
    assert 0 < raised.value.wait_s <= accounts.FAILURE_TIME.total_seconds() + 1
    with store.writing() as session:
        session.execute(update(AttemptRow).values(at=accounts.now() - accounts.FAILURE_TIME))
    assert log_in(store, ada.name, PASSWORD).user == ada


def test_failed_logins_from_an_address_are_limited_whatever_the_name(store: Store, ada: User,
                                                                     monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(accounts, "FAILURES_OF_ADDRESS", 3)
    for number in range(3):
        with pytest.raises(LoginRefused, match="do not belong together"):
            log_in(store, f"guess {number}", "wrong", address="192.0.2.1")
    with pytest.raises(TooManyAttempts):
        log_in(store, ada.name, PASSWORD, address="192.0.2.1")
    assert log_in(store, ada.name, PASSWORD, address="192.0.2.2").user == ada


def test_another_password_ends_the_sessions(store: Store, ada: User) -> None:
    login = log_in(store, ada.name, PASSWORD)
    set_password(store, "ada ex", "four other words here")
    assert session_user(store, login.token) is None
    with pytest.raises(LoginRefused):
        log_in(store, ada.name, PASSWORD)
    log_in(store, ada.name, "four other words here")


def test_a_closed_account_is_out_at_once(store: Store, ada: User) -> None:
    login = log_in(store, ada.name, PASSWORD)
    close_account(store, ada.name)
    assert session_user(store, login.token) is None
    with pytest.raises(LoginRefused):
        log_in(store, ada.name, PASSWORD)
    assert not users(store)[0].may("reader")
    close_account(store, ada.name, open_again=True)
    log_in(store, ada.name, PASSWORD)


def test_a_role_counts_from_the_next_use(store: Store, ada: User) -> None:
    login = log_in(store, ada.name, PASSWORD)
    set_role(store, ada.name, "reader")
    seen = session_user(store, login.token)
    assert seen is not None
    assert seen.may("reader")
    assert not seen.may("engineer")


def test_a_hash_with_older_parameters_is_renewed(store: Store, ada: User) -> None:
    from argon2 import PasswordHasher

    weak = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(PASSWORD)
    with store.writing() as session:
        session.get_one(UserRow, ada.id).password_hash = weak
    log_in(store, ada.name, PASSWORD)
    with store.reading() as session:
        assert session.get_one(UserRow, ada.id).password_hash != weak


@pytest.mark.parametrize(("name", "password", "role", "said"), [
    ("Bob", "short", "engineer", "password has 5 characters; allowed: 15 to 1000\n  do:  choose several words"),
    ("  ", PASSWORD, "engineer", 'name = "  " is not a name of a user\n  do:  give 1 to 100 characters'),
    ("ADA ex", PASSWORD, "engineer", 'name = "ADA ex" has an account already\n  do:  choose another name'),
    ("Bob", PASSWORD, "king", 'role = "king" is not a role\n  do:  give one of: reader, engineer, approver')])
def test_faulty_accounts_are_refused(store: Store, ada: User, name: str, password: str, role: str, said: str) -> None:
    with pytest.raises(InputError) as raised:
        add_user(store, name, password, role)  # type: ignore[arg-type]
    assert str(raised.value) == said


def test_the_local_user_is_one_and_cannot_log_in(store: Store, ada: User) -> None:
    local = local_user(store)
    assert local_user(store) == local
    assert local.may("approver")
    assert users(store) == (ada,)
    with pytest.raises(NotKnown):
        set_password(store, local.name, PASSWORD)


def test_drafts_are_any_text_one_per_user_and_document(store: Store, ada: User) -> None:
    bob = add_user(store, "Bob", PASSWORD)
    create_project(store, ada, "P")
    keep_draft(store, ada, "P", "a.toml", "flow = ", based_on=3)
    keep_draft(store, ada, "P", "a.toml", "flow = \x00 \ud800 ≈", based_on=3)
    keep_draft(store, bob, "P", "a.toml", "other")
    kept = draft(store, ada, "P", "a.toml")
    assert kept is not None
    assert (kept.content, kept.based_on) == ("flow = \x00 \ud800 ≈", 3)
    assert len(drafts(store, ada)) == len(drafts(store, bob)) == 1
    drop_draft(store, ada, "P", "a.toml")
    assert drafts(store, ada) == ()
    assert len(drafts(store, bob)) == 1


SERVER = """
import sys
from wetpath.store.accounts import local_user
from wetpath.store.drafts import keep_draft
from wetpath.store.opening import open_store
from wetpath.store.revisions import create_project
store = open_store(sys.argv[1])
user = local_user(store)
create_project(store, user, "P")
number = 0
while True:
    number += 1
    keep_draft(store, user, "P", "a.toml", f"typed {number}")
    print(number, flush=True)
"""


def test_a_draft_lives_through_a_killed_server(url: str, tmp_path: Path) -> None:
    server = subprocess.Popen([sys.executable, "-c", SERVER, url], stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    told = 0
    with server.stdout:
        while told < 20:
            told = int(server.stdout.readline())
        os.kill(server.pid, signal.SIGKILL)
        rest = server.stdout.read().split()
    assert server.wait() == -signal.SIGKILL
    told = int(rest[-1]) if rest else told
    store = open_store(url)
    kept = draft(store, local_user(store), "P", "a.toml")
    assert kept is not None
    assert int(kept.content.removeprefix("typed ")) >= told      # what was told to be kept is kept
    keep_draft(store, local_user(store), "P", "a.toml", "goes on")
    with store.engine.connect() as connection:
        if store.engine.dialect.name == "sqlite":
            assert connection.execute(text("PRAGMA integrity_check")).scalar() == "ok"
    store.close()
