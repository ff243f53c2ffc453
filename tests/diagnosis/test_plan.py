"""What moves are worth, their order, and which question would change it: against sums by hand and closed forms."""

from __future__ import annotations

from dataclasses import replace
from math import exp

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.diagnosis.plan import (
    NAMED,
    NEAR,
    SEEN,
    Evidence,
    Option,
    Patience,
    answer_chances,
    gain_of,
    left_after,
    plan_questions,
    put_first,
    put_in_order,
    split_gain,
    worth_of_each,
    worth_of_lists,
)
from assistant.pages.hearing_words import say_plan

PATIENCE = Patience(question=0.02, growth=0.01)
TITLES = ["a", "b", "c", "d"]
PLAIN = 2
"""Place of the plain balance in the lists of three causes and "none of these" below."""


def cure(name, *cures, cost=0.03, of=(), way="", kind="repair", finds=()):
    return Option(kind, name, (*cures, 0.0), cost, finds, frozenset(of), way)


def each(count, cost=0.0):
    """One move for each cause, which cures that one and nothing else."""
    return [
        Option("repair", f"m{at}", tuple(float(at == one) for one in range(count)), cost, of=frozenset({at}))
        for at in range(count)
    ]


def test_a_move_gains_what_it_cures_of_every_cause_less_its_cost():
    assert gain_of([0.5, 0.3, 0.1, 0.1], cure("a", 0.8, -0.3, 0.1)) == pytest.approx(0.4 - 0.09 + 0.01 - 0.03)
    assert left_after([0.5, 0.3, 0.1, 0.1], cure("a", 0.8, -0.3, 0.1)) == pytest.approx([0.1, 0.3, 0.09, 0.1])


def test_a_move_is_valued_with_the_next_best_one():
    first, second = cure("a", 0.8, 0.0, 0.0), cure("b", 0.0, 0.5, 0.0)
    chances = [0.5, 0.4, 0.0, 0.1]
    left = 1 - 0.5 * 0.8
    assert worth_of_each(chances, [first, second])[0][0] == pytest.approx(0.4 - 0.03 + 0.4 * 0.5 - 0.03 * left)


def test_a_look_is_valued_with_the_best_move_under_each_find():
    look = cure("look", 0.0, 0.0, 0.0, cost=0.01, finds=((0.9, 0.1, 0.5, 0.5), (0.1, 0.9, 0.5, 0.5)), kind="inspect")
    one, other = cure("a", 1.0, 0.0, 0.0, cost=0.2), cure("b", 0.0, 1.0, 0.0, cost=0.2)
    found = 0.5 * 0.9 - 0.2 * 0.5
    assert worth_of_each([0.5, 0.5, 0.0, 0.0], [look, one, other])[0][0] == pytest.approx(2 * found - 0.01)
    assert put_in_order([0.5, 0.5, 0.0, 0.0], [one, other, look], PLAIN)[0].id in {"look", "a", "b"}


@given(st.floats(0.1, 0.4), st.floats(0.1, 0.4), st.floats(0.01, 0.05), st.floats(0.01, 0.05))
def test_of_two_repairs_the_one_with_more_chance_for_its_price_is_worth_more(chance, other, cost, price):
    """Probability over cost is the best order where one fault is present (Kadane and Simon 1977)."""
    one, two = cure("a", 1.0, 0.0, 0.0, cost=cost), cure("b", 0.0, 1.0, 0.0, cost=price)
    chances = [chance, other, 0.0, 1 - chance - other]
    (first, second), _ = worth_of_each(chances, [one, two])
    ahead = first - second
    if gain_of(left_after(chances, one), two) > 0 < gain_of(left_after(chances, two), one):
        assert ahead == pytest.approx(chance * price - other * cost)


def test_the_likeliest_named_cause_comes_first_where_it_is_nearly_as_good():
    own, lever = cure("own", 0.8, 0.0, 0.0, of=[0]), cure("lever", 0.07, 0.07, 0.7, kind="lever", way="tighter")
    assert [one.id for one in put_in_order([NAMED, 0.1, 0.6, 0.1], [lever, own], PLAIN)] == ["own", "lever"]
    assert [one.id for one in put_in_order([NAMED / 2, 0.2, 0.6, 0.1], [lever, own], PLAIN)] == ["lever", "own"]
    dear = cure("own", 0.8, 0.0, 0.0, of=[0], cost=8 * NEAR)
    assert put_in_order([NAMED, 0.1, 0.6, 0.1], [lever, dear], PLAIN)[0].id == "lever"


def test_a_plain_balance_is_no_named_cause():
    lever = cure("lever", 0.0, 0.0, 0.5, of=[PLAIN])
    assert put_in_order([0.3, 0.0, 0.6, 0.1], [lever, cure("own", 0.9, 0.0, 0.0, of=[0])], PLAIN)[0].id == "own"


def test_each_move_is_the_one_to_make_when_those_before_it_did_not_cure():
    again = cure("again", 0.8, 0.0, 0.0, of=[0])
    options = [cure("a", 1.0, 0.0, 0.0, of=[0]), again, cure("b", 0.0, 0.8, 0.0, of=[1])]
    assert [one.id for one in put_in_order([0.5, 0.3, 0.1, 0.1], options, PLAIN)] == ["a", "b", "again"]


def test_no_plain_lever_stands_among_the_first_three_where_a_cause_is_named():
    looks = [cure(f"look {at}", 0.2, 0.2, 0.0) for at in range(3)]
    lever = cure("lever", 0.06, 0.06, 0.6, kind="lever", way="tighter")
    own = cure("own", 0.8, 0.0, 0.0, of=[0])
    named = [one.id for one in put_in_order([NAMED, 0.1, 0.6, 0.1], [lever, own, *looks], PLAIN)]
    assert (named[0], "lever" in named[:3]) == ("own", False)
    assert put_in_order([0.05, 0.05, 0.8, 0.1], [lever, own], PLAIN)[0].id == "lever"


def test_a_lever_of_an_unlikely_cause_is_as_plain_as_any_where_another_is_named():
    own, looks = cure("own", 0.8, 0.0, 0.0, of=[0]), [cure(f"look{at}", 0.0, 0.2, 0.0) for at in range(3)]
    lever = cure("lever", 0.06, 0.5, 0.6, kind="lever", of=[1])
    assert "lever" not in [one.id for one in put_in_order([0.4, 0.1, 0.4, 0.1], [lever, own, *looks], PLAIN)][:3]
    assert put_in_order([0.1, 0.4, 0.4, 0.1], [lever, own, *looks], PLAIN)[0].id == "lever"


def test_the_look_of_a_named_cause_comes_before_its_repair_unless_it_is_sure():
    look = cure("look", 0.0, 0.0, 0.0, cost=0.01, finds=((0.95, 0.05, 0.05, 0.05), (0.05, 0.95, 0.95, 0.95)), of=[0])
    mend, lever = cure("mend", 0.9, 0.0, 0.0, of=[0]), cure("lever", 0.0, 0.0, 0.6, kind="lever")
    assert put_in_order([0.5, 0.1, 0.3, 0.1], [mend, look, lever], PLAIN)[0].id == "look"
    assert put_in_order([0.9, 0.0, 0.05, 0.05], [mend, look, lever], PLAIN)[0].id == "mend"


def test_a_change_is_put_back_before_the_repair_of_a_cause_hardly_likelier():
    repair = Option("repair", "bed", (0.8, 0.0, 0.0), of=frozenset({0}))
    back = Option("undo", "back", (0.8, 0.8, 0.0), of=frozenset({1}))
    assert put_in_order((0.35, 0.3, 0.35), [repair, back], plain=2) == [back, repair]
    assert put_in_order((0.6, 0.0, 0.4), [repair, replace(back, cures=(0.5, 0.8, 0.0))], plain=2)[0] is repair


def test_no_two_of_the_first_three_pull_opposite_ways():
    options = [
        cure("tighten", 0.0, 0.0, 0.6, way="tighter", kind="lever"),
        cure("loosen", 0.55, 0.0, 0.0, way="looser", kind="lever"),
        cure("look", 0.0, 0.4, 0.0),
        cure("tighten more", 0.0, 0.0, 0.3, way="tighter", kind="lever"),
    ]
    ordered = [one.id for one in put_in_order([0.15, 0.15, 0.6, 0.1], options, PLAIN)]
    assert ordered[0] == "tighten"
    assert "loosen" not in ordered[:3]


# questions


def test_answers_under_a_cause_make_one():
    one = Evidence("q", ((1.7, 0.0), (-1.7, 0.0), (0.0, 0.0)))
    found = answer_chances(one)
    assert found.sum(axis=0) == pytest.approx([1.0, 1.0])
    assert found[0, 0] / found[1, 0] == pytest.approx(exp(3.4))


def test_a_question_is_worth_what_its_answer_changes_in_the_list():
    options = each(4, cost=0.05)
    chances = [0.25] * 4
    sharp = Evidence("sharp", ((9.0, -9.0, -9.0, -9.0), (-9.0, 9.0, 9.0, 9.0)))
    known = 0.25 * 0.95 + 0.75 * worth_of_lists(np.array([[0.0, 1 / 3, 1 / 3, 1 / 3]]), options)[0]
    plan = plan_questions(chances, TITLES, [sharp], options, PATIENCE)
    assert plan.gain == pytest.approx(known - worth_of_lists(np.array([chances]), options)[0], abs=1e-3)


def test_a_question_whose_answer_changes_nothing_is_not_asked():
    useful = Evidence("useful", ((1.7, -1.7, 1.7, -1.7), (-1.7, 1.7, -1.7, 1.7)))
    idle = Evidence("idle", ((0.7,) * 4, (0.0,) * 4))
    assert split_gain([0.25] * 4, useful) > 0.05
    assert split_gain([0.25] * 4, idle) == pytest.approx(0.0)
    assert plan_questions([0.25] * 4, TITLES, [idle, useful], each(4), PATIENCE).order == ("useful",)


def test_causes_with_one_and_the_same_cure_need_not_be_told_apart():
    both = [Option("repair", "both", (1.0, 1.0, 0.0, 0.0))]
    apart = Evidence("apart", ((2.6, -2.6, 0.0, 0.0), (-2.6, 2.6, 0.0, 0.0)))
    assert plan_questions([0.5, 0.5, 0.0, 0.0], TITLES, [apart], both, PATIENCE).order == ()


def test_a_question_few_can_answer_gains_less():
    sharp = ((2.6, -2.6, 2.6, -2.6), (-2.6, 2.6, -2.6, 2.6))
    easy, hard = Evidence("easy", sharp), Evidence("hard", sharp, answerable=0.4)
    assert plan_questions([0.25] * 4, TITLES, [hard, easy], each(4), PATIENCE).order[0] == "easy"


def test_what_few_have_looked_at_is_asked_where_it_is_likely_to_be_the_matter():
    sharp = ((2.6, -2.6, 0.0, 0.0), (-2.6, 2.6, 0.0, 0.0))
    rarely = Evidence("rarely", sharp, answerable=0.1)
    where_it_is = replace(rarely, decides=frozenset({0, 1}))
    rare, seen = (
        plan_questions([0.4, 0.4, 0.1, 0.1], TITLES, [one], each(4), PATIENCE).gain for one in (rarely, where_it_is)
    )
    assert seen == pytest.approx(SEEN / 0.1 * rare)


def test_two_questions_that_decide_together_are_asked():
    """The trap of one-step rules (Gagnon and Esfandiari 2008): no answer changes which cause is likeliest."""
    first = Evidence("first", ((2.6, 2.6, -2.6, -2.6), (-2.6, -2.6, 2.6, 2.6)))
    second = Evidence("second", ((2.6, -2.6, 2.6, -2.6), (-2.6, 2.6, -2.6, 2.6)))
    assert plan_questions([0.45, 0.05, 0.05, 0.45], TITLES, [first, second], each(4), PATIENCE).order


def test_it_stops_when_no_answer_pays_its_price():
    weak = Evidence("weak", ((0.1, 0.0, 0.0, 0.0), (0.0, 0.1, 0.0, 0.0)))
    plan = plan_questions([0.4, 0.3, 0.2, 0.1], TITLES, [weak], each(4), PATIENCE)
    assert plan.order == ()
    assert plan.useful == ("weak",)
    assert say_plan(plan).startswith("No more questions: no answer is expected to change the list enough")


def test_it_stops_when_the_cause_is_as_good_as_sure():
    sharp = Evidence("sharp", ((2.6, -2.6), (-2.6, 2.6)))
    plan = plan_questions([0.97, 0.03], TITLES, [sharp], each(2), PATIENCE)
    assert plan.order == ()
    assert say_plan(plan) == "No more questions: the cause is as good as sure."


def test_it_says_what_a_question_gains_and_which_causes_it_tells_apart():
    sharp = Evidence("sharp", ((2.6, -2.6, 0.0), (-2.6, 2.6, 0.0)))
    plan = plan_questions([0.4, 0.4, 0.2], TITLES[:3], [sharp], each(3), PATIENCE)
    assert say_plan(plan).startswith("The next question is expected to make the list better by ")
    assert plan.tells_apart["sharp"] == ("a", "b")


def test_nothing_to_ask_is_said():
    plan = plan_questions([0.5, 0.5], TITLES, [], each(2), PATIENCE)
    assert say_plan(plan) == "No open question would tell the causes apart."


def test_the_car_is_left_alone_only_for_what_is_more_likely_than_not():
    look = Option("inspect", "look", (0.0, 0.0, 0.0), 0.01, ((0.9, 0.1, 0.1), (0.1, 0.9, 0.9)), frozenset({0}))
    leave = Option("leave", "leave", (0.9, 0.0, 0.0), 0.0, of=frozenset({0}))
    assert put_first([0.45, 0.3, 0.25], [look, leave], plain=1) is look
    assert put_first([0.6, 0.2, 0.2], [look, leave], plain=1) is leave


def test_where_nothing_is_decided_the_likeliest_causes_own_look_comes_before_one_for_anything():
    own = cure("own", 0.0, 0.0, 0.0, kind="inspect", of=[0], finds=((0.9, 0.1, 0.1, 0.1), (0.1, 0.9, 0.9, 0.9)))
    anything = cure("anything", 0.1, 0.1, 0.0, kind="inspect")
    assert put_in_order([0.15, 0.05, 0.2, 0.6], [anything, own], PLAIN)[0].id == "own"
    assert put_in_order([0.04, 0.04, 0.2, 0.72], [anything, own], PLAIN)[0].id == "anything"


@pytest.mark.parametrize(("plain", "first"), [(0.30, "look"), (0.50, "cross")])
def test_where_no_cause_is_named_and_plain_balance_is_unlikely_no_lever_comes_first(plain, first):
    rest = (0.9 - plain) / 4
    chances = [rest, rest, plain, rest, rest, 0.1]
    lever = Option("lever", "cross", (0.1, 0.1, 0.6, 0.1, 0.1, 0.0), 0.03)
    look = Option("inspect", "look", (0.3, 0.0, 0.0, 0.0, 0.0, 0.0), 0.03, of=frozenset({0}))
    assert put_in_order(chances, [lever, look], PLAIN)[0].id == first
