"""Which case and which measured corrections a talk stands on: said at its beginning and by `show`."""

from dataclasses import replace

from assistant.car.case import Fit
from assistant.car.files import read_case
from assistant.ground.folders import DEMO_CASES
from assistant.pages import sayings
from assistant.pages.setups import say_in_use

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
