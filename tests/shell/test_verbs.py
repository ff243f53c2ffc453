from dataclasses import replace

import pytest

from assistant.car.case import Fit
from assistant.car.files import read_case
from assistant.ground.choosing import number_in
from assistant.ground.folders import DEMO_CASES
from assistant.pages import sayings
from assistant.pages.setups import say_in_use
from assistant.shell.dialogs import Dialog
from assistant.shell.verbs import DOES, VERBS, Typed, nearest_verb, read_line

OF_THE_CONVERSATION = {"mine", "cars", "open", "note", "felt", "quit"}


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("why 2", Typed("why", "2")),
        ("WHY 2, not 3?", Typed("why", "2 not 3")),
        ("why2", Typed("why", "2")),
        ("try #1", Typed("try", "1")),
        ("make number two", Typed("make", "2")),
        ("back", Typed("back")),
        ("Back 3", Typed("back", "3")),
        ("?", Typed("?")),
        ("??", Typed("?")),
        ("exit", Typed("quit")),
        (":q", Typed("quit")),
        ("Q", Typed("quit")),
        ("explain stagger", Typed("explain", "stagger")),
        ("help", Typed("help")),
        ("tire temps", Typed("temps")),
        ("forecast tires", Typed("forecast", "tires")),
        ("forecast fuel", Typed("forecast")),
        ("forecast pressures", Typed("forecast")),
    ],
)
def test_a_command_is_told_however_it_is_typed(text, meant):
    assert read_line(text) == meant


@pytest.mark.parametrize(
    "text",
    [
        "back end steps out",
        "more loose off",
        "loose off",
        "why does it push",
        "2",
        "",
        "show me",
        "cause the brakes are gone",
    ],
)
def test_words_about_the_car_are_no_command(text):
    assert read_line(text) is None


@pytest.mark.parametrize(
    ("text", "number"),
    [("2", 2), (" 2. ", 2), ("(3)", 3), ("two", 2), ("#4", 4), ("2 in", None), ("", None), ("²", None)],
)
def test_numbers_always_work(text, number):
    assert number_in(text) == number


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("hlep", "help"),
        ("qiut", "quit"),
        ("mkae 2", "make 2"),
        ("loose", None),
        ("xyzzy", None),
        ("show me the setup", "show"),
        ("make it faster", "make 2"),
        ("helo there my friend of the south and of all the other places", None),
    ],
)
def test_a_slip_in_a_command_finds_it(text, meant):
    assert nearest_verb(text) == meant


def test_words_that_begin_a_choice_are_an_answer_and_those_that_do_not_are_a_command(knowledge):
    asked = Dialog()
    for question in knowledge.questions.values():
        asked.answers = tuple(one.says for one in question.choices)
        assert all(asked.is_begun_by(one.split(",")[0]) for one in asked.answers)
        assert not any(asked.is_begun_by(word) for word in ("back", "enough", "undo", "why", "?", "help", "change 2"))


def test_every_command_has_what_answers_it():
    assert {verb.name for verb in VERBS} == {*DOES, *OF_THE_CONVERSATION}


# Which case and which measured corrections a talk stands on: said at its beginning and by `show`.


FIT = Fit("demo-fit", "run-practice", "demo-tire", {"wear_rate": 1.0, "grip_heat": 2.0})


def test_a_case_without_a_fit_says_so(demo):
    assert say_in_use(demo) == "Case demo: demo-car on demo-half-mile, setup demo-quick; no run log fitted."


def test_a_fit_is_named_with_its_log_and_how_many_numbers_it_holds(demo):
    said = say_in_use(replace(demo, file="", fit=FIT))
    assert said.endswith("setup demo-quick; fitted to run-practice (2 numbers, demo-fit).")


def test_what_is_said_of_the_demo_before_it_is_read_is_true():
    assert sayings.UNREAD.format("demo") == f"Case demo, {sayings.NO_FIT}."
    assert all(read_case(name).fit is None for name in DEMO_CASES)


def test_show_ends_with_the_case_in_use_since_a_screen_is_shorter_than_a_setup(talk):
    assert talk.type("show").endswith("Case demo: demo-car on demo-half-mile, setup demo-quick; no run log fitted.")
