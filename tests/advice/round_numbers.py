"""Round numbers for tests of the advice: a hundred made-up cars on which every lever does what is written here.

Sizes are the orientation numbers of our own model review (percent of grip, entry / middle / exit), flat over the run.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from types import SimpleNamespace

import numpy as np

from assistant.advice.results import Certainty, Factor, Listing, Remedy
from assistant.belief.believe import Belief
from assistant.belief.cures import Wanted
from assistant.belief.driven import Effect, quantity_names
from assistant.belief.effects import effect_table
from assistant.belief.known import Known, rows_of_complaint
from assistant.diagnosis.session import start
from assistant.ground.names import PHASES, STAGES, Grid
from assistant.ground.understood import Complaint
from assistant.rules.pack import load_packs

ENDS = ("turns 1-2", "turns 3-4")
IN = 0.0254
LB_IN = 175.12683524647636
PSI = 6894.757293
DEG = 0.017453292519943295

# lever: (what one + step is [SI], effect of that step in entry, middle, exit [%])
STEPS = {
    "cross_weight": (0.0025, (0.085, 0.11, 0.18)),
    "spring_rr": (25 * LB_IN, (-0.19, -0.27, -0.46)),
    "spring_lr": (25 * LB_IN, (0.09, 0.03, 0.02)),
    "spring_rf": (25 * LB_IN, (0.02, 0.04, 0.085)),
    "front_bar": (0.125 * IN, (0.1, 0.2, 0.64)),
    "track_bar": (0.25 * IN, (-0.125, -0.17, -0.25)),
    "track_bar_right": (0.25 * IN, (-0.07, -0.09, -0.13)),
    "track_bar_left": (0.25 * IN, (-0.055, -0.08, -0.12)),
    "stagger": (0.125 * IN, (-0.38, -0.415, -0.485)),
    "pressure_rr": (0.5 * PSI, (-0.12, -0.125, -0.13)),
    "camber_rf": (0.25 * DEG, (-0.095, -0.165, -0.18)),
    "brake_bias": (0.01, (0.175, 0.0, 0.0)),
}


def grid(entry, middle, exit_):
    return Grid.level(dict(zip(PHASES, (entry, middle, exit_), strict=True)))


CARS, LAPS = 100, 80
"""Made-up cars, all of the same weight, and the laps of the small case."""
SHUFFLED = np.random.default_rng(7).permutation(CARS)
SIZES = np.linspace(0.8, 1.2, CARS)
"""How large the complaint is on each car, of what was said."""


@dataclass(frozen=True)
class Made:
    """What one + step of a lever does, made up. row: percent of balance; band: how far the cars are apart, as a share.

    sure: share of cars on which the sign holds. wear: laps the right rear loses, seconds a lap on top.
    """

    row: Grid
    step: float = 1.0
    band: float = 0.4
    sure: float = 1.0
    wear: float = 0.0
    pace: float = 0.0

    @property
    def factor(self):
        """What the effect is on each car, of the row."""
        factor = 1.0 + self.band * np.linspace(-1.0, 1.0, CARS)
        factor[: round((1.0 - self.sure) * CARS)] *= -1.0
        return factor[SHUFFLED]


@dataclass(frozen=True, eq=False)
class MadeEffect(Effect):
    """Sum of made-up moves. parts: each with how many times one step it is."""

    parts: tuple[tuple[Made, float], ...] = ()

    def times(self, multiple):
        return made_effect([(one, multiple * count) for one, count in self.parts])

    def read(self, name, at, *, at_once=False):
        del at_once
        words, total = name.split(), np.zeros(CARS)
        for one, count in self.parts:
            if words[0] == "balance":
                total = total + count * one.row[words[1]][at] * one.factor * (1.0 if len(words) == 2 else 1.2)
            elif name == "wear RR":
                total = total + count * one.wear * at / LIFE**2
            elif name == "lap time":
                total = total + count * one.pace
        return total

    def along(self, name):
        return np.stack([self.read(name, lap) for lap in np.linspace(0.0, LAPS, 9)])


def made_effect(parts):
    pace = sum(count * one.pace for one, count in parts)
    once, after, moved = np.zeros((0, 2, CARS)), np.full((1, 2, CARS), float(pace)), np.ones(CARS, dtype=bool)
    return MadeEffect(np.array([0.0, LAPS]), ("lap time",), once, after, moved, tuple(parts))


LIFE = 116.0
"""Laps a made-up tire lasts."""
FIT = SimpleNamespace(
    weights=np.full(CARS, 1.0 / CARS), effective=float(CARS), fits_no_car=False, surest=0.99, drivers=(), usable=None
)


@dataclass(frozen=True, eq=False)
class FewCars(Belief):
    """Cars that stand where the driver says, give or take a fifth, and are even elsewhere; levers do what is made up.

    made: number of the model, or demand of the driver, to what a step of it does. driven: what was asked, in order.
    """

    made: dict[str, Made] = field(default_factory=dict)
    driven: list[dict[str, float]] = field(default_factory=list)

    def read(self, name, at, setup=None):
        del setup
        words = name.split()
        if words[0] == "wear":
            return np.full(CARS, at / LIFE)
        if words[0] != "balance":
            return np.full(CARS, 2.0e5)
        return self.said(name, at, self.said(" ".join(words[:2]), at, 0.0)) * SIZES

    @property
    def knots(self):
        return np.linspace(0.0, LAPS, 9)

    def said(self, name, at, otherwise):
        """What was said of a cell, else of both ends, else nothing."""
        rows = [row for row in self.evidence.rows if row.kind in {"cell", "contrast", "treated"}]
        return next((row.value for row in rows if (row.terms[0].quantity, row.terms[0].at) == (name, at)), otherwise)

    def drive(self, setup=None):
        del setup
        names = quantity_names(ENDS)
        return SimpleNamespace(knots=np.linspace(0.0, LAPS, 9), names=names, values=np.zeros((len(names), 9, CARS)))

    def move(self, changes):
        self.driven.append(dict(changes))
        known = [
            (self.made[name], change / self.made[name].step) for name, change in changes.items() if name in self.made
        ]
        return made_effect(known)

    def move_all(self, changes):
        return [self.move(one) for one in changes]

    @property
    def few(self):
        return self

    def with_rows(self, rows, setups=None):
        return replace(self, evidence=self.evidence.plus(rows, setups), reads={})

    def without(self, ids):
        return replace(self, evidence=self.evidence.minus(frozenset(ids)), reads={})


def made(lever, *, scale=1.0, sure=0.97, band=0.4, row=None, **more):
    """What a step of a lever does by the orientation numbers, or as the row has it."""
    step, usual = STEPS[lever]
    return Made(grid(*(scale * value for value in usual)) if row is None else row, step, band, sure, **more)


def few_cars(complaint, levers=tuple(STEPS), *, scale=1.0, **changes):
    """A belief of what was said. changes: lever or demand -> a `Made` to use instead."""
    table = {lever: made(lever, scale=scale) for lever in levers if lever != "track_bar"} | changes
    garage = SimpleNamespace(course=SimpleNamespace(ends=ENDS, laps=LAPS))
    return FewCars(garage, Known(rows_of_complaint(complaint)), FIT, made=table)


def made_table(case, levers=None, **changes):
    """What levers do on a case by the orientation numbers, of which nobody said anything."""
    return effect_table(case, few_cars(Complaint(""), **changes), levers)


PLACES = tuple((None, phase, stage) for phase in PHASES for stage in STAGES)


def wanted_on_one_car(said=(), fine=(), now=(), ends=(None,)):
    """What is wanted of one single car. said: (phase, stage) to balance [%]; now: balance of cells nobody spoke of."""
    places = tuple((end, phase, stage) for end in ends for phase in PHASES for stage in STAGES)
    before = np.array([{**dict(now), **dict(said)}.get(place[1:], 0.0) for place in places])
    signs = np.array([np.sign(dict(said).get(place[1:], 0.0)) for place in places])
    spoken = np.array([place[1:] in {*dict(said), *fine} for place in places])
    alone = SimpleNamespace(**{**vars(FIT), "weights": np.ones(1), "effective": 1.0})
    belief = FewCars(SimpleNamespace(course=SimpleNamespace(ends=ENDS, laps=LAPS)), Known(), alone)
    return Wanted(belief, places, signs, spoken, before[:, None])


def session_about(case, knowledge, complaint, causes=None):
    """An interview in which this very complaint was understood, and these causes were found."""
    session = start(case, knowledge, "")
    vars(session)["complaint"] = complaint
    vars(session)["no_telling"] = ""
    if causes is not None:
        vars(session)["causes"] = tuple(causes)
        vars(session)["board"] = board_of(session, {one.id: one.chance for one in causes})
    return session


def board_of(session, chances):
    """The board of an interview with these chances; what is left over is "none of these", the plain balance here."""
    board = session.board
    named = [chances.get(cause.cause, 0.0) for cause in board.weighing.causes]
    return replace(board, chances=(*named, 1 - sum(named)))


def ranking(**changes):
    """The base pack's weights."""
    return load_packs().weights.model_copy(update=changes)


_ABOUT = {
    "confidence": Certainty("computed", 0.9),
    "trade": Listing(0, "loose off"),
}


def remedy(name, *factors, kind="lever", basis="computed", **values):
    """A remedy with the given factors (name, value)."""
    made = tuple(Factor(part, value, _ABOUT.get(part, "")) for part, value in factors)
    values = {"title": name.replace("_", " "), "when": "between runs", "factors": made} | values
    return Remedy(kind, name, basis=basis, **values)


def together(moves, **values):
    """Levers moved together."""
    return Remedy("package", "", "", basis="computed", moves=moves, **{"spoils": 0.0} | values)
