"""Words for people that remember how they were put together, so that they can be said in another language."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any


class Told(str):
    """English words with the template and the values they were made of.

    A ``str`` in every way; what copies or joins it by the means of ``str`` gets plain words, which can no longer be
    told in another language.
    """

    template: str
    values: dict[str, Any]

    def __new__(cls, template: str, values: dict[str, Any]) -> Told:
        """Put the values in the template."""
        made = super().__new__(cls, template.format(**values))
        made.template, made.values = template, values
        return made

    def __reduce__(self) -> tuple[Callable[[str, dict[str, Any]], Told], tuple[str, dict[str, Any]]]:
        return _again, (self.template, self.values)

    def said(self, template: Callable[[str], str]) -> str:
        """The words with the template, and those of the values that are words, exchanged."""
        return template(self.template).format(**{
            name: said(value, template) if isinstance(value, str) else value for name, value in self.values.items()})


def _again(template: str, values: dict[str, Any]) -> Told:
    return Told(template, values)


def told(template: str, /, **values: Any) -> str:
    """Put values in a template of named fields; values that are words may themselves be told.

    >>> words = told("{part} at {share:.0f} %", part="shell", share=52.4)
    >>> words, words.template
    ('shell at 52 %', '{part} at {share:.0f} %')
    """
    return Told(template, values)


def joined(separator: str, parts: Iterable[str]) -> str:
    """Parts one after another, each of which can still be said in another language.

    >>> joined("; ", ["a {b}", "c"])
    'a {b}; c'
    """
    listed = list(parts)
    if len(listed) == 1:
        return listed[0]
    fields = separator.replace("{", "{{").replace("}", "}}").join(f"{{part{number}}}" for number in range(len(listed)))
    return Told(fields, {f"part{number}": part for number, part in enumerate(listed)})


def filled(words: str, *amounts: str) -> str:
    """Put amounts in words that have places for them, {0} and {1}.

    >>> filled(told("wall {wall}, {than}", wall="{0}", than=told("thinner than {now}", now="{1}")), "2 mm", "3 mm")
    'wall 2 mm, thinner than 3 mm'
    """
    if not isinstance(words, Told):
        return words.format(*amounts)
    return Told(words.template, {name: filled(value, *amounts) if isinstance(value, str) else value
                                 for name, value in words.values.items()})


_speaking: ContextVar[Callable[[str], str]] = ContextVar("speaking")


@contextmanager
def speaking(say: Callable[[str], str]) -> Iterator[None]:
    """Label drawings in another language: what turns words into that language."""
    before = _speaking.set(say)
    try:
        yield
    finally:
        _speaking.reset(before)


def spoken(words: str) -> str:
    """Words of a drawing in the language it is labelled in.

    >>> with speaking(str.upper):
    ...     spoken("head asked")
    'HEAD ASKED'
    >>> spoken("head asked")
    'head asked'
    """
    return _speaking.get(str)(words)


def packed(words: str) -> Any:
    """Words as plain values that JSON can hold."""
    if not isinstance(words, Told):
        return words
    return {"template": words.template,
            "values": {name: packed(value) if isinstance(value, str) else value
                       for name, value in words.values.items()}}


def unpacked(kept: Any) -> Any:
    """What `packed` kept.

    >>> words = told("{part} at {share:.0f} %", part=told("{which} shell", which="inner"), share=52.4)
    >>> unpacked(packed(words)) == words, unpacked(packed(words)).values["part"].template
    (True, '{which} shell')
    """
    if not isinstance(kept, dict):
        return kept
    return Told(kept["template"], {name: unpacked(value) for name, value in kept["values"].items()})


def said(words: str, template: Callable[[str], str]) -> str:
    """Words with their template exchanged; plain words are their own.

    >>> said(told("{part} of {thing}", part="wall", thing="shell"), {"{part} of {thing}": "{thing}: {part}",
    ...                                                              "wall": "WALL", "shell": "SHELL"}.__getitem__)
    'SHELL: WALL'
    """
    return words.said(template) if isinstance(words, Told) else template(words)
