"""A setup outside the rules is said to be so before anything else is said of it."""

from dataclasses import replace

from assistant.advice.offers import advise
from assistant.advice.results import Advice
from assistant.car.files import read_case
from assistant.car.moves import with_value
from assistant.diagnosis.session import start
from assistant.pages.advice import advice_screen
from assistant.pages.data import Way, advice_data
from assistant.rules.pack import load_packs
from tests.demo_table import believe_case


def test_what_is_not_legal_stands_first_on_the_screen_and_in_the_data():
    knowledge, demo = load_packs(), read_case("demo")
    case = replace(demo, setup=with_value(demo.setup, "cross_weight", 0.6))
    session = start(case, knowledge, "loose off late, 3")
    advice = advise(case, knowledge, session, believe_case(case, session.complaint), among=("front_bar",))
    first = advice_screen(advice, knowledge.levers, "trade")[0]
    assert first.text.startswith("Not legal: cross weight is 60")
    assert first.mark == "caution"
    assert len(advice_data(advice, Way("trade", case))["not_legal"]) == 1


def test_what_is_not_legal_is_said_in_the_units_asked_for():
    knowledge, demo = load_packs(), read_case("demo")
    case = replace(demo, setup=with_value(demo.setup, "spring_rf", 1.0))
    session = start(case, knowledge, "loose off late, 3")
    advice = replace(Advice(session.complaint), case=case)
    assert "N/mm" in advice_screen(advice, knowledge.levers, "si")[0].text
    assert "N/mm" in advice_data(advice, Way("si", case))["not_legal"][0]


def test_a_legal_setup_has_nothing_said_of_the_rules():
    knowledge, case = load_packs(), read_case("demo")
    session = start(case, knowledge, "loose off late, 3")
    advice = advise(case, knowledge, session, believe_case(case, session.complaint), among=("front_bar",))
    assert advice_data(advice, Way("trade", case))["not_legal"] == []
