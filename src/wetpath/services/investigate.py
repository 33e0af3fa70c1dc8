"""Why a pump failed, as a use case: evidence file in, investigation and its record out."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from wetpath import __version__
from wetpath.edge.files import load_document
from wetpath.errors import InputError
from wetpath.investigation.catalogue import CATALOGUE_TAG, USER_TAG, Finding, findings
from wetpath.investigation.evidence import EvidenceFile
from wetpath.investigation.study import LIMITS, Investigation, Standing, investigate
from wetpath.investigation.weighing import HIGHEST_UNPROVEN
from wetpath.services.cautions import cautions_of
from wetpath.services.investigation_record import (
    CellRecord,
    InvestigationRecord,
    ItemRecord,
    LookRecord,
    MechanismRecord,
    PhysicsRecord,
)
from wetpath.services.places import placed
from wetpath.services.progress import Announce, silent
from wetpath.services.rating import FileOrigin, beside, load_service
from wetpath.services.sensitivity import file_records

FilePath = str | os.PathLike[str]
#: Said of an opened pump, beside the cautions of the rating.
OPENED = (
    "Keep parts and records as found until they are photographed and measured; what is cleaned says nothing any more.",
    "A failed pump may hold liquid under pressure and behind the shell, and its magnets attract tools: isolate, drain, "
    "clean and vent it before it is opened. Broken ceramic has sharp edges.",
    "The shares are an order for the next look, no proof. Where somebody was hurt or liquid came out, the "
    "investigation belongs to those whom the law names.")


def investigate_file(evidence: FilePath, *, enquiry: FilePath | None = None, pump: FilePath | None = None,
                     practice: FilePath | None = None, announce: Announce = silent
                     ) -> tuple[Investigation, tuple[FileOrigin, ...]]:
    """Read an evidence file with the enquiry and the pump it names, rate, and weigh the mechanisms.

    ``enquiry`` and ``pump`` go before those that the file names.

    Raises
    ------
    FileProblems
        With everything that is wrong with the files, at file, line and field.
    """
    file = os.fspath(evidence)
    read = load_document(file, EvidenceFile)
    asked = enquiry if enquiry is not None else beside(file, read.enquiry_file, "enquiry_file")
    own = pump if pump is not None else beside(file, read.pump_file, "pump_file") if read.pump_file else None
    service = load_service(asked, pump=own, practice=practice, announce=announce)
    rating = service.rate(announce=announce)
    origin = FileOrigin("evidence", Path(file).name, hashlib.sha256(Path(file).read_bytes()).hexdigest())
    try:
        return investigate(read, rating), (origin, *service.files)
    except InputError as error:
        raise placed(error, file) from None


def blank_evidence() -> str:
    """An evidence file to fill in: every finding of the catalogue by part, none looked at yet."""
    lines = ['wetpath = "evidence/1"', 'title = "what failed, and when"', 'enquiry_file = "enquiry.toml"', "",
             "# state: seen, not there, not looked at, lost. Add a note where you can; a weight of 0 to 1 says how far",
             "# a finding is trusted.", "", "[weights]", "# of the tests of the physics, by their names",
             "# plugging = 0.5", "# power_recorded = 0.5", "", "[recorded]",
             '# power_before = "8.6 kW"', '# power_after = "8.3 kW"']
    for part, some in checklist():
        lines += ["", f"# {part}"]
        for one in some:
            lines += ["[[findings]]", f'id = "{one.name}"    # {one.title}', 'state = "not looked at"']
    return "\n".join(lines) + "\n"


def sentence_of(found: Investigation) -> str:
    """The answer in a sentence or two."""
    first, second = found.ranked[:2]
    share, low, high = found.share(first.name)
    other, other_low, other_high = found.share(second.name)
    amount = f"{percent(share)} ({percent(low)} to {percent(high)})"
    rival = f"{second.title}, {percent(other)} ({percent(other_low)} to {percent(other_high)})"
    match found.standing:
        case Standing.NOTHING:
            return "Nothing is told yet. Begin with the look that tells most."
        case Standing.ELSE:
            return f"None of the mechanisms listed explains it; the nearest is {rival}."
        case Standing.OPEN:
            return f"Open between {first.title}, {amount}, and {rival}."
        case Standing.UNPROVEN:
            return (f"Most probable is {first.title}, {amount}; no test of the physics supports it yet. "
                    f"Next is {rival}.")
    return f"Points to {first.title}, {amount}, which this pump allows. Next is {rival}."


def checklist() -> tuple[tuple[str, tuple[Finding, ...]], ...]:
    """All findings of the catalogue by part or record, in the order of the checklist."""
    parts: dict[str, list[Finding]] = {}
    for one in findings().values():
        parts.setdefault(one.part, []).append(one)
    return tuple((part, tuple(some)) for part, some in parts.items())


def notes_of(found: Investigation) -> dict[str, tuple[str, str]]:
    """Note and tag of every item of evidence by name; tests of the physics have the result as their note."""
    told = {}
    known = found.evidence.catalogue()
    for entry in found.evidence.findings:
        own = entry.likelihoods or known[entry.id].tag == USER_TAG
        told[entry.id] = (entry.note, USER_TAG if own else CATALOGUE_TAG)
    for test in found.tests:
        told[f"physics: {test.name}"] = (test.sentence(), CATALOGUE_TAG)
    return told


def cautions_of_investigation(found: Investigation) -> tuple[str, ...]:
    """Cautions of an investigation, those of the rating last."""
    return (*OPENED, *cautions_of(found.rating))


def limits_of_investigation() -> tuple[str, ...]:
    """What an investigation does not do."""
    return (*LIMITS, f"Without a test of the physics passed, no mechanism is given more than {HIGHEST_UNPROVEN:.0%}.")


def record_of_investigation(found: Investigation, files: tuple[FileOrigin, ...] = ()) -> InvestigationRecord:
    """Return the record."""
    rating, reality = found.rating, found.reality
    return InvestigationRecord(
        program_version=__version__, title=found.evidence.title, enquiry=rating.enquiry.title, pump=rating.pump.name,
        liquid=reality.liquid.name, case=rating.case_names[reality.case], files=file_records(files),
        standing=found.standing, sentence=sentence_of(found), ratio=found.ratio, support=found.support,
        support_scale="enfsi-2015", power_recorded=found.power.recorded, mechanisms=_mechanisms(found),
        items=_items(found),
        physics=tuple(PhysicsRecord(name=one.name, mechanism=one.mechanism, question=one.question, says=one.says,
                                    sentence=one.sentence()) for one in found.tests),
        looks=tuple(LookRecord(name=one.finding.name, title=one.finding.title, part=one.finding.part,
                               information=one.information, odds_if_seen=one.if_seen,
                               odds_if_not_there=one.if_not_there) for one in found.looks),
        limits=limits_of_investigation(),
        warnings=rating.warnings, cautions=cautions_of_investigation(found))


def _mechanisms(found: Investigation) -> tuple[MechanismRecord, ...]:
    weighed = found.weighed
    logs = weighed.log_likelihood.sum(axis=0)
    records = []
    for one in found.ranked:
        number = weighed.mechanisms.index(one.name)
        share, low, high = found.share(one.name)
        records.append(MechanismRecord(
            name=one.name, title=one.title, how=one.how, prior=float(weighed.prior[number]), share=share, low=low,
            high=high, log_likelihood=float(logs[number]), proven=bool(weighed.proven[number]),
            power_predicted=found.power.predicted.get(one.name), power_fits=found.power.fits(one.name),
            remedies=one.remedies))
    return tuple(records)


def _items(found: Investigation) -> tuple[ItemRecord, ...]:
    weighed, notes = found.weighed, notes_of(found)
    records = []
    for number, item in enumerate(weighed.items):
        note, tag = notes.get(item.name, ("", CATALOGUE_TAG))
        ratios = weighed.tells(number)
        records.append(ItemRecord(
            name=item.name, title=item.title, group=item.group, seen=item.seen, weight=item.weight,
            counted=bool(weighed.counted[number]), tag=tag, note=note,
            cells=tuple(CellRecord(mechanism=name, likelihood=item.words.get(name, item.otherwise),
                                   ratio=float(ratios[one]), tells=found.cell(number, name))
                        for one, name in enumerate(weighed.mechanisms))))
    return tuple(records)


def percent(share: float) -> str:
    """A share in whole per cent; the ends as bounds, for nothing is certain.

    >>> percent(0.123), percent(0.001), percent(0.9999)
    ('12\u2009%', 'below 1\u2009%', 'above 99\u2009%')
    """
    if share < 0.01:
        return "below 1\u2009%"
    return "above 99\u2009%" if share > 0.99 else f"{100 * share:.0f}\u2009%"
