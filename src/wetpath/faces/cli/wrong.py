"""The commands about what goes wrong: upset, protect, investigate; registered beside the others."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wetpath.faces.cli.options import (
    ClusterOption,
    InstrumentsOption,
    PracticeOption,
    PumpOption,
    Units,
    UnitsOption,
    WorkersOption,
)


def upset(
    enquiry: Annotated[Path, typer.Argument(metavar="ENQUIRY", help="Enquiry file.")],
    upsets: Annotated[list[str], typer.Option(
        "--upset", metavar="NAME", help="What goes wrong, as \"suction lost\"; several times for several together.")],
    pump: PumpOption = None,
    practice: PracticeOption = None,
    instruments: InstrumentsOption = None,
    case: Annotated[str | None, typer.Option(
        "--case", metavar="NAME", help="Operating case it starts from; without it the governing one.")] = None,
    values: Annotated[list[str] | None, typer.Option(
        "--set", metavar='"over=30 s"', help="Parameter of the upset; of several, with its name before: "
                                             "\"gas entrained.share=8 %\".")] = None,
    start: Annotated[str | None, typer.Option("--start", metavar='"10 s"', help="When the cause begins.")] = None,
    duration: Annotated[str, typer.Option("--duration", metavar='"600 s"', help="How long is looked at.")] = "600 s",
    copies: Annotated[int, typer.Option(
        "--copies", min=0, max=1000, help="Copies of the model with drawn numbers, for the bands.")] = 16,
    csv: Annotated[Path | None, typer.Option("--csv", metavar="FILE", help="Write the course into a CSV file.")] = None,
    plot: Annotated[Path | None, typer.Option(
        "--plot", metavar="FILE", help="Draw it into an SVG or PNG file.")] = None,
    cluster: ClusterOption = None,
    workers: WorkersOption = None,
    json: Annotated[bool, typer.Option("--json", help="Write it as JSON, in SI units.")] = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Follow an upset from the rated state: when liquid is lost, who sees it, when damage begins.

    Exit code 0: no damage, or an instrument acts in time; 1: none does; 2: bad input.
    """
    from wetpath.faces.cli.upset import show_upset

    raise typer.Exit(show_upset(enquiry, upsets, pump=pump, practice=practice, instruments=instruments, case=case,
                                values=values or (), start=start, duration=duration, copies=copies, csv=csv, plot=plot,
                                cluster=cluster, workers=workers, json=json, us=units is Units.US))


def protect(
    enquiry: Annotated[Path, typer.Argument(metavar="ENQUIRY", help="Enquiry file.")],
    pump: PumpOption = None,
    practice: PracticeOption = None,
    instruments: InstrumentsOption = None,
    case: Annotated[str | None, typer.Option(
        "--case", metavar="NAME", help="Operating case the upsets start from; without it the governing one.")] = None,
    upsets: Annotated[list[str] | None, typer.Option(
        "--upset", metavar="NAME", help="Cause held to be credible, once for each; all that apply without it.")] = None,
    duration: Annotated[str, typer.Option("--duration", metavar='"600 s"', help="How long is looked at.")] = "600 s",
    copies: Annotated[int, typer.Option(
        "--copies", help="Copies of the model with drawn numbers, for the bands.")] = 8,
    samples: Annotated[int, typer.Option("--samples", help="Samples of normal operation for each case.")] = 256,
    csv: Annotated[Path | None, typer.Option(
        "--csv", metavar="FILE", help="Write the list for the instrument engineer into a CSV file.")] = None,
    cluster: ClusterOption = None,
    workers: WorkersOption = None,
    json: Annotated[bool, typer.Option("--json", help="Write the plan as JSON, in SI units.")] = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Plan the protection: set points, which instrument sees which cause how early, the smallest set.

    Exit code 0: every cause that harms is seen in time; 1: one is not; 2: bad input.
    """
    from wetpath.faces.cli.protect import show_plan

    raise typer.Exit(show_plan(enquiry, pump=pump, practice=practice, instruments=instruments, case=case,
                               upsets=upsets or (), duration=duration, copies=copies, samples=samples, csv=csv,
                               cluster=cluster, workers=workers, json=json, us=units is Units.US))


def investigate(
    evidence: Annotated[Path | None, typer.Argument(metavar="EVIDENCE", help="Evidence file.")] = None,
    checklist: Annotated[bool, typer.Option(
        "--list", help="Write an evidence file to fill in, with everything there is to look for.")] = False,
    enquiry: Annotated[Path | None, typer.Option(
        "--enquiry", help="Enquiry file, in place of the one the evidence names.")] = None,
    pump: Annotated[Path | None, typer.Option(
        "--pump", help="Pump file, in place of the one the evidence or the enquiry names.")] = None,
    practice: PracticeOption = None,
    full: Annotated[bool, typer.Option("--full", help="Show the mechanisms that hardly count too.")] = False,
    output: Annotated[Path | None, typer.Option("--output", "-o", help="Write a report beside the page: .pdf.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Write it as JSON, in SI units.")] = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Weigh what can have destroyed a pump by the evidence and by what the pump allows.

    Exit code 0: it points to one mechanism, which the physics of the pump allows; 1: it does not; 2: bad input.
    """
    from wetpath.faces.cli.investigate import show_checklist, show_investigation

    if checklist:
        raise typer.Exit(show_checklist())
    if evidence is None:
        raise typer.BadParameter("Name an evidence file; --list writes one to fill in.")
    if output is None:
        raise typer.Exit(show_investigation(evidence, enquiry=enquiry, pump=pump, practice=practice, full=full,
                                            json=json, us=units is Units.US))
    from wetpath.faces.report.investigation_sheet import write_investigation

    raise typer.Exit(show_investigation(
        evidence, enquiry=enquiry, pump=pump, practice=practice, full=full, json=json, us=units is Units.US,
        keep=lambda found, files: write_investigation(found, files, output, us=units is Units.US)))
