"""Selection as a use case: an enquiry and a folder of pump files in, offers and their record out."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from wetpath.edge.files import dump_document, load_any, loads_document
from wetpath.edge.quantities import ROTATIONAL_SPEED
from wetpath.edge.tables import shell_material
from wetpath.edge.units import express
from wetpath.errors import FileProblems, InputError, Problem
from wetpath.machine.pump_file import PumpFile
from wetpath.questions.parts import Cancelled, Progress
from wetpath.questions.selection.candidates import CatalogueEntry, Choices, changed
from wetpath.questions.selection.ranking import Weights
from wetpath.questions.selection.study import Offer, Selection, select
from wetpath.rating.rate import Rating
from wetpath.services.demo import pump_path
from wetpath.services.desk import Papers, service_of_papers
from wetpath.services.places import placed
from wetpath.services.progress import Announce, announce_compiling, silent
from wetpath.services.rating import FileOrigin, FilePath, load_service
from wetpath.services.scale import Scale, runner_for

#: What a selection takes for granted, and where it can hurt.
CAUTIONS = (
    "An aid for a competent engineer, who answers for the selection; local codes, the maker's instructions and "
    "licensed practice come first.",
    "A candidate with another trim, magnet length, shell or speed than its pump file is a drawing changed here: the "
    "maker says whether it is made. Another shell material keeps the wall; stated pressure rating, resistivity and "
    "measured points are then dropped. Another magnet length keeps masses, inertias and bearing places.",
    "Whether shell, magnets and bearings stand the liquid chemically is not asked here, nor whether a toxic or "
    "flammable liquid needs a second containment.")


def catalogue_of(folder: FilePath | None = None) -> tuple[tuple[CatalogueEntry, ...], tuple[FileOrigin, ...]]:
    """Read every pump file of a folder, by name; the demo pumps without one. Files of other kinds are left out."""
    place = pump_path().parent if folder is None else Path(folder)
    if not place.is_dir():
        raise InputError("is not a folder", field="--catalogue", value=f'"{os.fspath(place)}"',
                         do="name a folder of pump files")
    entries, origins, problems = [], [], list[Problem]()
    for file in sorted(place.glob("*.toml")):
        try:
            document = load_any(file)
        except FileProblems as error:
            problems += error.problems
            continue
        if isinstance(document, PumpFile):
            entries.append(CatalogueEntry(file.stem, document))
            origins.append(FileOrigin("pump", file.name, hashlib.sha256(file.read_bytes()).hexdigest()))
    if problems:
        raise FileProblems(problems)
    if not entries:
        raise InputError("has no pump file", field="--catalogue", value=f'"{os.fspath(place)}"',
                         do='pump files end in .toml and begin with wetpath = "pump/1"')
    return tuple(entries), tuple(origins)


def select_from_files(enquiry: FilePath, *, catalogue: FilePath | None = None, practice: FilePath | None = None,
                      shells: Sequence[str] = (), weights: str | None = None, most: int = 8,
                      announce: Announce = silent, progress: Progress | None = None,
                      cancelled: Cancelled | None = None, scale: Scale | None = None
                      ) -> tuple[Selection, tuple[FileOrigin, ...]]:
    """Read an enquiry and a folder of pump files, and select.

    Parameters
    ----------
    enquiry, practice : path
        As for a rating; the pump that the enquiry names does not count.
    catalogue : path, optional
        Folder of pump files; the demo pumps without it.
    shells : sequence of str, optional
        Shell materials to try besides those of the catalogue.
    weights : str, optional
        "margin 2 energy 1 NPSH 1"; equal without it.
    most : int
        Offers at most.
    announce, progress, cancelled : callable, optional
        Told in words what takes long; told pump files screened and in all; asked whether to stop.
    scale : Scale, optional
        Who may help; without it this process alone.
    """
    weighed = Weights() if weights is None else Weights.of(weights)
    entries, origins = catalogue_of(catalogue)
    service = load_service(enquiry, pump=entries[0].pump, practice=practice, announce=announce)
    choices = Choices(materials=_materials(entries, shells))
    announce_compiling(announce)
    try:
        with runner_for(scale, service, "select", choices, pumps=[one.pump for one in entries]) as runner:
            found = select(entries, service.enquiry, service.liquid, service.practice, others=service.others,
                           choices=choices, weights=weighed, most=most, progress=progress, cancelled=cancelled,
                           runner=runner)
    except InputError as error:
        if error.problem.field.startswith("--") or not service.enquiry_file:
            raise
        raise placed(error, service.enquiry_file) from None
    return found, (*service.files, *origins)


def select_for(rating: Rating, *, catalogue: FilePath | None = None, most: int = 8, progress: Progress | None = None,
               cancelled: Cancelled | None = None) -> Selection:
    """Select pumps of a catalogue for the enquiry of a rating, under its practice."""
    entries, _ = catalogue_of(catalogue)
    names = [other.name for other in rating.enquiry.other_liquids]
    others = dict(zip(names, rating.situation.liquids[1:], strict=True))
    return select(entries, rating.enquiry, rating.liquid, rating.practice, others=others,
                  choices=Choices(materials=_materials(entries, ())), most=most, progress=progress,
                  cancelled=cancelled)


def select_from_texts(papers: Papers, catalogue: Mapping[str, str], *, weights: str | None = None, most: int = 8
                      ) -> Selection:
    """Select pumps out of texts of pump files, by name; the demo pumps without any."""
    weighed = Weights() if weights is None else Weights.of(weights)
    entries = tuple(CatalogueEntry(name, loads_document(text, PumpFile, file=name))
                    for name, text in catalogue.items()) or catalogue_of()[0]
    service = service_of_papers(replace(papers, pump=dump_document(entries[0].pump)))
    return select(entries, service.enquiry, service.liquid, service.practice, others=service.others,
                  choices=Choices(materials=_materials(entries, ())), weights=weighed, most=most)


def _materials(entries: Sequence[CatalogueEntry], more: Sequence[str]) -> tuple[str, ...]:
    """Shell materials of a catalogue, and others asked for."""
    for name in more:
        try:
            shell_material(name)
        except InputError as error:
            told = error.problem
            raise InputError(told.text, field="--shell", value=f'"{name}"', why=told.why, do=told.do) from None
    return tuple(dict.fromkeys([*(one.pump.containment_shell.material for one in entries), *more]))


def write_offers(selection: Selection, folder: FilePath) -> tuple[Path, ...]:
    """Write the pump file of every offer into a folder, to be rated or changed by hand."""
    place = Path(folder)
    written = []
    try:
        place.mkdir(parents=True, exist_ok=True)
        for number, offer in enumerate(selection.offers, start=1):
            file = place / f"{number}_{offer.candidate.build.entry.name}.toml"
            file.write_text(dump_document(_noted(offer)), encoding="utf-8")
            written.append(file)
    except OSError as error:
        raise InputError(f"cannot be written ({error.strerror})", field="--write", value=f'"{place}"') from None
    return tuple(written)


def _noted(offer: Offer) -> PumpFile:
    """The pump of an offer with a note on where it comes from."""
    pump, note = offer.candidate.pump, f"Changed by a selection out of {offer.candidate.build.entry.name}; no offer."
    if pump.driver.inverter is not None:
        note += f" Rated at {express(offer.candidate.speed, ROTATIONAL_SPEED)} where a case gives no speed of its own."
    return changed(pump, note=f"{note} {pump.note}".strip())
