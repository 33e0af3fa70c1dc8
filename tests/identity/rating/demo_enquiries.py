"""Ratings of the demo pumps for enquiries written in the tests."""

from functools import cache
from pathlib import Path

import wetpath
from wetpath.edge.files import loads_document
from wetpath.edge.practice import Practice
from wetpath.liquids.liquid import Liquid
from wetpath.liquids.specification import LiquidSpecification, load_liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.rate import Rating, rate

PUMPS = Path(wetpath.__file__).parent / "data" / "demo" / "pumps"

CASE = """
[[cases]]
name = "A"
role = "rated"
flow = "45 m3/h"
temperature = "60 degC"
suction_pressure = "2 bar a"
"""


@cache
def liquid(substance: str = "water") -> Liquid:
    """A pure liquid."""
    return load_liquid(LiquidSpecification("reference equation", (substance,)))


@cache
def pump(name: str = "medium", *changes: tuple[str, str]) -> PumpFile:
    """A demo pump with texts of its file replaced."""
    text = (PUMPS / f"{name}.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return loads_document(text, PumpFile)


def enquiry(site: str = "", cases: str = CASE, more: str = "", substance: str = "water",
            service: str = "chemical") -> Enquiry:
    """An enquiry with lines of [site], other tables and cases."""
    return loads_document(
        f'wetpath = "enquiry/1"\ntitle = "test"\nservice = "{service}"\n[site]\n{site}\n[liquid]\n'
        f'source = "reference equation"\nsubstance = "{substance}"\n{more}\n{cases}', Enquiry)


def rated(machine: PumpFile | None = None, asked: Enquiry | None = None, substance: str = "water",
          practice: Practice | None = None, **others: Liquid) -> Rating:
    """The rating of a pump for an enquiry, without the search for flow limits."""
    return rate(machine or pump(), asked or enquiry(substance=substance), liquid(substance), practice, others=others,
                full=False)


def check_of(rating: Rating, name: str):
    """A check by its name; None where it is asked of no case."""
    return next((one for one in rating.checks if one.name == name), None)
