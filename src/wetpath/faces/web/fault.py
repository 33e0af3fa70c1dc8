"""What is wrong with a typed value: the line under its field, with a click that repairs it where one is known."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import escape

from wetpath.errors import FileProblems
from wetpath.faces.web.html import button

#: What an error offers instead: quoted pressures with a or g, or the unit that may be meant.
_EITHER = re.compile(r'"([^"]+ [ag])"')
_MEANT = re.compile(r"Did you mean ([^\s?]+)\?")
_NUMBER = re.compile(r"\s*[+\-−]?\d[\d.,]*")


@dataclass(frozen=True)
class Fault:
    """What is wrong, and the values that would be taken instead."""

    words: str
    repairs: tuple[str, ...] = ()


def fault_of(problems: FileProblems, typed: str) -> Fault:
    """What is wrong with a value that was typed.

    Parameters
    ----------
    problems : FileProblems
        The first is told.
    typed : str
        The value as typed; its number is kept in a repair of the unit.

    Examples
    --------
    >>> from wetpath.errors import Problem
    >>> wrong = Problem("is not a flow.", field="flow", value='"46 zorks"', do="write 46 m3/h")
    >>> fault_of(FileProblems([wrong]), "46 zorks")
    Fault(words='46 zorks is not a flow. Write 46 m3/h.', repairs=())
    """
    first = problems.problems[0]
    words = " ".join(part for part in (str(first.value or "").strip('"'), first.text) if part)
    told = words[:1].upper() + words[1:]
    told = told if told.endswith(("?", ".")) else f"{told}."
    told = f"{told} {first.do[:1].upper() + first.do[1:]}." if first.do else told
    repairs = _EITHER.findall(first.do)
    number, meant = _NUMBER.match(typed), _MEANT.search(first.text)
    if number and meant:
        repairs = [f"{number.group().strip()} {meant[1]}"]
    return Fault(told, tuple(repairs))


def fault_html(path: str, fault: Fault) -> str:
    """The line under a field, with a button for each value that would be taken."""
    return escape(fault.words) + "".join(button(one, "set", f"{path}\n{one}", classes="") for one in fault.repairs)
