"""Requests made up from the description of the interface: no answer outside it, no fault of the server."""

from __future__ import annotations

import schemathesis
from fastapi import FastAPI
from hypothesis import settings

from wetpath.faces.api.routes import install

app = FastAPI()
install(app)
schema = schemathesis.openapi.from_asgi("/openapi.json", app)


@schema.parametrize()
@settings(max_examples=25, deadline=None)
def test_every_address_answers_as_described(case: schemathesis.Case) -> None:
    # a text that is no file of ours is refused, whatever the description says of its length
    answer = case.call()
    if answer.status_code != 413:      # a body that is too long is refused unread, right or wrong
        case.validate_response(answer, excluded_checks=[
            schemathesis.checks.CHECKS.get_one("positive_data_acceptance")])
