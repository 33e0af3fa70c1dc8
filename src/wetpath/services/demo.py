"""The demo: invented pumps and enquiries that come with the program, by short name."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from wetpath.edge.files import load_document
from wetpath.errors import UnknownName
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.enquiry import Enquiry

#: The enquiry and the pump of ``wetpath demo`` without a name.
FIRST_ENQUIRY, FIRST_PUMP = "butane_reflux", "medium"


def demo_enquiries() -> tuple[str, ...]:
    """Names of the demo enquiries, the first one first."""
    names = _names("enquiries")
    return (FIRST_ENQUIRY, *(name for name in names if name != FIRST_ENQUIRY))


def demo_pumps() -> tuple[str, ...]:
    """Names of the demo pumps."""
    return _names("pumps")


def enquiry_path(name: str = FIRST_ENQUIRY) -> Path:
    """File of a demo enquiry."""
    return _path("enquiries", name, "demo enquiry")


def pump_path(name: str = FIRST_PUMP) -> Path:
    """File of a demo pump."""
    return _path("pumps", name, "demo pump")


def demo_enquiry(name: str = FIRST_ENQUIRY) -> Enquiry:
    """Load a demo enquiry."""
    return load_document(enquiry_path(name), Enquiry)


def demo_pump(name: str = FIRST_PUMP) -> PumpFile:
    """Load a demo pump."""
    return load_document(pump_path(name), PumpFile)


def demo_folder() -> Path:
    """Folder of the demo, with pumps, enquiries, liquids and practices."""
    return Path(str(files("wetpath"))) / "data" / "demo"


def _folder(kind: str) -> Path:
    return demo_folder() / kind


def _names(kind: str) -> tuple[str, ...]:
    return tuple(sorted(path.stem for path in _folder(kind).glob("*.toml")))


def _path(kind: str, name: str, what: str) -> Path:
    plain = name.removesuffix(".toml").replace("-", "_").replace(" ", "_")
    if plain not in _names(kind):
        raise UnknownName(what, name, _names(kind), do="wetpath demo --list tells the enquiries, each with its pump")
    return _folder(kind) / f"{plain}.toml"
