"""What an enquiry with a wrong case is told, and what it is not told."""

import pytest

from wetpath.edge.files import loads_document
from wetpath.errors import FileProblems
from wetpath.rating.enquiry import Enquiry

TEXT = """wetpath = "enquiry/1"
title = "one case, and that is wrong"
[liquid]
source = "reference equation"
substance = "Water"
[[cases]]
name = "a"
flow = "45 m3/h"
temperature = "20 degC"
suction_pressure = "2 bar"
"""


def test_a_wrong_case_is_told_once_and_not_as_a_missing_one():
    with pytest.raises(FileProblems) as raised:
        loads_document(TEXT, Enquiry)
    assert [problem.sentence for problem in raised.value.problems] == [
        'cases["a"].suction_pressure = "2 bar" is absolute or gauge?']


def test_a_grade_that_is_none_is_told_those_there_are():
    text = TEXT.replace("2 bar", "2 bar a").replace("[liquid]", 'acceptance_grade = "2C"\n[liquid]')
    with pytest.raises(FileProblems) as raised:
        loads_document(text, Enquiry)
    (problem,) = raised.value.problems
    assert problem.sentence == (
        'acceptance_grade = "2C" is not a grade of ISO 9906:2012; allowed: 1B, 1E, 1U, 2B, 2U, 3B')
    assert problem.do == "give one of these, or leave it out while none is agreed"
    assert loads_document(text.replace("2C", "2B"), Enquiry).acceptance_grade == "2B"


def test_an_enquiry_without_cases_is_told_so():
    with pytest.raises(FileProblems, match="cases"):
        loads_document(TEXT[:TEXT.index("[[cases]]")] + "cases = []\n", Enquiry)
