"""Drawing near what is known changes how many cars count, never what they say."""

import numpy as np
import pytest

from assistant.belief.aim import Aim, find_aim, find_lean, plain_aim
from assistant.belief.weigh import Equations, count_effective, normalize

DRAWN = 12
TO = np.zeros(DRAWN)
TO[:2] = 3.0, -2.0


def equations_of(off, value=9.0, doubt=1.0):
    cars = off.shape[1]
    base = (TO @ off)[:, None]
    return Equations(
        base,
        np.zeros((cars, 1, 2)),
        np.array([value]),
        np.array([doubt]),
        np.zeros((1, 0)),
        np.zeros(1, dtype=bool),
        np.zeros((cars, 1, 0)),
        np.zeros((0, 0)),
    )


def weigh_off(off, aims):
    logs = find_lean(off, aims) - 0.5 * (TO @ off - 9.0) ** 2
    return normalize(np.exp(logs - logs.max()))


def test_the_aim_finds_what_normal_numbers_say():
    off = np.random.default_rng(2).standard_normal((DRAWN, 4000))
    aim = find_aim(equations_of(off), off, np.ones(4000, dtype=bool))
    exact = TO * 9.0 / (TO @ TO + 1.0)
    np.testing.assert_allclose(aim.middle, exact, atol=0.05)


def test_numbers_the_evidence_says_nothing_of_keep_their_spread():
    off = np.random.default_rng(2).standard_normal((DRAWN, 4000))
    aim = find_aim(equations_of(off), off, np.ones(4000, dtype=bool))
    spread = aim.root @ aim.root.T
    np.testing.assert_allclose(spread[2:, 2:], np.eye(DRAWN - 2), atol=0.01)


def test_aimed_cars_say_the_same_and_more_of_them_count():
    draw = np.random.default_rng(7)
    plain = draw.standard_normal((DRAWN, 1500))
    aim = find_aim(equations_of(plain), plain, np.ones(1500, dtype=bool))
    aimed = aim.draw(draw.standard_normal((DRAWN, 1500)))
    both = np.concatenate([plain, aimed], axis=1)
    weights = weigh_off(both, [(plain_aim(DRAWN), 1500), (aim, 1500)])
    alone = weigh_off(plain, [(plain_aim(DRAWN), 1500)])
    exact = TO * 9.0 / (TO @ TO + 1.0)
    np.testing.assert_allclose(both @ weights, exact, atol=0.15)
    assert count_effective(weights) > 4.0 * count_effective(alone)


def test_without_evidence_aimed_cars_weigh_like_plain_ones():
    draw = np.random.default_rng(8)
    aim = Aim(np.full(3, 0.7), 0.9 * np.eye(3))
    off = np.concatenate([draw.standard_normal((3, 20_000)), aim.draw(draw.standard_normal((3, 20_000)))], axis=1)
    weights = normalize(np.exp(find_lean(off, [(plain_aim(3), 20_000), (aim, 20_000)])))
    assert off @ weights == pytest.approx(np.zeros(3), abs=0.02)
    assert (off**2) @ weights == pytest.approx(np.ones(3), abs=0.03)
