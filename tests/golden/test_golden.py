"""The tool that compares records notices what it must, and nothing else."""

import json

import pytest

from tests.golden.__main__ import main
from tests.golden.compare import differences
from tests.golden.plan import pieces
from tests.golden.record import make

SCREEN = "=== levers demo\n=> 0\nstagger  1 7/8 in  -0.70\n"
DATA = '=== advise demo --json\n=> 0\n{"costs": [0.25, {"says": "slower"}], "sure": true}\n'
LAST = "mistakes"
"""A piece that is made quickly."""


def test_equal_records_have_no_difference():
    assert differences(SCREEN + DATA, SCREEN + DATA) == []


def test_a_changed_word_in_data_is_shown_with_its_path():
    assert differences(DATA, DATA.replace("slower", "quicker")) == [
        "advise demo --json",
        '- costs[1].says: "slower"',
        '+ costs[1].says: "quicker"',
    ]


@pytest.mark.parametrize(("number", "alike"), [("0.25000000001", True), ("0.2500000015", False), ("2.5", False)])
def test_a_number_in_data_may_differ_by_rounding_only(number, alike):
    assert (differences(DATA, DATA.replace("0.25", number)) == []) is alike


@pytest.mark.parametrize("value", ["1", "null", '"true"', "[]"])
def test_a_value_of_another_kind_is_different(value):
    assert differences(DATA, DATA.replace("true", value))


def test_data_in_another_order_is_the_same():
    moved = '=== advise demo --json\n=> 0\n{"sure": true, "costs": [0.25, {"says": "slower"}]}\n'
    assert differences(DATA, moved) == []


def test_a_screen_is_compared_by_every_letter():
    assert differences(SCREEN, SCREEN.replace("-0.70", "-0.71")) == [
        "levers demo",
        "- stagger  1 7/8 in  -0.70",
        "+ stagger  1 7/8 in  -0.71",
    ]


@pytest.mark.parametrize("record", [SCREEN, DATA])
def test_another_exit_code_is_different(record):
    assert "+ => 1" in differences(record, record.replace("=> 0", "=> 1"))


def test_what_is_no_longer_said_and_what_is_new_is_different():
    assert "- => 0" in differences(SCREEN + DATA, DATA)
    assert "+ => 0" in differences(DATA, SCREEN + DATA)
    assert differences(DATA, DATA.replace(', "sure": true', "")) == ["advise demo --json", "- sure: true"]


def test_a_long_line_is_shown_from_shortly_before_its_difference():
    old, new = (f"=== sheet demo\n{'<td>' * 200}{word}{'</td>' * 200}\n" for word in ("tighter", "looser"))
    assert differences(old, new)[1].startswith("- <td>")
    assert "tighter" in differences(old, new)[1]
    assert "looser" in differences(old, new)[2]


def test_the_tool_accepts_then_agrees_then_notices_a_changed_word(tmp_path, capsys):
    assert main(["--only", LAST], tmp_path) == 1
    assert main(["--only", LAST, "--accept"], tmp_path) == 0
    assert main(["--only", LAST], tmp_path) == 0
    record = tmp_path / f"{LAST}.txt"
    record.write_text(record.read_text(encoding="utf-8").replace("no lever", "no adjustment"), encoding="utf-8")
    capsys.readouterr()
    assert main(["--only", LAST], tmp_path) == 1
    assert "- command line: there is no adjustment 'stager'" in capsys.readouterr().out


def test_a_record_nobody_makes_any_more_is_different_until_accepted(tmp_path):
    (tmp_path / f"{LAST}-gone.txt").write_text(SCREEN, encoding="utf-8")
    assert main(["--only", LAST, "--accept"], tmp_path) == 0
    assert [path.name for path in tmp_path.iterdir()] == [f"{LAST}.txt"]


def test_a_name_that_fits_no_piece_is_no_success(tmp_path):
    assert main(["--only", "nowhere"], tmp_path) == 1


def test_a_complaint_runs_and_its_data_is_data():
    record = make(pieces()["tight-then-snaps.demo-snap"])
    said = record.split("=> 0\n")[1].split("\n===")[0]
    assert json.loads(said)["complaint"]
    assert "forecast told --json" in record
    assert "/tmp" not in record
