"""What makes a pump run, as a use case: enquiry in, remedies and their record out."""

from __future__ import annotations

import os

from wetpath import __version__
from wetpath.questions.remedies.study import Remedies, remedies_of
from wetpath.questions.remedies.trial import Trial
from wetpath.services.cautions import cautions_of
from wetpath.services.progress import Announce, silent
from wetpath.services.rating import FileOrigin, load_service
from wetpath.services.remedies_record import NotOfferedRecord, RemediesRecord, RemedyRecord, WorseRecord
from wetpath.services.sensitivity import file_records, known

FilePath = str | os.PathLike[str]
#: Remedies between two words about how far it is.
TOLD_EVERY = 20


def remedies_of_files(enquiry: FilePath, *, pump: FilePath | None = None, practice: FilePath | None = None,
                      announce: Announce = silent) -> tuple[Remedies, tuple[FileOrigin, ...]]:
    """Read an enquiry with all it refers to, rate, and try remedies where it does not simply run."""
    service = load_service(enquiry, pump=pump, practice=practice, announce=announce)

    def progress(done: int, total: int) -> None:
        if done % TOLD_EVERY == 0:
            announce(f"{done} of about {total} remedies rated")

    return remedies_of(service.rate(announce=announce), progress), service.files


def record_of_remedies(remedies: Remedies, files: tuple[FileOrigin, ...] = ()) -> RemediesRecord:
    """Return the record."""
    rating, verdict = remedies.rating, remedies.rating.verdict
    return RemediesRecord(
        program_version=__version__, enquiry=rating.enquiry.title, pump=rating.pump.name, liquid=rating.liquid.name,
        files=file_records(files), headline=verdict.headline, governing=verdict.check.name, sentence=verdict.sentence,
        unit=verdict.check.difference_kind.si.name, margin=known(verdict.margin), holds=rating.holds,
        solved=remedies.solved, rated=remedies.rated,
        remedies=tuple(_remedy(remedies, trial) for trial in remedies.trials),
        without_gain=tuple(trial.remedy.title() for trial in remedies.without_gain),
        not_offered=tuple(NotOfferedRecord(title=one.title(), why=one.why) for one in remedies.not_offered),
        cautions=cautions_of(rating))


def new_warnings(remedies: Remedies, trial: Trial) -> tuple[str, ...]:
    """Warnings of a rating with a remedy that the rating as offered does not have."""
    return tuple(one for one in trial.rating.warnings if one not in remedies.rating.warnings)


def _remedy(remedies: Remedies, trial: Trial) -> RemedyRecord:
    verdict = trial.rating.verdict
    return RemedyRecord(
        title=trial.remedy.title(), practicality=trial.remedy.practicality.words, cost=trial.remedy.cost,
        gain=known(trial.gain), gain_share=known(trial.share_gain), margin=known(trial.margin),
        share=known(trial.share), not_asked=trial.not_asked, makes_it_hold=trial.makes_it_hold,
        headline=verdict.headline, governing=verdict.check.name, sentence=verdict.sentence,
        worse=tuple(WorseRecord(
            name=one.check.name, title=one.check.title, unit=one.check.difference_kind.si.name,
            margin_before=known(one.margin_before), margin=known(one.margin), share_before=known(one.share_before),
            share=known(one.share), broken=one.broken) for one in trial.worse),
        warnings=new_warnings(remedies, trial))
