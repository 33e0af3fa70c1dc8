"""The addresses of the HTTP interface."""

from __future__ import annotations

import threading
from collections.abc import Awaitable, Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from fastapi import APIRouter, FastAPI, HTTPException, Query, Request
from fastapi.exception_handlers import http_exception_handler
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException as HttpError

from wetpath import __version__
from wetpath.edge.files import loads_any
from wetpath.errors import DataError, InputError, WetpathError
from wetpath.faces.api.messages import (
    CheckAsked,
    Checked,
    ProblemTold,
    RateAsked,
    Refused,
    SelectAsked,
    WindowAsked,
    refusal,
)
from wetpath.services.desk import Papers, rate_papers, service_of_papers
from wetpath.services.liquids import LiquidTold, liquid_told
from wetpath.services.record import Record
from wetpath.services.selection import select_from_texts
from wetpath.services.selection_record import SelectionRecord, record_of_selection
from wetpath.services.window import asked_of, record_of_window, window_of
from wetpath.services.window_record import WindowRecord

PREFIX = "/api/v1"
#: Longest body of a request [bytes]; longer ones are refused unread.
LONGEST_BODY = 4_000_000
#: Questions worked on at once; more wait for their turn.
AT_ONCE = 2
#: Longest wait for a turn [s].
PATIENCE = 30.0
_turns = threading.BoundedSemaphore(AT_ONCE)

REFUSALS: dict[int | str, dict[str, Any]] = {
    status: {"description": words, "content": {"application/problem+json": {"schema": Refused.model_json_schema()}}}
    for status, words in (
        (400, "The body is not JSON."), (411, "The length of the body is not given."),
        (413, "The request is too long."),
        (422, "Something is wrong with the input; each problem is told at its field."),
        (503, "Too many questions at once; ask again later."))}

router = APIRouter(prefix=PREFIX, responses=REFUSALS)


@contextmanager
def _turn() -> Iterator[None]:
    if not _turns.acquire(timeout=PATIENCE):
        raise HTTPException(503, "too many questions at once")
    try:
        yield
    finally:
        _turns.release()


@router.get("/version", tags=["program"])
def version() -> dict[str, str]:
    """Tell the version of the program."""
    return {"wetpath": __version__}


@router.post("/rate", tags=["questions"])
def rate(asked: RateAsked) -> Record:
    """Rate a pump for an enquiry, every operating case and every check."""
    with _turn():
        return rate_papers(Papers(asked.enquiry, asked.pump, asked.practice)).record


@router.post("/window", tags=["questions"])
def window(asked: WindowAsked) -> WindowRecord:
    """Work out where every check holds over flow and temperature, and the suction pressure the wetted path needs."""
    with _turn():
        service = service_of_papers(Papers(asked.enquiry, asked.pump, asked.practice))
        wanted = asked_of(service.enquiry, case=asked.case, grid=asked.grid, flow=asked.flow,
                          temperature=asked.temperature, suction_pressure=asked.suction_pressure,
                          above_vapour_pressure=asked.above_vapour_pressure)
        return record_of_window(window_of(service, wanted))


@router.post("/select", tags=["questions"])
def select(asked: SelectAsked) -> SelectionRecord:
    """Select pumps out of a catalogue, the best first, and say why the others fell out."""
    with _turn():
        found = select_from_texts(Papers(asked.enquiry, "", asked.practice), asked.catalogue, weights=asked.weights,
                                  most=asked.most)
        return record_of_selection(found)


@router.post("/check", tags=["files"])
def check(asked: CheckAsked) -> Checked:
    """Check a file of any kind without rating."""
    document = loads_any(asked.text)
    return Checked(kind=document.document_name, title=getattr(document, "name", "") or getattr(document, "title", ""))


@router.get("/liquids", tags=["liquids"])
def liquid(name: str = Query(min_length=1, max_length=100, description="name or CAS number")) -> LiquidTold:
    """Tell the properties of a pure liquid over temperature, their sources and limits."""
    with _turn():
        return liquid_told(name)


def install(app: FastAPI) -> None:
    """Put the interface into a server, with the limits on sizes and the words of errors."""
    app.include_router(router)

    @app.exception_handler(InputError)
    async def wrong_input(request: Request, error: InputError) -> Response:
        return _told(refusal(error))

    @app.exception_handler(WetpathError)
    async def refused(request: Request, error: WetpathError) -> Response:
        damaged = isinstance(error, DataError)
        return _told(Refused(type="urn:wetpath:program" if damaged else "urn:wetpath:limit", title=str(error),
                             status=500 if damaged else 422))

    @app.exception_handler(RequestValidationError)
    async def wrong_request(request: Request, error: RequestValidationError) -> Response:
        problems = tuple(ProblemTold(field=".".join(str(step) for step in one["loc"][1:]), value="", text=one["msg"],
                                     why="", do="see the description of the interface", file="", line=None)
                         for one in error.errors())
        return _told(Refused(type="urn:wetpath:request", title="The request is not as described.", status=422,
                             problems=problems))

    @app.exception_handler(HttpError)
    async def not_answered(request: Request, error: HttpError) -> Response:
        if not request.url.path.startswith(PREFIX):
            return await http_exception_handler(request, error)
        refused = Refused(type="urn:wetpath:request", title=str(error.detail), status=error.status_code)
        return _told(refused, error.headers)

    @app.middleware("http")
    async def sizes(request: Request, go_on: Callable[[Request], Awaitable[Response]]) -> Response:
        if request.url.path.startswith(PREFIX):
            length = request.headers.get("content-length", "")
            if request.method in ("POST", "PUT", "PATCH") and not length.isdigit():
                return _told(Refused(type="urn:wetpath:length", title="The length of the body must be given.",
                                     status=411))
            if length.isdigit() and int(length) > LONGEST_BODY:
                return _told(Refused(type="urn:wetpath:length", status=413,
                                     title=f"The request is longer than {LONGEST_BODY} bytes."))
        return await go_on(request)


def _told(refused: Refused, headers: Mapping[str, str] | None = None) -> Response:
    return JSONResponse(refused.model_dump(), status_code=refused.status, headers=headers,
                        media_type="application/problem+json")
