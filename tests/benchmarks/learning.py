"""Learning from what changes did: how many trials until the car is right, with it and without, on cars with other laws.

A hidden car answers wedge by a law of its own, not by our equations: its gain is the model's usual one times a factor
of that car (log sd 0.6), it grows weaker the further it is turned, the driver is off by 0.15 %, and one trial in ten is
wild (traffic: 0.6 %). He complains in whole severities and says what a change did in a word. Each trial takes the
number of steps that is best for the believed cars. Without learning only the words about the car as it is now count.
Aim: trials until he is within 0.2 % of neutral, five at most. Data: seeded cars, the same for both. Estimands: trials,
cars that need fewer and more of them, effects in their band. With 48 cars a mean of trials is good to 0.2.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from statistics import fmean

import numpy as np

from assistant.belief.believe import Belief, believe
from assistant.belief.cures import LEAST
from assistant.belief.driven import moved_from
from assistant.belief.felt import Felt, felt_of, left_of
from assistant.belief.garage import Garage
from assistant.belief.known import SIZE
from assistant.belief.picture import Told, gather
from assistant.car.case import Case, Setup
from assistant.car.files import read_case
from assistant.car.moves import with_step
from assistant.diagnosis.verdict import ChangeWord, verdict_of
from assistant.ground.understood import Cell, Complaint
from tests.benchmarks.figures import Figure

CARS, TRIALS, SEED, PLAUSIBLE = 48, 5, 20, 96
LEVER, MOST_STEPS = "cross_weight", 12
QUANTITY, STAGE = "balance exit", "worn"
GAIN_OFF, SOFTER, DRIVER_OFF, WILD, WILD_OFF = 0.6, 0.02, 0.15, 0.1, 0.6
RIGHT = 0.2
"""Balance [%] from neutral within which the car is right."""
WORDS = tuple(
    verdict_of(name)
    for name in ("much worse", "worse", "same", "a little better", "half", "much better", "fixed", "overdone")
)


@dataclass
class HiddenCar:
    """A car with a law of its own. balance [%]: as it stood at first. gain: percent for each step of wedge."""

    balance: float
    gain: float
    draw: np.random.Generator

    def at(self, steps: int) -> float:
        """Balance with so many steps of wedge."""
        return self.balance + self.gain * steps * (1.0 - SOFTER * abs(steps))

    def felt_at(self, steps: int) -> float:
        """Balance as the driver feels it in a run."""
        wild = WILD_OFF * self.draw.standard_normal() if self.draw.random() < WILD else 0.0
        return self.at(steps) + wild + DRIVER_OFF * self.draw.standard_normal()


@dataclass
class Trials:
    """What came of one car: trials until it was right, how far off at the end, and which steps fell into their band."""

    count: int
    left: float
    inside: list[bool]


@cache
def bench() -> tuple[Case, Garage, float]:
    """The demo, its plausible cars, and what a step of wedge usually does to them [%]."""
    case = read_case("demo")
    garage = Garage(case, size=PLAUSIBLE)
    usual = believe(case, gather(case, [Told(case.setup, said(-0.8))], case.setup, (), case.setup)[0], garage, most=0)
    return case, garage, usual.mean(step_of(usual))


def step_of(belief: Belief) -> np.ndarray:
    """What one step of wedge does to every car, from the case's setup [%]: an effect is nearly straight."""
    case = belief.garage.case
    after, _ = with_step(case.setup, case.rulebook, case.car, LEVER, 4)
    return belief.garage.move(moved_from(case.setup, after)).first(belief.cars).read(QUANTITY, STAGE) / 4


def said(balance: float) -> Complaint:
    """What the driver says of a balance: a whole severity."""
    severity = min(SIZE, key=lambda one: abs(SIZE[one] - abs(balance)))
    words = "fine" if abs(balance) < 0.1 else "tight" if balance > 0.0 else "loose"
    return Complaint(f"{words} {balance}", (Cell("exit", STAGE, words, float(severity), severity_given=True),))


def word_for(before: float, after: float) -> ChangeWord:
    """The word nearest to what went of a complaint."""
    return min(WORDS, key=lambda one: abs(one.share - (before - after) / before))


def setup_at(case: Case, steps: int) -> Setup:
    """The setup with so many steps of wedge."""
    return with_step(case.setup, case.rulebook, case.car, LEVER, steps)[0]


def share_removed(stands: np.ndarray, moved: np.ndarray) -> np.ndarray:
    """Share of what is left that goes, on each car, 0 to 1; what overshoots counts as left."""
    size = np.abs(stands)
    return np.clip((size - np.abs(stands + moved)) / np.maximum(size, LEAST), 0.0, 1.0)


def best_step(belief: Belief) -> tuple[int, np.ndarray]:
    """The number of steps that removes most of what is believed to be left, and what one does to every car."""
    stands, step = belief.read(QUANTITY, STAGE), step_of(belief)
    chances = {count: belief.mean(share_removed(stands, count * step)) for count in range(-MOST_STEPS, MOST_STEPS + 1)}
    return max(chances, key=lambda count: (chances[count], -abs(count))), step


def believe_in(told: list[Told], felt: list[Felt], setup: Setup) -> Belief:
    """Believe what was told and felt, with this setup on the car."""
    case, garage, _ = bench()
    known, now = gather(replace(case, setup=setup), told, case.setup, felt, setup)
    return believe(case, known, garage, now, most=0)


def try_out(car: HiddenCar, *, learns: bool) -> Trials:
    """Change a car until it is right."""
    case, inside, steps = bench()[0], [], 0
    feels = car.felt_at(0)
    told, felt = [Told(case.setup, said(feels))], list[Felt]()
    for trial in range(1, TRIALS + 1):
        setup = setup_at(case, steps)
        belief = believe_in(told if learns else told[-1:], felt if learns else [], setup)
        count, step = best_step(belief)
        shown, truth = belief.show(count * step), car.at(steps + count) - car.at(steps)
        inside += [shown.low <= truth <= shown.high] if count else []
        before, feels, steps = feels, car.felt_at(steps + count), steps + count
        after = setup_at(case, steps)
        if abs(car.at(steps)) <= RIGHT:
            return Trials(trial, abs(car.at(steps)), inside)
        cells = told[-1].complaint.cells
        if learns and count and cells[0].balance != "fine":
            word = word_for(before, feels)
            felt.append(felt_of(cells, setup, after, word.share, word.off))
            told.append(Told(after, Complaint(f"{word.id} {trial}", left_of(cells, word.share))))
        else:
            told.append(Told(after, said(feels)))
    return Trials(TRIALS + 1, abs(car.at(steps)), inside)


@cache
def played() -> tuple[list[Trials], list[Trials]]:
    """Every hidden car changed without learning and with it, by the same draws."""
    usual, draw = bench()[2], np.random.default_rng(SEED)
    laws = [(-draw.uniform(0.5, 1.6), usual * float(np.exp(GAIN_OFF * draw.standard_normal()))) for _ in range(CARS)]
    without, learning = (
        [try_out(HiddenCar(*law, np.random.default_rng(at)), learns=learns) for at, law in enumerate(laws)]
        for learns in (False, True)
    )
    return without, learning


def mean_trials(at: int) -> float:
    """Mean number of trials; six where the car was not right after five."""
    return fmean(one.count for one in played()[at])


def coverage(at: int) -> float:
    """Share of the changes whose true effect lay in the band of eight cars in ten, in percent."""
    return 100.0 * fmean(inside for one in played()[at] for inside in one.inside)


def harmed() -> float:
    """Share of the cars that needed more trials with learning, in percent."""
    return 100.0 * fmean(with_it.count > without.count for without, with_it in zip(*played(), strict=True))


def helped() -> float:
    """Share of the cars that needed fewer trials with learning, in percent."""
    return 100.0 * fmean(with_it.count < without.count for without, with_it in zip(*played(), strict=True))


def unfinished(at: int) -> float:
    """Share of the cars that are not right after five trials, in percent."""
    return 100.0 * fmean(one.count > TRIALS for one in played()[at])


FIGURES = (
    Figure("learning: trials to target without", "", lambda: mean_trials(0)),
    Figure("learning: trials to target with", "", lambda: mean_trials(1)),
    Figure("learning: not right after five, without", "%", lambda: unfinished(0)),
    Figure("learning: not right after five, with", "%", lambda: unfinished(1)),
    Figure("learning: cars that need fewer trials", "%", helped),
    Figure("learning: cars that need more trials", "%", harmed),
    Figure("learning: effects in their band of 80, without", "%", lambda: coverage(0)),
    Figure("learning: effects in their band of 80, with", "%", lambda: coverage(1)),
)
