"""The catalogue of a report's words; another language is another file beside it."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

from wetpath.errors import UnknownName

_FOLDER = files("wetpath").joinpath("data", "report")


class Texts:
    """Words by key."""

    def __init__(self, words: dict[str, str]) -> None:
        self._words = words

    def __call__(self, key: str, **put_in: object) -> str:
        """The words of a key with values put in."""
        return self._words[key].format(**put_in) if put_in else self._words[key]


def languages() -> tuple[str, ...]:
    """Languages that have a catalogue."""
    return tuple(sorted(one.name[6:-5] for one in _FOLDER.iterdir() if one.name.startswith("texts_")))


@cache
def texts(language: str = "en") -> Texts:
    """Load the catalogue of a language."""
    if language not in languages():
        raise UnknownName("language", language, languages(), field="--language")
    return Texts(tomllib.loads(_FOLDER.joinpath(f"texts_{language}.toml").read_text(encoding="utf-8")))
