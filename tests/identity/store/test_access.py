"""What a team's server rests on: passwords hard to guess, sessions that end unused, tokens, letters of issues."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import select, text, update

from wetpath.errors import InputError
from wetpath.services.demo import demo_folder
from wetpath.services.desk import rate_papers
from wetpath.services.project_files import files_of_folder, import_files
from wetpath.services.projects import issue_record, kept_papers
from wetpath.store.accounts import (
    IDLE_TIME,
    LOCAL_KEY,
    SEEN_STEP,
    SESSION_TIME,
    SHORTEST_PASSWORD,
    User,
    add_user,
    any_account,
    close_account,
    local_user,
    log_in,
    now,
    session_user,
    tidy_sessions,
)
from wetpath.store.errors import NotAllowed, NotKnown
from wetpath.store.opening import Store, migrate, newest_version
from wetpath.store.ratings import issue, next_letter
from wetpath.store.revisions import Saved, revision, save
from wetpath.store.tables import SessionRow, TokenRow, UserRow
from wetpath.store.tokens import add_token, drop_token, token_user, tokens

PASSWORD = "four words in a row"


@pytest.fixture
def ada(store: Store) -> User:
    return add_user(store, "Ada Ex", PASSWORD)


def used(store: Store, ago: timedelta) -> None:
    with store.writing() as session:
        session.execute(update(SessionRow).values(seen=now() - ago))


def last_use(store: Store) -> timedelta:
    with store.reading() as session:
        return now() - session.scalars(select(SessionRow.seen)).one()


def test_shortest_password_where_nothing_else_is_asked_for() -> None:
    """NIST SP 800-63B-4 (2025), 3.1.1.2: at least 15 characters, at most 64 or more allowed (status: recalled)."""
    assert SHORTEST_PASSWORD == 15


@pytest.mark.parametrize("password", ["a" * 15, "abababababababab", "Ada Ex Ada Ex Ada Ex", "wetpathwetpath12",
                                      "PASSWORD password", "ada ex wetpath!!", "\N{BLACK STAR}" * 20])
def test_passwords_that_are_tried_first_are_refused(store: Store, password: str) -> None:
    """The same section: words that are to be expected, as the name of the service or of the user, are refused."""
    with pytest.raises(InputError) as raised:
        add_user(store, "Ada Ex", password)
    assert str(raised.value).splitlines()[0] == "password is one that others try first"
    assert not any_account(store)
    assert password not in str(raised.value)


@pytest.mark.parametrize("password", ["onlysmallletters", "                4 spaces count",
                                      "日本語の長い合言葉をここに書く", "x" * 5 + "abcdefghijk" * 80])
def test_no_rule_asks_for_kinds_of_characters(store: Store, password: str) -> None:
    """The same section: no other rules of composition; all printing characters and spaces are taken."""
    user = add_user(store, "Ada Ex", password)
    assert log_in(store, "Ada Ex", password).user == user


def test_a_session_ends_after_a_time_without_use_and_after_its_longest_time(store: Store, ada: User) -> None:
    login = log_in(store, ada.name, PASSWORD)
    used(store, IDLE_TIME - timedelta(seconds=10))
    assert session_user(store, login.token, active=False) == ada
    assert last_use(store) > IDLE_TIME - timedelta(seconds=20), "looking on is no use"
    assert session_user(store, login.token) == ada
    assert last_use(store) < SEEN_STEP
    used(store, IDLE_TIME)
    assert session_user(store, login.token) is None
    tidy_sessions(store)
    with store.reading() as session:
        assert session.scalars(select(SessionRow)).all() == []
    assert abs(log_in(store, ada.name, PASSWORD).expires - now() - SESSION_TIME) < timedelta(seconds=10)


def test_an_account_that_is_closed_lets_nobody_in(store: Store) -> None:
    local_user(store)
    assert not any_account(store), "the local user has no password"
    add_user(store, "Ada Ex", PASSWORD)
    assert any_account(store)
    close_account(store, "Ada Ex")
    assert not any_account(store)


def test_a_token_is_told_once_and_kept_as_a_hash(store: Store, ada: User) -> None:
    token = add_token(store, "ada  ex", "nightly  run", 30)
    assert token_user(store, token) == ada
    (listed,) = tokens(store)
    assert (listed.user, listed.purpose, (listed.expires - listed.created).days) == ("Ada Ex", "nightly run", 30)
    with store.reading() as session:
        kept = session.scalars(select(TokenRow.token_sha256)).one()
    assert token not in kept
    assert token_user(store, kept) is None
    close_account(store, ada.name)
    assert token_user(store, token) is None
    close_account(store, ada.name, open_again=True)
    assert token_user(store, token) == ada
    with store.writing() as session:
        session.execute(update(TokenRow).values(expires=now()))
    assert token_user(store, token) is None
    drop_token(store, listed.number)
    assert tokens(store) == ()
    with pytest.raises(NotKnown, match="is not a token here"):
        drop_token(store, listed.number)


@pytest.mark.parametrize(("purpose", "days", "said"), [
    ("", 30, 'purpose = "" does not tell what the token is for\n  do:  give 1 to 200 characters'),
    ("x", 0, "days = 0 is not a time a token may be valid\n  do:  give 1 to 366"),
    ("x", 367, "days = 367 is not a time a token may be valid\n  do:  give 1 to 366")])
def test_faulty_tokens_are_refused(store: Store, ada: User, purpose: str, days: int, said: str) -> None:
    with pytest.raises(InputError) as raised:
        add_token(store, ada.name, purpose, days)
    assert str(raised.value) == said


def test_the_local_user_has_no_token(store: Store) -> None:
    local = local_user(store)
    for name in (local.name, LOCAL_KEY):
        with pytest.raises(NotKnown):
            add_token(store, name, "x", 1)


def test_accounts_live_through_a_new_version_of_the_tables(store: Store, ada: User) -> None:
    log_in(store, ada.name, PASSWORD)
    with store.engine.execution_options(writes=True).begin() as connection:
        migrate(connection, "0002")
        connection.execute(text("SELECT created, expires FROM login_session"))
        migrate(connection, newest_version())
    with store.reading() as session:
        assert session.scalars(select(UserRow.name)).all() == ["Ada Ex"]
    assert session_user(store, log_in(store, ada.name, PASSWORD).token) == ada


def test_only_an_approver_issues_and_only_what_is_newest(store: Store, engineer: User) -> None:
    works, path = "Works", "enquiries/butane_reflux.toml"
    import_files(store, engineer, works, files_of_folder(demo_folder()).contents)
    seen, kept = revision(store, works, path), kept_papers(store, works, path)
    record = rate_papers(kept.papers).record
    ada, cyd = add_user(store, "Ada", PASSWORD, "engineer"), add_user(store, "Cyd", PASSWORD, "approver")
    sent = {"letter": "A", "reason": "for approval", "files": {"a.pdf": b"x"}}
    with pytest.raises(NotAllowed, match='"Ada" may not issue a rating: the role is engineer, needed is approver'):
        issue_record(store, ada, kept, record, **sent)
    assert next_letter(store, works, path) == "A"
    issued = issue_record(store, cyd, kept, record, **sent)
    assert (issued.letter, issued.author, next_letter(store, works, path)) == ("A", "Cyd", "B")
    with pytest.raises(InputError, match="was given to an issue of somebody else in between"):
        issue_record(store, cyd, kept, record, **sent)
    with pytest.raises(InputError, match="was given to an issue"):
        issue(store, cyd, works, path, issued.rating.id, letter="A")
    changed = save(store, ada, works, path, seen.content + "# later\n", based_on=seen.number)
    assert isinstance(changed, Saved)
    with pytest.raises(InputError, match="is revision 2 by now; the rating is of revision 1"):
        issue_record(store, cyd, kept, record, **{**sent, "letter": "B"})
    assert next_letter(store, works, path) == "B"
