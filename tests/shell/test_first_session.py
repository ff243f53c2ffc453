import re
from pathlib import Path

import pytest

from assistant.belief.believe import Shown
from assistant.belief.outcome import RunAfter
from assistant.pages.amounts import cure_words, say_tires

PAGE = (Path(__file__).parents[2] / "docs" / "first-session.md").read_text(encoding="utf-8")
TYPED = re.findall(r"^> (.+)$", PAGE, flags=re.MULTILINE)
LOST = (
    "I cannot make out",
    "I do not know",
    "There is no advice yet",
    "none of the answers",
    "The numbers go from",
    "No change",
)


def test_everything_the_page_tells_a_novice_to_type_works(talk):
    assert len(TYPED) > 10
    for line in TYPED:
        said = talk.type(line)
        assert not [words for words in LOST if words in said], (line, said)


def test_the_page_names_as_many_questions_about_the_car_as_there_are():
    from assistant.car.own_car import SHORT_QUESTIONS

    assert len(SHORT_QUESTIONS) == 6
    assert "A name and five questions" in PAGE


def test_the_headline_the_page_explains_is_worded_as_the_program_words_it():
    assert f'"Tighter, {cure_words(0.5, "it")}" is what it takes away' in PAGE
    assert f'"{say_tires(RunAfter({}, {}, first_tire=Shown(-4.0, -7.0, -2.0)))[:-1]}" is how much sooner' in PAGE


def test_enough_at_the_question_of_faults_says_that_nobody_has_checked_the_car(talk):
    caution = "Nobody has looked closely at the car yet: walk round it before it moves again."
    assert caution in talk.type("loose off", "enough")
    assert caution not in talk.type("undo", "loose off", "1", "enough")


@pytest.mark.parametrize(
    "words",
    ["went dead tight all at once", "all of a sudden it is tight", "just snapped tight", "loose off all at once"],
)
def test_what_came_all_at_once_is_looked_at_before_the_balance_is_moved(talk, words):
    talk.type(words)
    assert "not understood" not in talk.words
    assert talk.state.session.known["came_on"] == "suddenly"
    talk.type("1", "enough")
    assert talk.state.advice.remedies[0].kind in {"inspect", "repair"}


def test_dead_tight_is_bad_and_gas_all_at_once_is_no_sudden_trouble(talk):
    assert "4 of 5" in talk.type("dead tight in the middle")
    talk.type("i get on the gas all at once and it is loose")
    assert "came_on" not in talk.state.session.known
