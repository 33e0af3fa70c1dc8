"""The same use cases for notebooks and programs: paths or loaded objects in, one rating out."""

from __future__ import annotations

from wetpath.edge.files import load_document
from wetpath.edge.practice import Practice
from wetpath.liquids.liquid import Liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.rate import Rating
from wetpath.services.rating import FilePath, load_service


def load_pump(file: FilePath) -> PumpFile:
    """Load a pump file; raise `FileProblems` with everything that is wrong with it."""
    return load_document(file, PumpFile)


def load_enquiry(file: FilePath) -> Enquiry:
    """Load an enquiry without the files it names; raise `FileProblems` with everything that is wrong with it."""
    return load_document(file, Enquiry)


def rate(enquiry: FilePath | Enquiry, *, pump: FilePath | PumpFile | None = None, liquid: Liquid | None = None,
         practice: FilePath | Practice | None = None) -> Rating:
    """Rate a pump for an enquiry; each of them a path or already loaded.

    Parameters
    ----------
    enquiry : path or Enquiry
        A file may name its pump, liquid and practice, looked for beside it. A loaded enquiry has no place: what it
        names in files is to be given here.
    pump : path or PumpFile, optional
        In place of the one the enquiry names.
    liquid : Liquid, optional
        In place of the one the enquiry describes.
    practice : path or Practice, optional
        In place of the one the enquiry names; without either the default practice.

    Raises
    ------
    InputError
        With all that is wrong with the files or the cases.

    Examples
    --------
    >>> import wetpath as wp
    >>> rating = wp.rate(wp.demo_enquiry("butane_reflux"), pump=wp.demo_pump("medium_steel"))
    >>> rating.verdict.case_name
    'B hot day'
    """
    return load_service(enquiry, pump=pump, practice=practice, liquid=liquid).rate()
