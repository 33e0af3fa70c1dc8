"""TOML texts read within limits: nesting or a number without end is told as a fault of the text."""

from __future__ import annotations

import re
import tomllib
from typing import Any

#: Most levels of tables and lists in one another; files of ours have 5 at most.
DEEPEST = 32
#: Strings and comments, in which brackets and points mean nothing; one not closed ends with its line or the text.
_WORDS = re.compile(r'"""(?:\\.|[^\\])*?(?:"""|\Z)|\'\'\'.*?(?:\'\'\'|\Z)|"(?:\\.|[^"\\\n])*"?|\'[^\'\n]*\'?|#[^\n]*',
                    re.DOTALL)
_BRACKETS = re.compile(r"[\[\]{}]")
_PARTED = re.compile(r"[=,\n\[\]{}]")


def toml_tables(text: str) -> dict[str, Any]:
    """Read a TOML text as tables.

    Raises
    ------
    tomllib.TOMLDecodeError
        It is not TOML, is nested deeper than `DEEPEST`, or holds a number of too many digits.

    >>> toml_tables("shell.wall = 12")
    {'shell': {'wall': 12}}
    """
    if _depth(text) > DEEPEST:
        raise tomllib.TOMLDecodeError(f"more than {DEEPEST} levels in one another (at end of document)")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        raise
    except ValueError:          # of the language: more digits than a whole number may be read from
        raise tomllib.TOMLDecodeError("a whole number has too many digits (at end of document)") from None


def _depth(text: str) -> int:
    """How many levels a text has at most, by its brackets and by the points in its keys."""
    bare = _WORDS.sub("", text)
    depth = deepest = 0
    for bracket in _BRACKETS.findall(bare):
        depth = depth + 1 if bracket in "[{" else max(depth - 1, 0)
        deepest = max(deepest, depth)
    return max(deepest, *(part.count(".") for part in _PARTED.split(bare)))
