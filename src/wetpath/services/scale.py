"""Where the parts of a large question are done: in this process, on all cores of this machine, or on a cluster."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass

from wetpath.errors import InputError
from wetpath.machine.pump_file import PumpFile
from wetpath.questions.parts import Runner, run_here
from wetpath.services.progress import Announce, silent
from wetpath.services.rating import Service

#: Worker processes on this machine at most.
MOST_WORKERS = 256
#: How the address of a scheduler is written.
_ADDRESS = re.compile(r"(tcp|tls|ws|wss)://([^\s:/\[\]]+|\[[0-9A-Fa-f:.%]+\]):(?P<port>\d{1,5})")


@dataclass(frozen=True)
class Scale:
    """Who may help, and who is told how far it is.

    Attributes
    ----------
    cluster : str, optional
        Address of the scheduler of a Dask cluster, "tcp://host:8786".
    workers : int, optional
        Processes on this machine, 1 for none beside this one; without it as many as cores, once that pays. A script
        that asks for them does so under ``if __name__ == "__main__":``, as each process reads the script again.
    tell : callable
        Told whole sentences: what was done before, what is kept.
    watch : callable, optional
        Told the name of the work, its parts done and in all, and the seconds left or None.
    """

    cluster: str | None = None
    workers: int | None = None
    tell: Announce = silent
    watch: Callable[[str, int, int, float | None], None] | None = None

    def __post_init__(self) -> None:
        address = _ADDRESS.fullmatch(self.cluster) if self.cluster is not None else None
        if self.cluster is not None and (address is None or not 1 <= int(address["port"]) <= 65535):
            raise InputError("is not the address of a scheduler", field="--cluster", value=f'"{self.cluster}"',
                             do="write it as the scheduler tells it when it starts, like tcp://host:8786")
        if self.workers is not None and not 1 <= self.workers <= MOST_WORKERS:
            raise InputError(f"is out of range; allowed: 1 to {MOST_WORKERS}", field="--workers",
                             value=str(self.workers))
        if self.workers is not None and self.cluster:
            raise InputError("is given besides cluster; give one of them", field="--workers", value=str(self.workers),
                             why="a cluster has its own workers")


@contextmanager
def runner_for(scale: Scale | None, service: Service, *question: object, pumps: Sequence[PumpFile] = ()
               ) -> Iterator[Runner]:
    """Give who does the parts of one question; without a scale they are done in this process and nothing is kept."""
    if scale is None:
        yield run_here
        return
    from wetpath.links.cluster.runner import ScaledRunner

    with ScaledRunner(key_of(service, question, pumps), cluster=scale.cluster, workers=scale.workers, tell=scale.tell,
                      watch=scale.watch) as runner:
        yield runner


def key_of(service: Service, question: Sequence[object], pumps: Sequence[PumpFile] = ()) -> str:
    """Digest of all that an answer depends on: program, pumps, enquiry, liquids, practice and the question itself."""
    from wetpath.links.cluster.task import fingerprint

    return digest_of({"program": fingerprint(), **content_of(service, pumps),
                      "question": [repr(one) for one in question]})


def content_of(service: Service, pumps: Sequence[PumpFile] = ()) -> dict[str, object]:
    """What rates a pump, in plain values: enquiry, pumps, liquids, practice."""
    return {
        "enquiry": service.enquiry.model_dump_json(),
        "pumps": [pump.model_dump_json() for pump in pumps or (service.pump,)],
        "liquids": [service.liquid.content_hash,
                    *(f"{name} {liquid.content_hash}" for name, liquid in sorted(service.others.items()))],
        "practice": [service.practice.name, *(repr(asdict(limit)) for limit in service.practice.values()),
                     *(repr(asdict(spread)) for spread in service.practice.spreads.values())]}


def digest_of(content: Mapping[str, object]) -> str:
    """Digest of plain values."""
    return hashlib.sha256(json.dumps(content).encode()).hexdigest()[:32]
