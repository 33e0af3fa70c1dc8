"""What a user is told of a file of measured points, word for word."""

import pytest

from wetpath.errors import FileProblems
from wetpath.questions.acceptance.points_file import points_of_text, read_points

HEAD = "flow [m3/h];head [m]\n"
MESSAGES = {
    "": "points.csv: is empty\n"
        "  do:  begin with a line of headings like: flow [m3/h]; head [m]; power [kW]; NPSH3 [m]; speed [rpm]",
    "flow;head [m]\n1;2\n": 'points.csv, line 1: "flow" has no unit\n'
                            "  do:  write it in the heading, for example flow [m3/h]",
    "flwo [m3/h];head [m]\n1;2\n": 'points.csv, line 1: has no column of flow; is it "flwo [m3/h]"?\n'
                                   "  do:  head it with the quantity and its unit, for example flow [m3/h]",
    "flow [m3/h];head [bar]\n1;2\n":
        'points.csv, line 1: "head [bar]" is a pressure; a head is asked\n'
        "  why: head is pressure over density and gravity; head is in metres or feet of the pumped liquid\n"
        '  do:  write a head like "54 m"',
    "flow [m3/h];Q [l/s];head [m]\n1;2;3\n":
        'points.csv, line 1: "Q [l/s]" heads a second column of flow\n  do:  keep one',
    "# bench 3\n\n" + HEAD + "10;60\n20;\n30;fifty\n": 'points.csv, line 5: head = "" is missing\n'
        "  do:  give it, or take the point out\n"
        'points.csv, line 6: head = "fifty" does not begin with a number\n  do:  write a head like "54 m"',
    HEAD + "10;60\n20;-3\n30;50\n": 'points.csv, line 3: head = "-3" is too low; allowed: above 0 m',
    HEAD + "10;60\n10;59\n": "points.csv: has points at 1 different flow; allowed: 3 or more\n"
                             "  why: a curve has to be drawn through them\n  do:  give all points of the test",
    "flow [m3/h];head [m];power [W]\n0;70;6,200\n20;59;7,100\n30;58;8,000\n":
        'points.csv, line 2: power = "6,200" can be read in two ways\n'
        '  do:  write "6200" if the comma parts the thousands, or "6.200" if it is the decimal mark\n'
        'points.csv, line 3: power = "7,100" can be read in two ways\n'
        '  do:  write "7100" if the comma parts the thousands, or "7.100" if it is the decimal mark\n'
        'points.csv, line 4: power = "8,000" can be read in two ways\n'
        '  do:  write "8000" if the comma parts the thousands, or "8.000" if it is the decimal mark',
    "flow [m3/h];head [m];efficiency\n10;60;55\n20;59;0.6\n30;58;0.6":
        'points.csv, line 2: efficiency = "55" is not an efficiency below 1\n'
        "  why: a number without a unit is a share of 1\n  do:  write % in the heading if it is per cent",
}


@pytest.mark.parametrize(("text", "message"), MESSAGES.items())
def test_message(text, message):
    with pytest.raises(FileProblems) as error:
        points_of_text(text, file="points.csv", speed=300.0, temperature=293.15)
    assert str(error.value) == message


def test_files_that_cannot_be_read(tmp_path):
    for content, words in ((None, "is not there"), (b"\x00\x01", "is not a text file"),
                           (b"x" * 2_000_001, "is larger than 2 MB, too large for measured points")):
        file = tmp_path / "points.csv"
        if content is not None:
            file.write_bytes(content)
        with pytest.raises(FileProblems, match=words):
            read_points(file, speed=300.0, temperature=293.15)


@pytest.mark.parametrize("text", [
    "flow [m3/h],head [m],power [kW]\n0,70,\n30,66.5,11\n50,60,14.5\n",
    "\ufeffQ m3/h;H (m);P kW\r\n0;70;-\r\n30;66,5;11,000\r\n;;\r\n50;60;14,5\r\n",
    "point\tflow rate\ttotal head\tshaft power\n\tm3/h\tm\tW\n1\t50\t60\t14500\n2\t30\t66.5\t11000\n3\t0\t70\tn/a\n",
    'flow [l/s];head [ft];power [kW]\n0;229.6588;\n"8,33333333";218.1759;11 kW\n13.8888889;196.8504;14500 W\n',
])
def test_the_same_points_written_in_many_ways(text):
    points = points_of_text(text.removeprefix("\ufeff"), speed=300.0, temperature=293.15)
    assert points.flow * 3600 == pytest.approx([0, 30, 50])
    assert points.head == pytest.approx([70, 66.5, 60], rel=1e-6)
    assert points.power == pytest.approx([float("nan"), 11e3, 14.5e3], nan_ok=True)
