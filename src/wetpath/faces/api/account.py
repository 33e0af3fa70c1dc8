"""Who asks, and in which store: what every address of projects depends on."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

from fastapi import Depends, Request
from fastapi.responses import JSONResponse, Response
from starlette.types import Scope

from wetpath.faces.api.messages import Refused
from wetpath.services.projects import Store, User, local_user


def current_store(request: Request) -> Store:
    """The store of the server."""
    store: Store = request.app.state.store
    return store


def current_account(request: Request, store: Annotated[Store, Depends(current_store)]) -> User:
    """Who asks: whoever the server let in, or the one user of an application that stands for itself."""
    visitor: Callable[[Scope], User] | None = getattr(request.app.state, "visitor", None)
    return visitor(request.scope) if visitor is not None else local_user(store)


def not_let_in(words: str, status: int) -> Response:
    """What a request is told that is refused before anybody knows who asks."""
    return JSONResponse(Refused(type="urn:wetpath:access", title=words, status=status).model_dump(), status,
                        media_type="application/problem+json")


StoreHere = Annotated[Store, Depends(current_store)]
Account = Annotated[User, Depends(current_account)]
