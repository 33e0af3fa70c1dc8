"""Measured values as a use case: files of a historian or a live server in, samples of one pump out."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from wetpath.edge.files import load_document
from wetpath.edge.mapping import MappingFile
from wetpath.errors import InputError

if TYPE_CHECKING:
    from wetpath.links.historian import Historian
    from wetpath.links.live import LiveSource

#: What the extra brings.
EXTRA = ("asyncua", "polars", "pyarrow")


def need_extra(field: str = "") -> None:
    """Raise `InputError` when what reads and serves measured values is not installed."""
    missing = [name for name in EXTRA if find_spec(name) is None]
    if missing:
        raise InputError(f'needs the extra "plant", which is not installed ({", ".join(missing)})',
                         field=field or "this command", do='install it: pip install "wetpath[plant]"')


def historian_of(files: Sequence[Path], mapping: Path | MappingFile, pump: str = "") -> Historian:
    """Files of a historian as samples of one pump; iterate over it once, then ``account`` tells what was not used.

    Parameters
    ----------
    files : sequence of path
        CSV or Parquet, in the order of time.
    mapping : path or MappingFile
    pump : str
        As the mapping names it; may be left out when it names one only.
    """
    need_extra("DATA")
    from wetpath.links.historian import Historian

    read = mapping_of(mapping)
    return Historian(files, read, pump_of(read, pump))


def live_source(url: str, mapping: Path | MappingFile, journal: Path, pump: str = "", *, after: float | None = None,
                since: float | None = None, keys: Path | None = None) -> LiveSource:
    """Samples of one pump from a server of OPC UA; iterate over it until its ``stop`` is called.

    Parameters
    ----------
    url : str
        ``opc.tcp://host:4840``
    mapping : path or MappingFile
        With the node of every tag.
    journal : path
        Folder in which everything received is kept before it is given on.
    pump : str
        As the mapping names it; may be left out when it names one only.
    after, since, keys : optional
        See `wetpath.links.live.LiveSource`.
    """
    need_extra("DATA")
    if not url.startswith("opc.tcp://"):
        raise InputError("is not the address of a server of OPC UA", field="DATA", value=f'"{url}"',
                         do='write it like "opc.tcp://host:4840"')
    from wetpath.links.live import LiveSource

    read = mapping_of(mapping)
    return LiveSource(url, read, pump_of(read, pump), journal, after=after, since=since, keys=keys)


def mapping_of(mapping: Path | MappingFile) -> MappingFile:
    """Read a mapping file, if it is not read yet."""
    return mapping if isinstance(mapping, MappingFile) else load_document(mapping, MappingFile)


def pump_of(mapping: MappingFile, pump: str = "") -> str:
    """The pump asked for, or the only one."""
    if pump:
        mapping.tags_of(pump)
        return pump
    if len(mapping.pumps) > 1:
        raise InputError(f"has several pumps: {', '.join(mapping.pumps)}", field="the mapping file",
                         do="name the one that is watched")
    return mapping.pumps[0]
