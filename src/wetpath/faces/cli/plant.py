"""``wetpath plant``: a virtual plant that clients of OPC UA can read, for training, tests and demos."""

from __future__ import annotations

import sys
from pathlib import Path

from wetpath.faces.cli.failures import tell
from wetpath.faces.cli.paper import Paper
from wetpath.faces.cli.rating import announce
from wetpath.services import plant as service
from wetpath.upsets import KINDS


def show_plant(asked: service.Asked, *, mapping: Path | None) -> int:
    """Serve until stopped with Ctrl C."""
    server, upsets = service.plant_of(asked, announce)
    if mapping is not None:
        service.write_mapping(server, mapping)
    paper = Paper()
    if not service.only_this_machine(asked.host):
        tell(f"Other machines can reach {asked.host}. There is no login: let nobody but trainees near it.")

    def started() -> None:
        one = server.pumps[service.PUMP]
        paper.say(f"Virtual plant at {server.url}: {one.rating.pump.name}, case {one.rating.case_names[one.case]}, as "
                  f"{service.PUMP}. Time runs {server.speed:g} times as fast as the clock.")
        for upset in upsets:
            paper.say(f"{asked.at} after the start: {KINDS[upset.kind].title}.")
        paper.say(f"More upsets: call {service.PUMP}/start_upset with a name. Names: {', '.join(KINDS)}. Stop with "
                  "Ctrl C.")
        paper.heading("Cautions")
        paper.items(service.CAUTIONS)
        sys.stdout.flush()

    service.run_plant(server, started)
    return 0
