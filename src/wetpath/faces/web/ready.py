"""What a server does once before its first user comes."""

from __future__ import annotations

import gc
import sys

from nicegui import run

from wetpath.services.demo import demo_enquiries, enquiry_path
from wetpath.services.desk import papers_of_file, rate_papers

#: How long a thread may go on while others wait [s].
TURN_S = 0.001
#: Objects made anew before the collector of unused ones goes round, and rounds before it goes further.
ROUNDS = 10_000, 10, 10


async def make_ready() -> None:
    """Rate once, which loads all that a first rating loads; pages are answered meanwhile.

    What is loaded then stays for good. It is taken out of the rounds of the collector of unused objects, each of which
    would go through all of it while nobody is answered; and rounds are fewer than usual, as most objects of a rating go
    without them. Threads hand over to each other more often than usual, so that the one that answers pages gets its
    turn while several others rate.
    """
    sys.setswitchinterval(TURN_S)
    await run.io_bound(_rate_once)
    gc.collect()
    gc.freeze()
    gc.set_threshold(*ROUNDS)


def _rate_once() -> None:
    rate_papers(papers_of_file(enquiry_path(demo_enquiries()[0])))
