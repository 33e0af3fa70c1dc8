"""The commands about accounts: who may use a server of a team, in which role, and with which tokens."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from wetpath.services.projects import Store

account_app = typer.Typer(no_args_is_help=True, help="Accounts of those who share a server.")


class RoleName(StrEnum):
    """The roles; each may do what those before it may."""

    READER = "reader"
    ENGINEER = "engineer"
    APPROVER = "approver"


NameArgument = Annotated[str, typer.Argument(metavar="NAME", help="Name, as it stands at what the user saves.")]
DatabaseOption = Annotated[str | None, typer.Option(
    "--database", metavar="URL", help="postgresql://USER@HOST/NAME or sqlite:///FILE; without it the user's own file.")]
RoleOption = Annotated[RoleName, typer.Option(
    "--role", help="A reader rates and reads, an engineer also saves, an approver also issues.")]


@account_app.command()
def add(name: NameArgument, role: RoleOption = RoleName.ENGINEER, database: DatabaseOption = None) -> None:
    """Open an account. The password is asked for twice, or read from the first line of the input."""
    from wetpath.services.projects import add_user

    password = _password()
    with _store(database) as store:
        user = add_user(store, name, password, role.value)
    typer.echo(f"{user.name} has an account, as {user.role}. A server that is running must be started anew if it was "
               "started without accounts.")


@account_app.command("list")
def list_accounts(database: DatabaseOption = None) -> None:
    """List the accounts with their roles."""
    from wetpath.services.projects import users

    with _store(database) as store:
        found = users(store)
    for user in found:
        typer.echo(f"{user.role:<10} {'open' if user.open else 'closed':<8} {user.name}")
    if not found:
        typer.echo("There are no accounts.")


@account_app.command()
def role(name: NameArgument, role: Annotated[RoleName, typer.Argument(metavar="ROLE", help="The new one.")],
         database: DatabaseOption = None) -> None:
    """Give an account another role, from its next use on."""
    from wetpath.services.projects import set_role

    with _store(database) as store:
        user = set_role(store, name, role.value)
    typer.echo(f"{user.name} is {user.role}.")


@account_app.command()
def password(name: NameArgument, database: DatabaseOption = None) -> None:
    """Give an account another password, asked for twice or read from the input; its sessions end."""
    from wetpath.services.projects import set_password

    given = _password()
    with _store(database) as store:
        set_password(store, name, given)
    typer.echo("The password is set. All sessions of the account have ended.")


@account_app.command()
def close(name: NameArgument, database: DatabaseOption = None) -> None:
    """Close an account: its sessions end and its tokens are refused; what it saved stays under its name."""
    from wetpath.services.projects import close_account

    with _store(database) as store:
        user = close_account(store, name)
    typer.echo(f"The account of {user.name} is closed.")


@account_app.command()
def reopen(name: NameArgument, database: DatabaseOption = None) -> None:
    """Open a closed account again, with the password it had."""
    from wetpath.services.projects import close_account

    with _store(database) as store:
        user = close_account(store, name, open_again=True)
    typer.echo(f"The account of {user.name} is open, as {user.role}.")


@account_app.command()
def token(name: NameArgument,
          purpose: Annotated[str, typer.Option("--purpose", help="What it is for, shown in the list.")],
          days: Annotated[int, typer.Option("--days", help="How long it is valid, 1 to 366.")] = 90,
          database: DatabaseOption = None) -> None:
    """Make a token with which a program asks the HTTP interface in the name of an account. It is shown once."""
    from wetpath.services.projects import add_token

    with _store(database) as store:
        made = add_token(store, name, purpose, days)
    typer.echo(made)
    typer.echo(f"Valid {days} days. Keep it like a password; send it as Authorization: Bearer TOKEN.", err=True)


@account_app.command("tokens")
def list_tokens(database: DatabaseOption = None) -> None:
    """List the tokens, without their secrets."""
    from wetpath.services.projects import tokens

    with _store(database) as store:
        found = tokens(store)
    for one in found:
        typer.echo(f"{one.number:>4}  {one.user}, {one.purpose}, valid until {one.expires:%Y-%m-%d}")
    if not found:
        typer.echo("There are no tokens.")


@account_app.command("drop-token")
def drop(number: Annotated[int, typer.Argument(metavar="NUMBER", help="Number in the list of tokens.")],
         database: DatabaseOption = None) -> None:
    """Make a token invalid at once."""
    from wetpath.services.projects import drop_token

    with _store(database) as store:
        drop_token(store, number)
    typer.echo("The token is no longer valid.")


@contextmanager
def _store(database: str | None) -> Iterator[Store]:
    from wetpath.services.projects import open_store

    store = open_store(database)
    try:
        yield store
    finally:
        store.close()


def _password() -> str:
    """A password from the terminal, typed twice and not shown, or the first line of the input."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    from getpass import getpass

    from wetpath.errors import InputError

    first = getpass("Password, 15 characters or more: ")
    if getpass("Once more: ") != first:
        raise InputError("was typed differently the second time", field="password", do="try again")
    return first
