"""The catalogues of a report's words; another language is two more files beside them.

``texts_en.toml`` holds the words of the report itself by key, ``messages_en.toml`` every message of the rating and of
the questions that may reach a report: English words with named fields, beside which another language sets its own.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from wetpath.errors import UnknownName
from wetpath.words import said

_FOLDER = files("wetpath").joinpath("data", "report")


class Texts:
    """Words by key, and messages by their English words."""

    def __init__(self, words: Mapping[str, str], messages: Mapping[str, str] | None = None) -> None:
        self._words, self._messages = words, messages or {}

    def __call__(self, key: str, **put_in: object) -> str:
        """The words of a key with values put in; values that are words are said first."""
        values = {name: self.words(value) if isinstance(value, str) else value for name, value in put_in.items()}
        return self._words[key].format(**values) if put_in else self._words[key]

    def words(self, message: str) -> str:
        """A message in this language; a name, or what is in no catalogue, as it is."""
        return said(message, lambda one: self._messages.get(one, one)) if self._messages else message


def languages() -> tuple[str, ...]:
    """Languages that have a catalogue."""
    return tuple(sorted(one.name[6:-5] for one in _FOLDER.iterdir() if one.name.startswith("texts_")))


@cache
def texts(language: str = "en") -> Texts:
    """Load the catalogues of a language."""
    if language not in languages():
        raise UnknownName("language", language, languages(), field="--language")
    return Texts(_read(f"texts_{language}"), {} if language == "en" else _read(f"messages_{language}")["messages"])


@cache
def messages() -> tuple[str, ...]:
    """Every message that has to have its words in another language: English, with named fields."""
    return tuple(_read("messages_en")["messages"])


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads(_FOLDER.joinpath(f"{name}.toml").read_text(encoding="utf-8"))
