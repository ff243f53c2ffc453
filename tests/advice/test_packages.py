"""Packages: the search against trying everything, and what it takes for one to be shown."""

from dataclasses import replace
from itertools import combinations
from types import SimpleNamespace

import numpy as np
import pytest

from assistant.advice.packages import Moveable, Tried, add_best, choose
from assistant.belief.cures import Verdict, value_moves
from tests.advice.round_numbers import ranking, wanted_on_one_car

PRICE = 0.002


def problem(seed, levers=5):
    """Moves of a few levers with random effects on one car that is loose off the corner late; two are one family."""
    random = np.random.default_rng(seed)
    steps = np.array([-2, -1, 1, 2])
    lever = np.repeat(np.arange(levers), len(steps))
    slopes = random.normal(0.0, 0.2, (levers, 9))
    moved = np.tile(steps, levers)[:, None] * slopes[lever]
    family = np.array([0 if one < 2 else one for one in range(levers)])[lever]
    pick = np.tile(np.arange(len(steps)), levers)
    table = Moveable((), lever, pick, family, moved[..., None], PRICE * np.abs(np.tile(steps, levers)))
    return table, wanted_on_one_car({("exit", "worn"): -0.7, ("exit", "settled"): -0.3})


def try_everything(table, asked, size):
    """Every combination, one by one: the slow and plain way."""
    found = []
    for rows in combinations(range(len(table.lever)), size):
        if len(set(table.family[list(rows)].tolist())) < size:
            continue
        worth = float(value_moves(asked, table.moved[list(rows)].sum(axis=0)[None])[0])
        found.append((worth - table.price[list(rows)].sum(), rows))
    return sorted(found, reverse=True)


def singles(table):
    """Every move alone."""
    return {(row,): 0.0 for row in range(len(table.lever))}


@pytest.mark.parametrize("seed", range(6))
def test_the_best_pairs_are_those_that_trying_everything_finds(seed):
    table, asked = problem(seed)
    found = add_best(singles(table), table, asked, 10)
    slow = try_everything(table, asked, 2)[:10]
    worth = [float(value_moves(asked, table.moved[list(one)].sum(axis=0)[None])[0]) for one in found]
    worth = [value - table.price[list(one)].sum() for value, one in zip(worth, found, strict=True)]
    assert list(found.values()) == pytest.approx(worth)
    assert worth == pytest.approx([value for value, _ in slow], abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_a_third_lever_added_to_the_best_pairs_is_near_the_best_of_all_triples(seed):
    table, asked = problem(seed)
    pairs = add_best(singles(table), table, asked, 20)
    found = list(add_best(pairs, table, asked, 5))
    worth = (
        float(value_moves(asked, table.moved[list(found[0])].sum(axis=0)[None])[0]) - table.price[list(found[0])].sum()
    )
    assert worth >= try_everything(table, asked, 3)[0][0] - 0.1


def test_levers_of_one_family_are_never_put_together():
    table, asked = problem(1)
    for one in add_best(singles(table), table, asked, 500):
        assert len(set(table.family[list(one)].tolist())) == len(one)


def tried(gain, count):
    """One combination of so many levers, if there is one."""
    if gain is None:
        return []
    return [Tried(tuple((None, at) for at in range(count)), Verdict(gain + 0.1, 0.1, 0.5, 0.9, felt=True))]


@pytest.mark.parametrize(
    ("single", "pair", "triple", "shown"),
    [
        (0.5, 0.55, 0.56, []),  # not clearly better than one lever
        (0.5, 0.6, 0.62, [2]),  # the third lever adds too little
        (0.5, 0.6, 0.71, [3, 2]),
        (0.5, 0.55, 0.66, [3]),
        (0.5, 0.54, 0.57, []),
        (0.0, 0.4, None, [2]),
        (0.5, None, None, []),
    ],
)
def test_a_package_is_shown_only_when_it_clearly_earns_its_place(single, pair, triple, shown):
    job = SimpleNamespace(weights=ranking(package_must_beat=0.08, lever_must_add=0.1))
    assert [len(one.parts) for one in choose(tried(pair, 2), tried(triple, 3), single, job)] == shown


def test_a_move_of_a_lever_that_cannot_be_added_is_left_out():
    table, asked = problem(2)
    alone = replace(table, family=np.zeros_like(table.family))
    assert add_best({(0,): 0.0}, alone, asked, 5) == {}
