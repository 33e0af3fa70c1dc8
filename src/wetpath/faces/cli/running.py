"""The commands about pumps that run: watch, fleet, plant; registered beside the others."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wetpath.faces.cli.options import ClusterOption, PracticeOption, PumpOption, Units, UnitsOption


def watch(
    data: Annotated[list[Path] | None, typer.Argument(
        metavar="[DATA]", help="Files of a historian, in the order of time.")] = None,
    *,
    live: Annotated[str, typer.Option("--live", metavar="URL", help="Server of OPC UA in place of files.")] = "",
    journal: Annotated[Path | None, typer.Option("--journal", help="Folder that keeps what is received live.")] = None,
    keys: Annotated[Path | None, typer.Option("--keys", help="Folder of keys: the live session is encrypted.")] = None,
    seconds: Annotated[str, typer.Option("--for", metavar='"60 s"', help="How long; until Ctrl C without it.")] = "",
    mapping: Annotated[Path, typer.Option("--mapping", help="Mapping file: which tag is which signal.")],
    enquiry: Annotated[Path, typer.Option("--enquiry", help="Enquiry of the pump that is watched.")],
    pump: PumpOption = None,
    practice: PracticeOption = None,
    case: Annotated[str | None, typer.Option(
        "--case", metavar="NAME", help="Operating case it runs in; without it the governing one.")] = None,
    name: Annotated[str, typer.Option("--name", help="Pump as the mapping calls it, where it has several.")] = "",
    output: Annotated[Path | None, typer.Option(
        "-o", "--output", metavar="FILE", help="Margins minute by minute: .csv, .parquet or .json.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Write it as JSON, in SI units.")] = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Tell the hidden margin of a running pump from what the plant has recorded.

    Exit code 0: no alarm; 1: alarms; 2: bad input.
    """
    from wetpath.faces.cli.watch import show_watch

    raise typer.Exit(show_watch(data or (), live=live, journal=journal, keys=keys, seconds=seconds, mapping=mapping,
                                enquiry=enquiry, pump=pump, practice=practice, case=case, name=name, output=output,
                                json=json, us=units is Units.US))


def fleet(
    fleet_file: Annotated[Path | None, typer.Argument(
        metavar="[FLEET]", help="Fleet file; the invented fleet of the demo without it.")] = None,
    database: Annotated[str | None, typer.Option(
        "--database", metavar="URL", help="Where the history is kept: sqlite:///FILE or postgresql://USER@HOST/NAME; "
                                          "without it a file of this user.")] = None,
    update: Annotated[bool, typer.Option(
        help="Watch what is new before the pumps are listed; --no-update lists the history as it is.")] = True,
    replay: Annotated[Path | None, typer.Option(
        "--replay", metavar="FOLDER", help="Watch everything anew, into a history in this folder; asked again, it goes "
                                           "on from where it stopped.")] = None,
    since: Annotated[str, typer.Option(
        "--since", metavar="TIME", help="Beginning of a replay, ISO 8601 with offset, in place of that of the file."
    )] = "",
    cluster: ClusterOption = None,
    workers: Annotated[int | None, typer.Option(
        "--workers", metavar="N", help="Processes on this machine; 1, none beside this one, without it.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Write it as JSON, in SI units.")] = False,
    units: UnitsOption = Units.METRIC,
) -> None:
    """Tell how the pumps of a fleet are running, the worst first, with trend and forecast.

    Exit code 0: none is short of margin and none to look at; 1: one is; 2: bad input; 130: stopped.
    """
    from wetpath.faces.cli.fleet import show_fleet

    raise typer.Exit(show_fleet(fleet_file, database=database, update=update, replay=replay, since=since,
                                cluster=cluster, workers=workers, json=json, us=units is Units.US))


def plant(
    enquiry: Annotated[Path | None, typer.Option(
        "--enquiry", metavar="ENQUIRY", help="Enquiry file; an invented demo enquiry without it.")] = None,
    pump: PumpOption = None,
    case: Annotated[str | None, typer.Option(
        "--case", metavar="NAME", help="Operating case it runs in; without it the governing one.")] = None,
    upsets: Annotated[list[str] | None, typer.Option(
        "--upset", metavar="NAME", help="What goes wrong, as \"suction lost\"; several times for several.")] = None,
    values: Annotated[list[str] | None, typer.Option(
        "--set", metavar='"over=30 s"', help="Parameter of the upset.")] = None,
    at: Annotated[str, typer.Option("--at", metavar='"60 s"', help="When, after the start of the plant.")] = "60 s",
    host: Annotated[str, typer.Option("--host", help="Address to listen at; there is no login.")] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", min=1, max=65535, help="Port to listen at.")] = 4840,
    speed: Annotated[float, typer.Option("--speed", help="How many times as fast as the clock its time runs.")] = 1.0,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Of the noise of the instruments.")] = 1,
    record: Annotated[Path | None, typer.Option(
        "--record", metavar="FILE", help="File in which its history is kept; without it until it is stopped.")] = None,
    mapping: Annotated[Path | None, typer.Option(
        "--mapping", metavar="FILE", help="Write the mapping file that reads it.")] = None,
) -> None:
    """Serve a virtual plant over OPC UA, for training, tests and demos, until stopped with Ctrl C."""
    from wetpath.faces.cli.plant import show_plant
    from wetpath.services.plant import Asked

    raise typer.Exit(show_plant(
        Asked(enquiry, pump, case, upsets or (), values or (), at, host, port, speed, seed, record), mapping=mapping))
