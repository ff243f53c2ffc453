"""Every answer for programs says its edition and its units, and the page of them is what the program writes."""

import json
from pathlib import Path

import pytest

from assistant.cli import main
from assistant.commands.runner import document
from tests.generators.json_page import json_page


@pytest.mark.parametrize(
    ("words", "units"),
    [
        (["forecast", "demo"], {"temps": "F", "hot_pressure": "psi", "balance": "% of grip, + tight"}),
        (["forecast", "demo", "--units", "si"], {"temps": "C", "hot_pressure": "kPa", "per_lap": "L"}),
        (["corner", "demo"], {"speed": "mph", "load": "lbf", "lock_share": "share"}),
        (["cars"], {}),
        (["notebook"], {}),
    ],
)
def test_an_answer_for_programs_says_its_edition_and_its_units(words, units, capsys):
    main([*words, "--json"])
    found = json.loads(capsys.readouterr().out)
    assert found["format"] == 1
    assert units.items() <= found["units"].items()


def test_a_unit_is_named_only_for_what_occurs_and_an_answers_own_unit_stands():
    assert document({"lap_s": 1.0, "units": {"speed": "mph"}}, "trade")["units"] == {"lap_s": "s", "speed": "mph"}
    assert document({"says": "temps"}, "trade")["units"] == {}


def test_the_page_of_answers_is_fresh():
    assert Path("docs/json.md").read_text(encoding="utf-8") == json_page()
