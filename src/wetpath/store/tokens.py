"""Tokens with which programs ask in the name of a user; each is told once, and only its hash is kept."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import delete, select

from wetpath.errors import InputError
from wetpath.store.accounts import User, now, user_named, user_of
from wetpath.store.documents import sha256_of
from wetpath.store.errors import NotKnown
from wetpath.store.opening import Store
from wetpath.store.tables import NAME_LENGTH, TokenRow, UserRow

LONGEST_DAYS = 366
MARK = "wp_"      # tells what it is when it is found where it should not be


@dataclass(frozen=True)
class Token:
    """A token as it is listed, without its secret."""

    number: int
    user: str
    purpose: str
    created: datetime
    expires: datetime


def add_token(store: Store, name: str, purpose: str, days: int) -> str:
    """Make a token for a user and return it; it is told here only.

    Parameters
    ----------
    purpose : str
        What it is for, so that it can be told from others.
    days : int
        How long it is valid, up to a year.
    """
    if not 1 <= days <= LONGEST_DAYS:
        raise InputError("is not a time a token may be valid", field="days", value=str(days),
                         do=f"give 1 to {LONGEST_DAYS}")
    plain = " ".join(purpose.split())
    if not plain or len(plain) > NAME_LENGTH or not plain.isprintable():
        raise InputError("does not tell what the token is for", field="purpose", value=f'"{purpose}"',
                         do=f"give 1 to {NAME_LENGTH} characters")
    token, moment = MARK + secrets.token_urlsafe(32), now()
    with store.writing() as session:
        user = user_named(session, name)
        session.add(TokenRow(token_sha256=sha256_of(token), user_id=user.id, purpose=plain, created=moment,
                             expires=moment + timedelta(days=days)))
    return token


def tokens(store: Store) -> tuple[Token, ...]:
    """All tokens, also those no longer valid."""
    with store.reading() as session:
        rows = session.execute(select(TokenRow, UserRow.name).join(UserRow, UserRow.id == TokenRow.user_id)
                               .order_by(TokenRow.id)).all()
        return tuple(Token(row.id, name, row.purpose, row.created, row.expires) for row, name in rows)


def drop_token(store: Store, number: int) -> None:
    """Make a token invalid at once."""
    with store.writing() as session:
        dropped = session.scalar(delete(TokenRow).where(TokenRow.id == number).returning(TokenRow.id))
    if dropped is None:
        raise NotKnown("is not a token here", field="token", value=str(number), do="look at the list of tokens")


def token_user(store: Store, token: str) -> User | None:
    """The user in whose name a token asks; None when it is not valid, or the account is closed."""
    with store.reading() as session:
        found = session.execute(select(UserRow, TokenRow.expires).join(TokenRow, TokenRow.user_id == UserRow.id)
                                .where(TokenRow.token_sha256 == sha256_of(token))).first()
    if found is None or not found[0].open or found[1] <= now():
        return None
    return user_of(found[0])
