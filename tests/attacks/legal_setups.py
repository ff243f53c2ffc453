"""Random setups that the demo's rulebook allows, for tests that ask whether any of them makes nonsense."""

import random
from dataclasses import replace

from assistant.car.moves import setup_faults, with_value


def legal_setups(case, wanted, seed):
    """Draw setups: each lever at either end of its range as often as somewhere between; those that lift a wheel go."""
    chance = random.Random(seed)  # noqa: S311 - no secret
    found = []
    while len(found) < wanted:
        setup = case.setup
        for lever, limit in case.rulebook.limits.items():
            if lever in setup.values:
                setup = with_value(setup, lever, draw_value(limit, chance))
        if not list(setup_faults(replace(case, setup=setup), "trade")):
            found.append(setup)
    return found


def draw_value(limit, chance):
    if limit.parts:
        return chance.choice(limit.parts)
    steps = round((limit.high - limit.low) / limit.step)
    return limit.low + limit.step * chance.choice((0, steps, chance.randint(0, steps)))
