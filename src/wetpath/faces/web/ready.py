"""What a server does once before its first user comes."""

from __future__ import annotations

import gc

from nicegui import run

from wetpath.services.demo import demo_enquiries, enquiry_path
from wetpath.services.desk import papers_of_file, rate_papers


async def make_ready() -> None:
    """Rate once, which loads all that a first rating loads; pages are answered meanwhile.

    What is loaded then stays for good. It is taken out of the rounds of the collector of unused objects, each of which
    would go through all of it while nobody is answered.
    """
    await run.io_bound(_rate_once)
    gc.collect()
    gc.freeze()


def _rate_once() -> None:
    rate_papers(papers_of_file(enquiry_path(demo_enquiries()[0])))
