"""Laws: each law of the tire taken back to what it was before, and what the story of the demo then comes to.

How a lap is driven through its stations, and that grip is trimmed and not the demand, are no numbers to take back.
"""

from __future__ import annotations

from collections.abc import Mapping
from unittest.mock import patch

import numpy as np

from assistant.belief import driven
from assistant.belief.believe import Belief, weigh_belief
from assistant.belief.garage import Garage
from assistant.belief.known import Known, usual_rows
from assistant.belief.model import case_numbers
from assistant.car.case import Case
from assistant.physics.car_and_driver import Numbers
from tests.belief.felt import size_of
from tests.belief.order import ASKED, CONFIRMED, judge_order, told

LAWS: Mapping[str, Mapping[str, float]] = {
    "as they are": {},
    "free rolling radii": {"rolling_share": 0.0},
    "no heat to the road": {"road_cooling": 0.0},
    "wear in step with slip": {"wear_exponent": 1.0},
    "no age": {"aged_grip": 0.0},
    "one lump of rubber": {"skin_capacity": 60.0, "skin_conductance": 1200.0},
}
"""What each takes back: numbers of the model."""
LATE = 0.4
"""Balance [%] by which a car goes looser off late to do the story."""
SHOWN = ("cross_weight", "spring_rr", "stagger")


def prove_laws(case: Case, size: int = 128) -> list[str]:
    """Drive, weigh and ask cars under each law."""
    return [prove_law(name, numbers, case, size) for name, numbers in LAWS.items()]


def prove_law(name: str, instead: Mapping[str, float], case: Case, size: int) -> str:
    """Say what one law comes to."""

    def numbers_of(case: Case) -> Numbers:
        return case_numbers(case) | {number: np.array([value]) for number, value in instead.items()}

    with patch.object(driven, "case_numbers", numbers_of):
        garage = Garage(case, size=size, more=size // 2)
        return f"  {name}: {say_drift(garage)}; {say_order(told(case, garage), case)}"


def say_drift(garage: Garage) -> str:
    """Say how far cars drift off the corner before a word."""
    before = weigh_belief(garage, Known(usual_rows()), "")
    drift = before.read("balance exit", "worn") - before.read("balance exit", "fresh")
    mean = before.mean(drift)
    late = before.mean((drift <= -LATE).astype(float))
    return (
        f"drift off {mean:+.2f} +- {before.mean((drift - mean) ** 2) ** 0.5:.2f} %, {late:.2f} of the cars late loose"
    )


def say_order(belief: Belief, case: Case) -> str:
    """Say how many levers are confirmed for the story, which comes first, and what one step of some does."""
    found = judge_order(belief, case, ASKED)
    first = max(found, key=lambda row: row[0])[1]
    confirmed = sum(row[3] >= CONFIRMED for row in found)
    steps = [
        f"{lever} {belief.mean(belief.move(size_of(case, lever)).read('balance exit', 'worn')):+.2f}" for lever in SHOWN
    ]
    return f"{belief.fit.plain:.0f} of {belief.cars} count; {confirmed} confirmed, first {first}; {', '.join(steps)}"
