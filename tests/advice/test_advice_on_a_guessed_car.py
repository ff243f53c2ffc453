"""A car that was mostly guessed: what is said of it is marked, and no chance is said that the cars cannot carry."""

from dataclasses import replace

import pytest

from assistant.advice.offers import advise
from assistant.car.files import read_case
from assistant.diagnosis.session import start
from assistant.ground.names import sayable
from assistant.pages.advice import advice_screen, headline, offers_of
from assistant.pages.amounts import FROM_ANYWHERE
from assistant.pages.data import Way, advice_data
from assistant.pages.sheet_page import make_page
from assistant.rules.pack import load_packs
from tests.demo_table import believe_case
from tests.pages.tree import texts_of

LEVERS = ("cross_weight", "track_bar_right", "front_bar")


def advised(**changes):
    knowledge, demo = load_packs(), read_case("demo")
    case = replace(demo, **{name: replace(getattr(demo, name), guessed=found) for name, found in changes.items()})
    session = start(case, knowledge, "loose off late, 3")
    belief = believe_case(case, session.complaint)
    return case, knowledge, session, advise(case, knowledge, session, belief, among=LEVERS)


@pytest.fixture(scope="module")
def guessed():
    return advised(setup=frozenset({"cross_weight"}), tire=frozenset({"load_exponent", "worn_grip"}))


def said_of(told):
    _, knowledge, _, advice = told
    return [block.text for block in advice_screen(advice, knowledge.levers, "trade", count=9)]


def test_an_offer_that_moves_a_guessed_value_says_from_where_it_is_and_the_others_say_the_number(guessed):
    _, knowledge, _, advice = guessed
    said = {
        offer.id: headline(offer, knowledge.levers, "trade") for offer in offers_of(advice) if offer.kind == "lever"
    }
    assert FROM_ANYWHERE in said["cross_weight"]
    assert "from 51.0" not in said["cross_weight"]
    assert all("from" in text for lever, text in said.items() if lever != "cross_weight")


def test_the_page_and_the_data_mark_it_too(guessed):
    case, knowledge, session, advice = guessed
    page = make_page(case, knowledge, session, advice, offers_of(advice))
    order = next(text for text in texts_of(page) if text.startswith("Raise the cross weight"))
    assert FROM_ANYWHERE in order
    data = advice_data(advice, Way("trade", case))
    marked = {remedy["id"]: remedy["start_is_guessed"] for remedy in data["remedies"] if remedy["kind"] == "lever"}
    assert marked == {lever: lever == "cross_weight" for lever in marked}
    assert data["guessed_values"] == 3
    assert "Behind this stand 3 values that nobody measured, only guessed." in texts_of(page)


def test_one_line_counts_the_guesses_and_a_measured_car_has_none(guessed):
    line = "Behind this stand 3 values that nobody measured, only guessed."
    assert said_of(guessed).count(line) == 1
    assert not [text for text in said_of(advised()) if "guessed" in text]


def test_no_chance_is_said_beyond_what_the_plausible_cars_can_carry(guessed):
    _, _, _, advice = guessed
    sure = [remedy.confidence for remedy in advice.remedies if remedy.confidence is not None]
    assert sure
    assert max(sure) <= 1 - 1 / 64
    assert sayable(1.0, 64) == 1 - 1 / 64
    assert sayable(0.7, 64) == 0.7


def test_what_is_sure_is_the_direction_on_these_tires_never_more(guessed):
    said = " ".join(said_of(guessed))
    assert "Chance that it cures" in said
    assert "more than 99" not in said
