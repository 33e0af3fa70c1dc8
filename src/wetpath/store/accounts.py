"""Accounts: users with their roles, logins with sessions, and the limit on failed logins."""

from __future__ import annotations

import getpass
import secrets
import unicodedata
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Literal, get_args

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlalchemy import ColumnElement, delete, or_, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from wetpath.errors import InputError
from wetpath.store.documents import sha256_of
from wetpath.store.errors import LoginRefused, NotAllowed, NotKnown, TooManyAttempts
from wetpath.store.opening import Store
from wetpath.store.tables import NAME_LENGTH, AttemptRow, SessionRow, UserRow

Role = Literal["reader", "engineer", "approver"]
ROLES: tuple[Role, ...] = get_args(Role)      # each may do what those before it may

#: After so many failed logins of one name, or from one address, within the time, no further one is tried.
FAILURES_OF_NAME, FAILURES_OF_ADDRESS, FAILURE_TIME = 5, 30, timedelta(minutes=15)
#: A session ends so long after it began, and after so long without anything done in it.
SESSION_TIME, IDLE_TIME = timedelta(hours=12), timedelta(hours=1)
#: The last use of a session is written down again after so long.
SEEN_STEP = timedelta(minutes=1)
#: NIST SP 800-63B-4, 3.1.1.2: 15 characters where the password is all that is asked for; no rules of composition, and
#: no words that are to be expected, as the name of the user or of the service.
SHORTEST_PASSWORD, LONGEST_PASSWORD = 15, 1000
EXPECTED_WORDS = ("wetpath", "password", "passphrase")
FEWEST_DIFFERENT, SHORTEST_EXPECTED = 5, 3
LOCAL_KEY = "\x1flocal"      # no name that can be typed


@dataclass(frozen=True)
class User:
    """Somebody who uses the store."""

    id: int
    name: str
    role: Role
    open: bool = True

    def may(self, role: Role) -> bool:
        """Whether the role of this user includes another one."""
        return self.open and ROLES.index(self.role) >= ROLES.index(role)


@dataclass(frozen=True)
class Login:
    """A login that succeeded; the token is told once and kept nowhere."""

    user: User
    token: str
    expires: datetime


def now() -> datetime:
    """This moment, in UTC."""
    return datetime.now(UTC)


def require(user: User, role: Role, what: str) -> None:
    """Raise `NotAllowed` unless the role of a user includes ``role``."""
    if not user.may(role):
        raise NotAllowed(f'"{user.name}" may not {what}: the role is {user.role}, needed is {role}\n'
                         "  do:  ask somebody who has that role")


def local_user(store: Store) -> User:
    """Return the one implicit user of a store on one's own machine; there is no password and no login."""
    with store.reading() as session:
        row = session.scalar(select(UserRow).where(UserRow.key == LOCAL_KEY))
    if row is None:
        try:
            name = getpass.getuser()
        except (OSError, KeyError, ImportError):      # a machine without a name for its user
            name = "local user"
        try:
            return _insert(store, UserRow(name=name, key=LOCAL_KEY, role="approver", open=True, created=now()))
        except IntegrityError:                        # another process was first
            return local_user(store)
    return user_of(row)


def add_user(store: Store, name: str, password: str, role: Role = "engineer") -> User:
    """Open an account; names that differ only in capitals are the same."""
    plain = _checked_name(name)
    row = UserRow(name=plain, key=_key(plain), role=_checked_role(role), password_hash=_hashed(plain, password),
                  open=True, created=now())
    try:
        return _insert(store, row)
    except IntegrityError:
        raise InputError("has an account already", field="name", value=f'"{plain}"', do="choose another name") from None


def users(store: Store) -> tuple[User, ...]:
    """All accounts by name, without the local user."""
    with store.reading() as session:
        rows = session.scalars(select(UserRow).where(UserRow.key != LOCAL_KEY).order_by(UserRow.key))
        return tuple(map(user_of, rows))


def set_password(store: Store, name: str, password: str) -> None:
    """Give a user another password; all sessions of the user end."""
    hashed = _hashed(name, password)
    with store.writing() as session:
        row = user_named(session, name)
        row.password_hash = hashed
        session.execute(delete(SessionRow).where(SessionRow.user_id == row.id))


def set_role(store: Store, name: str, role: Role) -> User:
    """Give a user another role, from the next use on."""
    with store.writing() as session:
        row = user_named(session, name)
        row.role = _checked_role(role)
        return user_of(row)


def close_account(store: Store, name: str, *, open_again: bool = False) -> User:
    """Close an account, whose sessions end, or open it again; what the user saved stays."""
    with store.writing() as session:
        row = user_named(session, name)
        row.open = open_again
        if not open_again:
            session.execute(delete(SessionRow).where(SessionRow.user_id == row.id))
        return user_of(row)


def log_in(store: Store, name: str, password: str, *, address: str = "", lasting: timedelta = SESSION_TIME) -> Login:
    """Begin a session.

    Raises
    ------
    TooManyAttempts
        Too many logins of this name or from this address failed in the last quarter of an hour.
    LoginRefused
        Name and password do not belong together, or the account is closed; it is not told which.
    """
    key, origin, moment = _key(name), address[:NAME_LENGTH], now()
    with store.writing() as session:
        # The try is written down as failed before it is made, so that many at once count as many.
        attempt = _admitted(session, key, origin, moment)
        row = session.scalar(select(UserRow).where(UserRow.key == key))
    hashed = row.password_hash if row is not None and row.open and key != LOCAL_KEY else None
    right = _fits(hashed or _no_hash(), password) and hashed is not None      # an unknown name takes as long
    if not right or row is None:
        raise LoginRefused("is refused: name and password do not belong together", field="login",
                           do="try again, or ask whoever keeps the accounts")
    token, expires = secrets.token_urlsafe(32), moment + lasting
    with store.writing() as session:
        session.get_one(AttemptRow, attempt).succeeded = True
        kept = session.get_one(UserRow, row.id)
        if not kept.open or kept.password_hash != hashed:      # changed while the password was looked at
            raise LoginRefused("is refused: the account was changed just now", field="login", do="try again")
        if _hasher().check_needs_rehash(hashed or ""):
            kept.password_hash = _hasher().hash(password)
        session.add(SessionRow(token_sha256=sha256_of(token), user_id=row.id, created=moment, seen=moment,
                               expires=expires))
        return Login(user_of(kept), token, expires)


def any_account(store: Store) -> bool:
    """Whether there is an account with which somebody can log in."""
    with store.reading() as session:
        return session.scalar(select(UserRow.id).where(UserRow.open, UserRow.password_hash.is_not(None)).limit(1)) \
            is not None


def session_user(store: Store, token: str, *, active: bool = True) -> User | None:
    """Return the user of a session; None when there is none, it has ended, or the account is closed.

    Parameters
    ----------
    active : bool
        Whether this is a use of the session, from which the time without any counts anew.
    """
    moment = now()
    with store.reading() as session:
        found = session.execute(
            select(UserRow, SessionRow).join(SessionRow, SessionRow.user_id == UserRow.id)
            .where(SessionRow.token_sha256 == sha256_of(token))).first()
    if found is None or not found[0].open or found[1].expires <= moment or found[1].seen + IDLE_TIME <= moment:
        return None
    if active and found[1].seen + SEEN_STEP <= moment:
        with store.writing() as session:
            session.execute(update(SessionRow).where(SessionRow.token_sha256 == found[1].token_sha256)
                            .values(seen=moment))
    return user_of(found[0])


def log_out(store: Store, token: str) -> None:
    """End a session."""
    with store.writing() as session:
        session.execute(delete(SessionRow).where(SessionRow.token_sha256 == sha256_of(token)))


def tidy_sessions(store: Store) -> None:
    """Forget sessions that have ended, and logins that no longer count."""
    with store.writing() as session:
        session.execute(delete(SessionRow).where(or_(SessionRow.expires <= now(),
                                                     SessionRow.seen <= now() - IDLE_TIME)))
        session.execute(delete(AttemptRow).where(AttemptRow.at <= now() - FAILURE_TIME))


def _admitted(session: Session, key: str, address: str, moment: datetime) -> int:
    wait = max(_wait(session, AttemptRow.key == key, FAILURES_OF_NAME, moment),
               _wait(session, AttemptRow.address == address, FAILURES_OF_ADDRESS, moment) if address else timedelta(0))
    if wait > timedelta(0):
        raise TooManyAttempts(int(wait.total_seconds()) + 1)
    row = AttemptRow(key=key, address=address, at=moment, succeeded=False)
    session.add(row)
    session.flush()
    return row.id


def _wait(session: Session, whose: ColumnElement[bool], allowed: int, moment: datetime) -> timedelta:
    """How long until fewer than the allowed failures count."""
    failed = session.scalars(
        select(AttemptRow.at).where(whose, AttemptRow.succeeded.is_(False), AttemptRow.at > moment - FAILURE_TIME)
        .order_by(AttemptRow.at.desc()).limit(allowed)).all()
    return failed[-1] + FAILURE_TIME - moment if len(failed) >= allowed else timedelta(0)


@cache
def _hasher() -> PasswordHasher:
    return PasswordHasher()      # argon2id with the library's parameters of RFC 9106


@cache
def _no_hash() -> str:
    return _hasher().hash(secrets.token_urlsafe(16))


def _hashed(name: str, password: str) -> str:
    if not SHORTEST_PASSWORD <= len(password) <= LONGEST_PASSWORD:
        raise InputError(f"has {len(password)} characters; allowed: {SHORTEST_PASSWORD} to {LONGEST_PASSWORD}",
                         field="password", do="choose several words")
    plain = _key(password)
    for expected in (_key(name), *EXPECTED_WORDS):
        plain = plain.replace(expected, "") if len(expected) >= SHORTEST_EXPECTED else plain
    if len(set(plain)) < FEWEST_DIFFERENT:
        raise InputError("is one that others try first", field="password",
                         why="little is left of it without repetitions, the name of the user and words to be expected",
                         do="choose several words that have nothing to do with each other")
    return _hasher().hash(_one_form(password))


def _fits(hashed: str, password: str) -> bool:
    if len(password) > LONGEST_PASSWORD:
        return False
    try:
        return _hasher().verify(hashed, _one_form(password))
    except (VerificationError, InvalidHashError):
        return False


def _one_form(password: str) -> bytes:
    return unicodedata.normalize("NFKC", password).encode("utf-8", "surrogatepass")


def _key(name: str) -> str:
    """The form of a name by which it is found."""
    printed = "".join(sign for sign in unicodedata.normalize("NFKC", name) if sign.isprintable() or sign.isspace())
    return " ".join(printed.casefold().split())[:NAME_LENGTH]


def _checked_name(name: str) -> str:
    plain = " ".join(name.split())
    if not plain or len(plain) > 100 or not plain.isprintable():
        raise InputError("is not a name of a user", field="name", value=f'"{name}"', do="give 1 to 100 characters")
    return plain


def _checked_role(role: str) -> str:
    if role not in ROLES:
        raise InputError("is not a role", field="role", value=f'"{role}"', do=f"give one of: {', '.join(ROLES)}")
    return role


def user_named(session: Session, name: str) -> UserRow:
    """The row of a user; raise `NotKnown` when there is none of that name."""
    row = session.scalar(select(UserRow).where(UserRow.key == _key(name), UserRow.key != LOCAL_KEY))
    if row is None:
        raise NotKnown("has no account", field="name", value=f'"{name}"')
    return row


def _insert(store: Store, row: UserRow) -> User:
    with store.writing() as session:
        session.add(row)
        session.flush()
        return user_of(row)


def user_of(row: UserRow) -> User:
    """A row as the user it stands for."""
    return User(row.id, row.name, row.role, row.open)  # type: ignore[arg-type]
