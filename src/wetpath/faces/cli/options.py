"""Options that several commands have."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class Units(StrEnum):
    """The two sets of units."""

    METRIC = "metric"
    US = "us"


PumpOption = Annotated[Path | None, typer.Option(
    "--pump", help="Pump file, in place of the one the enquiry names.")]
PracticeOption = Annotated[Path | None, typer.Option(
    "--practice", help="Practice file, in place of the one the enquiry names.")]
InstrumentsOption = Annotated[Path | None, typer.Option(
    "--instruments", metavar="FILE", help="Instrument file: which are fitted, and how good they are.")]
UnitsOption = Annotated[Units, typer.Option("--units", help="Units of what is shown.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Write the record of the rating as JSON, in SI units.")]
CaseOption = Annotated[str | None, typer.Option(
    "--case", metavar="NAME", help="Show the trace of this operating case; without it that of the governing one.")]
AllCasesOption = Annotated[bool, typer.Option("--all-cases", help="Show the trace of every operating case.")]
ClusterOption = Annotated[str | None, typer.Option(
    "--cluster", metavar="ADDRESS", help="Dask cluster that does the parts, tcp://host:8786; needs the extra "
                                         "\"cluster\".")]
WorkersOption = Annotated[int | None, typer.Option(
    "--workers", metavar="N", help="Processes on this machine, 1 for none beside this one; without it as many as cores "
                                   "once that pays.")]
FullOption = Annotated[bool, typer.Option("--full", help="Show the tables of every part of the machine too.")]
