"""Packages: the exact search against plain enumeration, the bounded least squares against scipy."""

from dataclasses import replace
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import lsq_linear

from assistant.advice.package_search import (
    Combination,
    Member,
    choose_packages,
    fit_continuous,
    measure_gap,
    order_moves,
    price_again,
    search_packages,
    steps_of,
)
from assistant.advice.sizing import Moves
from assistant.advice.wanted import Wanted, measure_relief, miss

PLACES = tuple((None, phase, stage) for phase in ("entry", "middle", "exit") for stage in ("fresh", "settled", "worn"))
PRICE = 0.002


def wanted(change):
    change = np.array(change, dtype=float)
    reported = change != 0
    return Wanted(PLACES, change, np.where(reported, 1.0, 0.2), reported, ~reported, np.full(9, 0.1))


def member(number, slope, multiples=(-2, -1, 0, 1, 2), family=""):
    zero = multiples.index(0)
    steps = tuple(index - zero for index in range(len(multiples)))
    values = tuple(float(one) for one in multiples)
    return Member(
        Moves(f"lever {number}", 0.0, steps, values, values, "min", "max"), np.array(slope, dtype=float), family
    )


def random_problem(seed, count=6):
    random = np.random.default_rng(seed)
    change = np.where(random.random(9) < 0.4, random.normal(0, 0.6, 9), 0.0)
    change[8] = 0.7
    shelves = ((-2, -1, 0, 1, 2), (0, 1, 2.5, 3), (-4, -1.5, 0), (-1, 0, 1))
    members = [
        member(number, random.normal(0, 0.2, 9), shelves[number % 4], family="pair" if number < 2 else "")
        for number in range(count)
    ]
    return members, wanted(change)


def enumerate_all(members, asked, size):
    """Every combination, one by one: the slow and plain way."""
    best = []
    for group in combinations(range(len(members)), size):
        families = [members[index].family for index in group if members[index].family]
        if len(set(families)) < len(families):
            continue
        for picks in product(*(range(len(members[index].moves.steps)) for index in group)):
            chosen = list(zip(group, picks, strict=True))
            steps = [members[index].moves.steps[pick] for index, pick in chosen]
            if 0 in steps:
                continue
            effect = sum(members[index].moves.multiple[pick] * members[index].slope for index, pick in chosen)
            best.append((float(miss(asked, effect)) + PRICE * sum(map(abs, steps)), group, picks))
    return sorted(best)


@pytest.mark.parametrize("size", [1, 2, 3])
@pytest.mark.parametrize("seed", range(8))
def test_the_search_finds_what_trying_everything_finds_runners_up_included(seed, size):
    members, asked = random_problem(seed)
    found = search_packages(members, asked, size=size, step_price=PRICE, best=20)
    slow = enumerate_all(members, asked, size)[:20]
    assert [one.price for one in found] == pytest.approx([price for price, _, _ in slow], abs=1e-9)
    assert (found[0].members, found[0].picks) == slow[0][1:]


@settings(max_examples=60)
@given(st.integers(0, 10**6))
def test_bounded_least_squares_agrees_with_scipy(seed):
    random = np.random.default_rng(seed)
    slopes, asked = random.normal(0, 0.3, (3, 9)), wanted(random.normal(0, 1, 9))
    low, high = -random.uniform(0.1, 4, 3), random.uniform(0.1, 4, 3)
    root = np.sqrt(asked.weight)
    theirs = lsq_linear((slopes * root).T, asked.change * root, (low, high), method="bvls", tol=1e-12).x
    assert fit_continuous(slopes, low, high, asked) == pytest.approx(theirs, abs=1e-6)


@settings(max_examples=30)
@given(st.integers(0, 10**6))
def test_whole_steps_never_beat_fractions_of_the_same_steps(seed):
    members, asked = random_problem(seed, count=4)
    for one in search_packages(members, asked, size=3, step_price=PRICE, best=3):
        slopes = np.array([members[index].slope for index in one.members])
        low = np.array([min(members[index].moves.multiple) for index in one.members])
        high = np.array([max(members[index].moves.multiple) for index in one.members])
        relief, harm = measure_relief(asked, fit_continuous(slopes, low, high, asked) @ slopes)
        assert relief - harm >= one.gain - 1e-9
        assert measure_gap(one, members, asked) == pytest.approx(relief - harm - one.gain, abs=1e-9)


def test_no_complaint_needs_no_package():
    members, _ = random_problem(1)
    assert search_packages(members, wanted(np.zeros(9)), size=2, step_price=PRICE) == ()


def test_fewer_levers_than_the_size_give_no_package():
    members, asked = random_problem(1)
    assert search_packages(members[:2], asked, size=3, step_price=PRICE) == ()


def test_a_lever_that_cannot_move_is_never_in_a_package():
    members, asked = random_problem(2)
    members[3] = member(3, np.ones(9), multiples=(0,))
    found = search_packages(members, asked, size=2, step_price=PRICE, best=500)
    assert found
    assert all(3 not in one.members for one in found)


def test_the_full_model_and_the_run_price_a_combination_again():
    members, asked = random_problem(3)
    one = search_packages(members, asked, size=2, step_price=PRICE, best=1)[0]
    steps = sum(abs(count) for _, count in steps_of(one, members))
    perfect = price_again(one, asked.change, 0.05, members, asked, PRICE)
    assert (perfect.relief, perfect.harm) == pytest.approx((1.0, 0.0))
    assert perfect.price == pytest.approx(PRICE * steps + 0.05)
    assert (perfect.members, perfect.picks) == (one.members, one.picks)


def test_what_a_move_costs_over_the_run_is_part_of_its_price_in_the_search():
    asked = wanted([0, 0, 0, 0, 0, 0, 0, 0, 1.0])
    slope = np.eye(9)[8] * 0.5
    cheap, dear = member(0, slope), member(1, slope * 1.01)
    dear = replace(dear, run=tuple(0.1 * abs(steps) for steps in dear.moves.steps))
    assert search_packages([cheap, dear], asked, size=1, step_price=0.0)[0].members == (0,)


def combination(gain, count, price=None):
    price = 1 - gain if price is None else price
    return Combination(tuple(range(count)), (0,) * count, price, np.zeros(9), gain + 0.1, 0.1)


def chosen(single, pair, triple, **prices):
    levels = [
        [combination(gain, count, prices.get(f"price_{count}"))] if gain is not None else []
        for count, gain in ((1, single), (2, pair), (3, triple))
    ]
    return [len(one.members) for one in choose_packages(levels, single or 0.0, must_beat=0.08, must_add=0.05)]


@pytest.mark.parametrize(
    ("single", "pair", "triple", "shown"),
    [
        (0.5, 0.55, 0.56, []),  # not clearly better than one lever
        (0.5, 0.6, 0.62, [2]),  # the third lever adds too little
        (0.5, 0.6, 0.7, [3, 2]),
        (0.5, 0.55, 0.61, [3]),
        (0.5, 0.54, 0.57, []),
        (None, 0.4, None, [2]),
        (0.5, None, None, []),
    ],
)
def test_a_package_is_shown_only_when_it_clearly_earns_its_place(single, pair, triple, shown):
    assert chosen(single, pair, triple) == shown


def test_a_package_whose_uncertainty_costs_more_than_it_gains_is_not_shown():
    assert chosen(0.5, 0.7, 0.8, price_1=0.3, price_2=0.31, price_3=0.32) == []


def test_uncertain_effects_make_the_search_prefer_the_surer_lever():
    asked = wanted([0, 0, 0, 0, 0, 0, 0, 0, 1.0])
    slope = np.eye(9)[8] * 0.5
    sure, unsure = member(0, slope), member(1, slope * 1.01)
    unsure = replace(unsure, risk=tuple(0.1 * steps**2 for steps in unsure.moves.steps))
    assert search_packages([sure, unsure], asked, size=1, step_price=0.0)[0].members == (0,)


def test_the_order_keeps_the_car_as_good_as_can_be_between_the_changes():
    asked = wanted([0, 0, 0, 0, 0, 0, 0, 0, 1.0])
    useful, repair = np.zeros(9), np.zeros(9)
    useful[8], useful[0], repair[0] = 0.8, 0.5, -0.5
    assert order_moves(np.array([repair, useful]), asked) == (1, 0)
