"""Fields of records that keep how their words were put together, where plain text would be left of them."""

from __future__ import annotations

from typing import Any, Self

from pydantic import BaseModel, ModelWrapValidatorHandler, model_validator

from wetpath.words import Told


class KeepsWords(BaseModel):
    """Base of records whose words can be said in another language as long as they are not read from a file."""

    @model_validator(mode="wrap")
    @classmethod
    def keep_words(cls, given: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        """Put words back that the validation made plain."""
        made = handler(given)
        if type(given) is dict:
            for name, value in given.items():
                if type(value) is Told or (type(value) is tuple and any(type(one) is Told for one in value)):
                    made.__dict__[name] = value
        return made
