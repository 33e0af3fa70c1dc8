"""Wetpath rates magnetic-drive (seal-less) pumps and tells whether the liquid stays liquid on its way through them.

::

    import wetpath as wp

    rating = wp.rate("enquiry.toml", pump="pump.toml")
    print(rating.verdict)

Everything named here is found without delay: what a name needs is imported when it is first used.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from wetpath.circulation.outcome import Outcome
    from wetpath.edge.practice import Practice, load_practice
    from wetpath.errors import DataError, FileProblems, InputError, LimitError, UnknownName, WetpathError
    from wetpath.liquids.liquid import Liquid
    from wetpath.machine.pump_file import PumpFile
    from wetpath.rating.check import Check
    from wetpath.rating.enquiry import Enquiry
    from wetpath.rating.rate import Rating
    from wetpath.rating.verdict import Headline, Verdict
    from wetpath.services.check_file import check_file
    from wetpath.services.demo import demo_enquiries, demo_enquiry, demo_pump, demo_pumps
    from wetpath.services.front_door import load_enquiry, load_pump, rate
    from wetpath.services.liquids import load_liquid
    from wetpath.services.record import Record
    from wetpath.services.recording import record_of

__version__ = "0.1.0"

_HOMES = {
    "Check": "wetpath.rating.check",
    "DataError": "wetpath.errors",
    "Enquiry": "wetpath.rating.enquiry",
    "FileProblems": "wetpath.errors",
    "Headline": "wetpath.rating.verdict",
    "InputError": "wetpath.errors",
    "LimitError": "wetpath.errors",
    "Liquid": "wetpath.liquids.liquid",
    "Outcome": "wetpath.circulation.outcome",
    "Practice": "wetpath.edge.practice",
    "PumpFile": "wetpath.machine.pump_file",
    "Rating": "wetpath.rating.rate",
    "Record": "wetpath.services.record",
    "UnknownName": "wetpath.errors",
    "Verdict": "wetpath.rating.verdict",
    "WetpathError": "wetpath.errors",
    "check_file": "wetpath.services.check_file",
    "demo_enquiries": "wetpath.services.demo",
    "demo_enquiry": "wetpath.services.demo",
    "demo_pump": "wetpath.services.demo",
    "demo_pumps": "wetpath.services.demo",
    "load_enquiry": "wetpath.services.front_door",
    "load_liquid": "wetpath.services.liquids",
    "load_practice": "wetpath.edge.practice",
    "load_pump": "wetpath.services.front_door",
    "rate": "wetpath.services.front_door",
    "record_of": "wetpath.services.recording",
}

__all__ = [  # noqa: RUF022  (by subject)
    "rate", "Rating", "Verdict", "Headline", "Check", "Outcome",
    "load_pump", "load_enquiry", "load_liquid", "load_practice", "check_file",
    "PumpFile", "Enquiry", "Liquid", "Practice",
    "record_of", "Record",
    "demo_pump", "demo_pumps", "demo_enquiry", "demo_enquiries",
    "WetpathError", "InputError", "FileProblems", "UnknownName", "LimitError", "DataError",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        value = getattr(import_module(_HOMES[name]), name)
        globals()[name] = value
        return value
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
