"""The commands about the database of projects."""

from __future__ import annotations

from typing import Annotated

import typer

database_app = typer.Typer(no_args_is_help=True, help="The database that keeps projects and accounts.")


@database_app.command()
def upgrade(
    url: Annotated[str | None, typer.Argument(
        metavar="[URL]", help="postgresql://USER@HOST/NAME or sqlite:///FILE; without it the user's own file.")] = None,
) -> None:
    """Bring the tables of a database up to date. Make a backup of a PostgreSQL first; SQLite is copied by itself."""
    from wetpath.services.projects import open_store

    open_store(url, upgrade=True).close()
    typer.echo("The tables are up to date.")
