"""Which question next: against brute force, the two published traps, and the stop rule."""

from __future__ import annotations

from math import exp, log2

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.diagnosis.plan import (
    ENOUGH,
    Evidence,
    Patience,
    answer_chances,
    bits_left,
    least_questions,
    plan_questions,
    split_gain,
)
from assistant.pages.hearing_words import say_plan

PATIENCE = Patience(question=0.02, growth=0.01, minute=0.004, topic=0.01, unsure=0.1)
TITLES = ["a", "b", "c", "d", "e"]


def best_by_brute_force(chances, evidence):
    """The worth of the best plan, written as plainly as possible and without memory."""

    def best(shares, rest, asked=0):
        worth = max(shares)
        if max(shares) < ENOUGH * sum(shares):
            for at, one in enumerate(rest):
                left = rest[:at] + rest[at + 1 :]
                price = PATIENCE.question + asked * PATIENCE.growth
                total = -price * sum(shares) + best([PATIENCE.unsure * share for share in shares], left, asked + 1)
                for row in range(len(one.swings)):
                    likely = [answer_chances(one, cause, PATIENCE.unsure)[row] for cause in range(len(shares))]
                    after = [share * chance for share, chance in zip(shares, likely, strict=True)]
                    total += best(after, left, asked + 1)
                worth = max(worth, total)
        return worth

    return best(list(chances), list(evidence))


swing = st.sampled_from([-1.7, -0.7, 0.0, 0.7, 1.7])


@given(
    st.lists(st.floats(0.05, 1.0), min_size=3, max_size=3),
    st.lists(st.lists(st.tuples(swing, swing, swing), min_size=2, max_size=2), min_size=1, max_size=3),
)
@settings(max_examples=60, deadline=None)
def test_the_plan_is_the_exact_optimum_when_few_questions_are_open(weights, rows):
    chances = [weight / sum(weights) for weight in weights]
    evidence = [Evidence(f"q{at}", "t", tuple(swings)) for at, swings in enumerate(rows)]
    plan = plan_questions(chances, TITLES, evidence, PATIENCE)
    worth = best_by_brute_force(chances, evidence)
    assert plan.exact
    if plan.order:
        assert max(chances) + plan.gain == pytest.approx(worth)
    else:
        assert worth == pytest.approx(max(chances)) or max(chances) >= ENOUGH


def test_answers_under_a_cause_and_not_sure_make_one():
    one = Evidence("q", "t", ((1.7, 0.0), (-1.7, 0.0), (0.0, 0.0)))
    for cause in (0, 1):
        assert sum(answer_chances(one, cause, 0.1)) == pytest.approx(0.9)
    assert answer_chances(one, 0, 0.1)[0] / answer_chances(one, 0, 0.1)[1] == pytest.approx(exp(3.4))


def test_the_question_that_tells_causes_apart_comes_before_one_that_does_not():
    useful = Evidence("useful", "t", ((1.7, -1.7), (-1.7, 1.7)))
    idle = Evidence("idle", "t", ((0.7, 0.7), (0.0, 0.0)))
    assert split_gain([0.5, 0.5], useful, 0.1) > 0.1
    assert split_gain([0.5, 0.5], idle, 0.1) == pytest.approx(0.0)
    assert plan_questions([0.5, 0.5], TITLES, [idle, useful], PATIENCE).order == ("useful",)


def pair_useless_alone():
    """Four causes; the answers pair them so that one question alone never changes which is likeliest.

    The trap of one-step rules (Gagnon and Esfandiari 2008; Golovin, Krause and Ray 2010): only together do they decide.
    """
    first = Evidence("first", "t", ((2.6, 2.6, -2.6, -2.6), (-2.6, -2.6, 2.6, 2.6)))
    second = Evidence("second", "t", ((2.6, -2.6, 2.6, -2.6), (-2.6, 2.6, -2.6, 2.6)))
    return [0.45, 0.05, 0.05, 0.45], [first, second]


def test_two_questions_that_only_decide_together_are_asked():
    chances, evidence = pair_useless_alone()
    plan = plan_questions(chances, TITLES, evidence, PATIENCE)
    assert plan.order
    assert plan.gain > 0.3


def test_a_question_worthless_alone_is_still_asked_for_the_next_one():
    gate = Evidence("gate", "t", ((0.9, 0.9, -0.9), (-0.9, -0.9, 0.9)))
    sharp = Evidence("sharp", "t", ((2.6, -2.6, 0.0), (-2.6, 2.6, 0.0)))
    plan = plan_questions([0.3, 0.3, 0.4], TITLES, [gate, sharp], PATIENCE)
    both = plan.gain
    alone = plan_questions([0.3, 0.3, 0.4], TITLES, [sharp], PATIENCE).gain
    assert both > alone + 0.05


def test_it_stops_when_no_plan_pays_its_price():
    weak = Evidence("weak", "t", ((0.2, 0.0), (0.0, 0.2)))
    plan = plan_questions([0.7, 0.3], TITLES, [weak], PATIENCE)
    assert plan.order == ()
    assert plan.useful == ("weak",)
    assert say_plan(plan) == "No more questions: no plan of further questions is expected to pay its price."


def test_it_stops_when_the_cause_is_as_good_as_sure():
    sharp = Evidence("sharp", "t", ((2.6, -2.6), (-2.6, 2.6)))
    plan = plan_questions([0.97, 0.03], TITLES, [sharp], PATIENCE)
    assert plan.order == ()
    assert say_plan(plan) == "No more questions: the cause is as good as sure."


def test_a_question_that_takes_long_at_the_track_must_gain_more():
    def one(minutes):
        return Evidence("q", "t", ((0.9, -0.9), (-0.9, 0.9)), minutes=minutes)

    assert plan_questions([0.5, 0.5], TITLES, [one(0)], PATIENCE).order == ("q",)
    assert plan_questions([0.5, 0.5], TITLES, [one(200)], PATIENCE).order == ()


def test_a_topic_is_finished_first_unless_that_costs_too_much():
    same = Evidence("same", "feel", ((1.70, -1.70), (-1.70, 1.70)))
    better = Evidence("better", "track", ((1.72, -1.72), (-1.72, 1.72)))
    best = Evidence("best", "track", ((3.5, -3.5), (-3.5, 3.5)))
    assert plan_questions([0.5, 0.5], TITLES, [same, better], PATIENCE).order[0] == "better"
    assert plan_questions([0.5, 0.5], TITLES, [same, better], PATIENCE, topic="feel").order[0] == "same"
    assert plan_questions([0.5, 0.5], TITLES, [same, best], PATIENCE, topic="feel").order[0] == "best"


def test_many_open_questions_are_looked_at_two_deep():
    evidence = [
        Evidence(f"q{at}", "t", tuple(rows))
        for at, rows in enumerate([[(1.7, 0, 0, 0), (0, 1.7, 0, 0), (0, 0, 1.7, 0)]] * 12)
    ]
    plan = plan_questions([0.25] * 4, TITLES, evidence, PATIENCE)
    assert not plan.exact
    assert plan.order
    assert "looking two questions ahead" in say_plan(plan)


def test_it_says_how_many_questions_and_which_causes_each_tells_apart():
    sharp = Evidence("sharp", "t", ((2.6, -2.6), (-2.6, 2.6)))
    plan = plan_questions([0.5, 0.5], TITLES, [sharp], PATIENCE)
    assert plan.expected == pytest.approx(1.0)
    assert say_plan(plan).startswith("The best plan from here asks about 1.0 more questions (worked out to the end)")
    assert plan.tells_apart["sharp"] == ("a", "b")


def test_nothing_to_ask_is_said():
    assert say_plan(plan_questions([0.5, 0.5], TITLES, [], PATIENCE)) == "No open question would tell the causes apart."


def test_bits_and_the_floor_of_questions():
    assert bits_left([0.125] * 8) == pytest.approx(3.0)
    # 3 bits through answers of which one in ten is wrong: 3 / (1 - h(0.1)), h by hand
    noise = -(0.1 * log2(0.1) + 0.9 * log2(0.9))
    assert least_questions([0.125] * 8) == pytest.approx(3 / (1 - noise))
    assert least_questions([0.125] * 8) == pytest.approx(5.65, abs=0.01)
