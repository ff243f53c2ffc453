"""A change that was told with its part and its amount: what the believed cars say of it, and how it is put back."""

from dataclasses import replace

import pytest

from assistant.advice.offers import advise
from assistant.advice.said_changes import find_put_back
from assistant.car.case import Case
from assistant.car.files import read_case
from assistant.car.keys import ends_of
from assistant.diagnosis.session import start
from assistant.ground.units import to_unit
from assistant.pages.advice import advice_screen, cause_words, headline
from assistant.pages.advice_words import say_beside
from assistant.pages.blocks import Line
from assistant.pages.hearing_words import say_sign
from assistant.rules.pack import load_packs
from tests.demo_table import believe_case

PACK = load_packs()
WENT_UP = "went up 75 pounds on the RR spring last week"


@pytest.fixture(scope="module")
def plain_case() -> Case:
    return replace(read_case("demo"), answers={}, complaint="")


def told(case: Case, words: str):
    session = start(case, PACK, words).answer("safety", "none").answer("when_in_run", "always")
    return advise(case, PACK, session, believe_case(case, session.complaint))


def cause_of(advice, name: str):
    return next(one for one in advice.causes if one.id == name)


def test_a_change_that_makes_the_complaint_leads_and_goes_back_by_part_and_amount(plain_case):
    advice = told(plain_case, f"loose off, {WENT_UP}")
    assert advice.causes[0].id == "suspension-change-too-far"
    assert any("75 pounds" in say_sign(sign) and "makes" in say_sign(sign) for sign in advice.causes[0].signs_for)
    assert advice.causes[0].title == "the change itself, 'went up 75 pounds on the rr spring', was wrong or too much"
    head = " ".join(cause_words(advice.causes, advice.treated))
    assert "For it: Computed on plausible cars, 'went up 75 pounds on the rr spring' makes" in head
    assert "You said" not in head
    assert advice.offers[0].kind == "undo"
    assert headline(advice.offers[0], PACK.levers, "trade").startswith(
        "put it back: soften the right rear spring 75 lb/in"
    )
    assert advice.offers[0].removes > 0.2
    assert advice.offers[0].cautions == tuple(PACK.cautions_for(PACK.levers["spring_rr"].cautions))


def test_what_goes_back_carries_the_cautions_of_its_own_part(plain_case):
    back = next(
        one for one in told(plain_case, "tight in the middle since we put the bigger sway bar on").offers if one.moves
    )
    assert back.moves[0].lever == "front_bar"
    assert back.cautions == tuple(PACK.cautions_for(PACK.levers["front_bar"].cautions))


def test_what_was_put_back_is_not_put_back_again(plain_case):
    session = start(plain_case, PACK, f"loose off, {WENT_UP}").answer("safety", "none").answer("when_in_run", "always")
    values = {**plain_case.setup.values, "spring_rr": plain_case.setup.values["spring_rr"] * 2 / 3}
    softer = replace(plain_case, setup=replace(plain_case.setup, values=values))
    advice = advise(softer, PACK, replace(session, case=softer), believe_case(softer, session.complaint))
    assert all(one.kind != "undo" for one in advice.offers)


def test_a_change_that_does_the_opposite_is_ruled_down_and_not_put_back(plain_case):
    advice = told(plain_case, f"tight in the middle, {WENT_UP}")
    blamed = cause_of(advice, "suspension-change-too-far")
    assert blamed.chance < 0.2  # that it went far speaks for it
    assert any("opposite" in say_sign(sign) for sign in blamed.signs_against)
    assert all(one.kind != "undo" for one in advice.offers)
    said = "'Went up 75 pounds on the rr spring' is not put back: computed, that makes what you complain of worse."
    shown = [block.text for block in advice_screen(advice, PACK.levers, "trade") if isinstance(block, Line)]
    assert shown.count(said) == 1
    assert said not in say_beside(advice)


@pytest.mark.parametrize(
    ("words", "lever", "way"),
    [
        ("tight on entry, i took wedge out and it got worse", "cross_weight", 1),
        ("loose off. we dropped the track bar and it got worse", "track_bar", 1),
    ],
)
def test_a_change_that_was_felt_to_make_it_worse_goes_back_first_whatever_is_computed(plain_case, words, lever, way):
    advice = told(plain_case, words)
    (move,) = advice.offers[0].moves
    assert (advice.offers[0].kind, move.lever, move.change * way > 0) == ("undo", lever, True)
    said = headline(advice.offers[0], PACK.levers, "trade")
    assert said.endswith("it got worse with this, though computed it should not have")
    assert all(one.why != "not back" for one in advice.passed)
    levers = {lever, *ends_of(lever)}
    assert not [one for one in advice.offers if one.kind == "lever" and one.id in levers]


def test_how_far_it_was_moved_is_not_asked_where_the_amount_was_told(plain_case):
    session = start(plain_case, PACK, f"loose off, {WENT_UP}")
    while (question := session.next_question()) is not None:
        assert question.id != "how_far"
        session = session.answer(question.id, question.choices[-1].id if question.id != "safety" else "none")
    assert session.known["how_far"] == "far"


def test_what_was_told_to_be_in_goes_back_to_what_was_told_to_be_out(plain_case):
    advice = told(plain_case, "loose off, put a 250 right rear spring in, was a 225")
    (move,) = advice.offers[0].moves
    assert (to_unit(move.start, "lb/in", "spring_rate"), to_unit(move.finish, "lb/in", "spring_rate")) == pytest.approx(
        (250, 225)
    )


@pytest.mark.parametrize("words", ["put a 25 softer RR spring in", "put a softer spring in the right rear"])
def test_a_softer_spring_that_was_put_in_is_not_taken_for_a_stiffer_one(plain_case, words):
    advice = told(plain_case, f"tight in the middle, {words}")
    undo = next(one for one in advice.offers if one.kind == "undo")
    assert undo.moves[0].finish > undo.moves[0].start
    assert undo.removes > 0


def test_a_change_without_a_part_is_put_back_as_before(plain_case):
    advice = told(plain_case, "loose off, changed springs last week")
    undo = next(one for one in advice.offers if one.kind == "undo")
    assert not undo.moves


def test_a_change_computed_too_small_is_still_put_back_first_and_says_so(plain_case):
    advice = told(plain_case, "pushes in the middle since we went up 50 on the rf spring")
    assert advice.offers[0].kind == "undo"
    assert advice.offers[0].removes < 0.12
    assert headline(advice.offers[0], PACK.levers, "trade", brief=True) == (
        "put it back: soften the right front spring 50 lb/in: it came with this, though computed it does little"
    )


def test_stagger_that_was_put_in_on_purpose_goes_back_and_is_no_other_set_of_tires(plain_case):
    advice = told(plain_case, "loose off since we put an inch more stagger in it")
    assert advice.causes[0].id == "stagger-change-too-far"
    said = headline(advice.offers[0], PACK.levers, "trade", brief=True)
    assert said.startswith("put it back: reduce the rear stagger 1 in: ")
    assert "goes past" in said
    assert "little" not in said


def test_what_was_told_in_rounds_goes_back_in_rounds(plain_case):
    def back(words):
        return headline(told(plain_case, words).offers[0], PACK.levers, "trade")

    assert back("tight off, put 2 rounds of wedge in").startswith("put it back: 2 rounds of wedge out: looser")
    assert back("loose off, took a round of wedge out").startswith("put it back: 1 round of wedge in: tighter")
    assert back("tight off, put 1 percent of wedge in").startswith("put it back: lower the cross weight 1.0 %")


def test_the_lever_that_is_put_back_is_offered_no_second_time(plain_case):
    advice = told(plain_case, "tight off, put a round of wedge in")
    assert advice.offers[0].kind == "undo"
    assert all((one.kind, one.id) != ("lever", "cross_weight") for one in advice.offers)


def test_where_loose_and_tight_are_both_told_no_way_back_is_ruled_down(plain_case):
    advice = told(plain_case, "tight in the middle and loose off, raised the front bar 1/8 in")
    undo = next(one for one in advice.offers if one.kind == "undo")
    assert undo.moves[0].change == pytest.approx(-0.003175)


def test_what_is_computed_to_do_little_never_speaks_for_the_change(plain_case):
    session = start(plain_case, PACK, f"loose off, {WENT_UP}")
    found = find_put_back(session, believe_case(plain_case, session.complaint))
    assert found.weight > 0
    assert replace(found, verdict=replace(found.verdict, felt=False)).weight == 0
    assert replace(found, verdict=replace(found.verdict, felt=False, direction=0.1)).weight < 0
