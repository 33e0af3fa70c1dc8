"""Who does the parts of a large question, as the options say, and how far it is, on one line of the terminal."""

from __future__ import annotations

import sys
from typing import TextIO

from wetpath.faces.cli.failures import tell
from wetpath.services.scale import Scale


def scale_of(cluster: str | None, workers: int | None, stream: TextIO | None = None) -> Scale:
    """The scale that the options ask for; how far it is shows on a terminal only."""
    shown = sys.stderr if stream is None else stream
    if not shown.isatty():
        return Scale(cluster, workers, tell=lambda words: tell(_sentence(words)))
    line = ProgressLine(shown)
    return Scale(cluster, workers, tell=line.say, watch=line)


class ProgressLine:
    """Writes over the same line of the terminal."""

    def __init__(self, stream: TextIO) -> None:
        self.stream, self.width = stream, 0

    def __call__(self, name: str, done: int, of: int, left: float | None) -> None:
        """Show parts done, in all, and the time left; nothing any more when all are done."""
        self._write("" if done >= of else f"{name}: {done} of {of} parts{time_left(left)}")

    def say(self, words: str) -> None:
        """Write a sentence that stays."""
        self._write("")
        print(_sentence(words), file=self.stream, flush=True)

    def _write(self, words: str) -> None:
        print("\r" + words.ljust(self.width) + ("" if words else "\r"), end="", file=self.stream, flush=True)
        self.width = len(words)


def time_left(seconds: float | None) -> str:
    """The time left in words, to be put behind others.

    >>> time_left(None), time_left(3.2), time_left(59.0), time_left(3000.0), time_left(9000.0)
    ('', ', about 4 s left', ', about 59 s left', ', about 50 min left', ', about 2.5 h left')
    """
    if seconds is None:
        return ""
    if seconds < 100:
        return f", about {int(seconds) + 1 if seconds % 1 else int(seconds)} s left"
    return f", about {seconds / 60:.0f} min left" if seconds < 6000 else f", about {seconds / 3600:.1f} h left"


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."
