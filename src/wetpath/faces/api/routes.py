"""The addresses of the HTTP interface."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from typing import Any

from fastapi import APIRouter, FastAPI, Query, Request
from fastapi.exception_handlers import http_exception_handler
from fastapi.exceptions import RequestValidationError
from fastapi.openapi.utils import get_openapi
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException as HttpError
from starlette.routing import Match, Route

from wetpath import __version__
from wetpath.edge.files import loads_any
from wetpath.errors import DataError, InputError, WetpathError
from wetpath.faces.api import issues, projects
from wetpath.faces.api.limits import LONGEST_BODY, LONGEST_ZIP, PREFIX, ZIP_TYPE, turn
from wetpath.faces.api.messages import (
    REFUSALS,
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
from wetpath.services.projects import NotAllowed, NotKnown, Store
from wetpath.services.record import Record
from wetpath.services.selection import select_from_texts
from wetpath.services.selection_record import SelectionRecord, record_of_selection
from wetpath.services.window import asked_of, record_of_window, window_of
from wetpath.services.window_record import WindowRecord

router = APIRouter(prefix=PREFIX, responses=REFUSALS)
ROUTERS = (router, projects.router, issues.router)


@router.get("/version", tags=["program"])
def version() -> dict[str, str]:
    """Tell the version of the program."""
    return {"wetpath": __version__}


@router.get("/openapi.json", include_in_schema=False)
def description() -> dict[str, Any]:
    """Describe the interface for programs (OpenAPI)."""
    return get_openapi(title="wetpath", version=__version__,
                       routes=[route for one in ROUTERS for route in one.routes])


@router.post("/rate", tags=["questions"])
def rate(asked: RateAsked) -> Record:
    """Rate a pump for an enquiry, every operating case and every check."""
    with turn():
        return rate_papers(Papers(asked.enquiry, asked.pump, asked.practice)).record


@router.post("/window", tags=["questions"])
def window(asked: WindowAsked) -> WindowRecord:
    """Work out where every check holds over flow and temperature, and the suction pressure the wetted path needs."""
    with turn():
        service = service_of_papers(Papers(asked.enquiry, asked.pump, asked.practice))
        wanted = asked_of(service.enquiry, case=asked.case, grid=asked.grid, flow=asked.flow,
                          temperature=asked.temperature, suction_pressure=asked.suction_pressure,
                          above_vapour_pressure=asked.above_vapour_pressure)
        return record_of_window(window_of(service, wanted))


@router.post("/select", tags=["questions"])
def select(asked: SelectAsked) -> SelectionRecord:
    """Select pumps out of a catalogue, the best first, and say why the others fell out."""
    with turn():
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
    with turn():
        return liquid_told(name)


def install(app: FastAPI, store: Store) -> None:
    """Put the interface into a server, with the limits on sizes and the words of errors."""
    app.state.store = store
    for one in ROUTERS:
        app.include_router(one)

    @app.exception_handler(InputError)
    async def wrong_input(request: Request, error: InputError) -> Response:
        return _told(refusal(error))

    @app.exception_handler(NotKnown)
    async def not_known(request: Request, error: NotKnown) -> Response:
        return _told(refusal(error).model_copy(update={"type": "urn:wetpath:unknown", "title": "There is none.",
                                                       "status": 404}))

    @app.exception_handler(NotAllowed)
    async def not_allowed(request: Request, error: NotAllowed) -> Response:
        return _told(Refused(type="urn:wetpath:role", title=str(error), status=403))

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
        return _told(refused, {"Allow": _methods(request)} if error.status_code == 405 else error.headers)

    @app.middleware("http")
    async def sizes(request: Request, go_on: Callable[[Request], Awaitable[Response]]) -> Response:
        if request.url.path.startswith(PREFIX):
            length = request.headers.get("content-length", "")
            if request.method in ("POST", "PUT", "PATCH") and not length.isdigit():
                return _told(Refused(type="urn:wetpath:length", title="The length of the body must be given.",
                                     status=411))
            zipped = request.headers.get("content-type", "").partition(";")[0].strip().lower() == ZIP_TYPE
            longest = LONGEST_ZIP if zipped else LONGEST_BODY
            if length.isdigit() and int(length) > longest:
                return _told(Refused(type="urn:wetpath:length", status=413,
                                     title=f"The request is longer than {longest} bytes."))
        return await go_on(request)


def _told(refused: Refused, headers: Mapping[str, str] | None = None) -> Response:
    return JSONResponse(refused.model_dump(), status_code=refused.status, headers=headers,
                        media_type="application/problem+json")


def _methods(request: Request) -> str:
    """All methods that the address of a request answers."""
    found: set[str] = set()
    for route in (route for one in ROUTERS for route in one.routes):
        if isinstance(route, Route) and route.matches(request.scope)[0] is not Match.NONE:
            found |= route.methods or set()
    return ", ".join(sorted(found))
