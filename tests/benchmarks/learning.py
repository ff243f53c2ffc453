"""Learning from what changes did: how many trials until the car is right, with it and without, on cars with other laws.

A hidden car answers wedge by a law of its own, not by our equations: its gain is the model's usual one times a factor
of that car (log sd 0.6), it grows weaker the further it is turned, the driver is off by 0.15 %, and one trial in ten is
wild (traffic: 0.6 %). After a change he says in a word what it did; in the second study he also says how bad the car is
now, in whole severities. What is believed, what is left and how far wedge is moved is the program's own, but that there
is nothing else to spoil: such a car has one cell. Without learning only what is said of the car as it is now counts,
what is left of a complaint as if he had said so. Where nothing is complained of, the run is driven again.
Aim: trials until he is within 0.2 % of neutral, five at most. Data: seeded cars, the same for both. Estimands: trials,
cars that need fewer and more of them, effects in their band, the share of the complaint that the first size leaves.
With 48 cars a mean of trials is good to 0.2. `LEARNING_SEED` draws other cars, `LEARNING_CARS` more of them.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, field, replace
from functools import cache, partial
from statistics import fmean, median

import numpy as np

from assistant.advice.sizing import Fitted, Job, fit_lever
from assistant.belief.believe import Belief
from assistant.belief.cures import want
from assistant.belief.driven import moved_from
from assistant.belief.felt import Felt, felt_of, left_of
from assistant.belief.garage import Garage
from assistant.belief.known import SIZE
from assistant.belief.picture import Told, believe_told
from assistant.car.case import Case, Setup
from assistant.car.files import read_case
from assistant.car.moves import with_step
from assistant.diagnosis.verdict import ChangeWord, verdict_of
from assistant.ground.understood import Cell, Complaint
from assistant.rules.knowledge import Knowledge
from assistant.rules.pack import base_folder, load_packs
from tests.benchmarks.figures import Figure

CARS, SEED = int(os.environ.get("LEARNING_CARS", "48")), int(os.environ.get("LEARNING_SEED", "20"))
TRIALS, LEVER = 5, "cross_weight"
QUANTITY, STAGE = "balance exit", "worn"
GAIN_OFF, SOFTER, DRIVER_OFF, WILD, WILD_OFF = 0.6, 0.02, 0.15, 0.1, 0.6
RIGHT = 0.2
"""Balance [%] from neutral within which the car is right."""
ALONE = {"reported": 1.0, "fine": 0.0, "unmentioned": 0.0}
"""What getting worse counts: such a car has no other cell."""
WORDS = tuple(
    verdict_of(name)
    for name in ("much worse", "worse", "same", "a little better", "half", "much better", "fixed", "overdone")
)


@dataclass
class HiddenCar:
    """A car with a law of its own. balance [%]: as it stood at first. gain: percent for each step of wedge.

    tells: after a change its driver also says how bad it is now.
    """

    balance: float
    gain: float
    draw: np.random.Generator
    tells: bool = False

    def at(self, steps: int) -> float:
        """Balance with so many steps of wedge."""
        return self.balance + self.gain * steps * (1.0 - SOFTER * abs(steps))

    def felt_at(self, steps: int) -> float:
        """Balance as the driver feels it in a run."""
        wild = WILD_OFF * self.draw.standard_normal() if self.draw.random() < WILD else 0.0
        return self.at(steps) + wild + DRIVER_OFF * self.draw.standard_normal()


@dataclass
class Talk:
    """What was told of one car and felt of its changes. learns: what was said before and felt counts too."""

    learns: bool
    told: list[Told]
    felt: list[Felt] = field(default_factory=list)
    steps: int = 0

    @property
    def complaint(self) -> Complaint:
        """What is complained of now."""
        return self.told[-1].complaint

    def believe(self) -> Belief:
        """Believe what counts, with the setup that is on the car."""
        told, felt = (self.told, self.felt) if self.learns else (self.told[-1:], [])
        return believe_told(case_at(self.steps), told, bench()[1], felt)

    def hear(self, before: float, after: float, moved: int, *, tells: bool) -> None:
        """Take in what the driver says after a run, with the wedge moved by so many steps before it."""
        if not moved:
            self.told[-1] = Told(setup_at(self.steps), said(after))
            return
        was, word, self.steps = self.complaint, word_for(before, after), self.steps + moved
        left = Complaint(f"{word.id} {len(self.felt)}", left_of(was.cells, word.share))
        self.felt.append(felt_of(was.cells, self.told[-1].setup, setup_at(self.steps), word.share, word.off))
        self.told.append(Told(setup_at(self.steps), said(after) if tells else left))


@dataclass
class Trials:
    """What came of one car: trials until it was right, which effects lay in their band, what the first size left."""

    count: int
    inside: list[bool]
    first_left: float


@cache
def bench() -> tuple[Case, Garage, Knowledge]:
    """The demo, its plausible cars, and the base rules."""
    case = read_case("demo")
    return case, Garage(case), load_packs([base_folder()])


@cache
def setup_at(steps: int) -> Setup:
    """The setup with so many steps of wedge."""
    case = bench()[0]
    return with_step(case.setup, case.rulebook, case.car, LEVER, steps)[0]


def case_at(steps: int) -> Case:
    """The case with so many steps of wedge."""
    return replace(bench()[0], setup=setup_at(steps))


def usual_gain() -> float:
    """What a step of wedge is computed to do on the mean of the plausible cars [%]."""
    belief = Talk(learns=False, told=[Told(setup_at(0), said(-0.8))]).believe()
    return belief.mean(belief.compute_all([moved_from(setup_at(0), setup_at(1))])[0].read(QUANTITY, STAGE))


def said(balance: float) -> Complaint:
    """What the driver says of a balance: a whole severity."""
    severity = min(SIZE, key=lambda one: abs(SIZE[one] - abs(balance)))
    words = "fine" if abs(balance) < 0.1 else "tight" if balance > 0.0 else "loose"
    return Complaint(f"{words} {balance}", (Cell("exit", STAGE, words, float(severity), severity_given=True),))


def word_for(before: float, after: float) -> ChangeWord:
    """The word nearest to what went of a complaint."""
    return min(WORDS, key=lambda one: abs(one.share - (before - after) / before))


def fit_wedge(talk: Talk) -> tuple[Belief, Fitted | None]:
    """How far the program moves wedge for what is complained of; None where nothing is, or nothing may be said."""
    knowledge, belief = bench()[2], talk.believe()
    wanted = want(belief, talk.complaint, ALONE)
    job = Job(case_at(talk.steps), knowledge, belief, knowledge.weights, wanted)
    return belief, fit_lever(LEVER, job) if wanted.asks else None


def try_out(car: HiddenCar, *, learns: bool) -> Trials:
    """Change a car until it is right."""
    feels, inside, first_left = car.felt_at(0), list[bool](), 1.0
    talk = Talk(learns, [Told(setup_at(0), said(feels))])
    for trial in range(1, TRIALS + 1):
        belief, fitted = fit_wedge(talk)
        moved = 0 if fitted is None else fitted.sized.steps
        if fitted is not None and moved:
            shown = belief.show(fitted.effect.read(QUANTITY, STAGE))
            inside.append(shown.low <= car.at(talk.steps + moved) - car.at(talk.steps) <= shown.high)
        stands = car.at(talk.steps + moved)
        first_left = stands / car.balance if trial == 1 else first_left
        if abs(stands) <= RIGHT:
            return Trials(trial, inside, first_left)
        before, feels = feels, car.felt_at(talk.steps + moved)
        talk.hear(before, feels, moved, tells=car.tells)
    return Trials(TRIALS + 1, inside, first_left)


@cache
def played(*, tells: bool) -> tuple[list[Trials], list[Trials]]:
    """Every hidden car changed without learning and with it, by the same draws."""
    usual, draw = usual_gain(), np.random.default_rng(SEED)
    laws = [(-draw.uniform(0.5, 1.6), usual * float(np.exp(GAIN_OFF * draw.standard_normal()))) for _ in range(CARS)]
    without, learning = (
        [
            try_out(HiddenCar(*law, np.random.default_rng([SEED, at]), tells), learns=learns)
            for at, law in enumerate(laws)
        ]
        for learns in (False, True)
    )
    return without, learning


def mean_trials(at: int, *, tells: bool) -> float:
    """Mean number of trials; six where the car was not right after five."""
    return fmean(one.count for one in played(tells=tells)[at])


def unfinished(at: int, *, tells: bool) -> float:
    """Share of the cars that are not right after five trials, in percent."""
    return 100.0 * fmean(one.count > TRIALS for one in played(tells=tells)[at])


def coverage(at: int, *, tells: bool) -> float:
    """Share of the changes whose true effect lay in the band of eight cars in ten, in percent."""
    return 100.0 * fmean(inside for one in played(tells=tells)[at] for inside in one.inside)


def changed(way: int, *, tells: bool) -> float:
    """Share of the cars that need fewer trials with learning (-1) or more (1), in percent."""
    pairs = zip(*played(tells=tells), strict=True)
    return 100.0 * fmean(np.sign(learning.count - without.count) == way for without, learning in pairs)


def first_left() -> float:
    """What the first size leaves of the complaint, median of the cars, in percent."""
    return 100.0 * median(one.first_left for one in played(tells=False)[0])


def figures_of(study: str, *, tells: bool) -> tuple[Figure, ...]:
    """The figures of one study."""
    both = [
        Figure(f"{study}: {name}, {how}", unit, partial(measure, at, tells=tells))
        for name, unit, measure in (
            ("trials to target", "", mean_trials),
            ("not right after five", "%", unfinished),
            ("effects in their band of 80", "%", coverage),
        )
        for at, how in enumerate(("without", "with"))
    ]
    fewer, more = (
        Figure(f"{study}: cars that need {name} trials", "%", partial(changed, way, tells=tells))
        for name, way in (("fewer", -1), ("more", 1))
    )
    return (*both, fewer, more)


FIGURES = (
    *figures_of("learning, a word", tells=False),
    *figures_of("learning, how bad too", tells=True),
    Figure("learning: what the first size leaves", "%", first_left),
)
