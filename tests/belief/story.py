"""Story: whether what is shown agrees with every word, and what is believed of cells that nobody spoke of.

The first over every mix of phase, stage, word and fresh answer. The second on hidden cars of another draw, of which one
driver tells every bad cell and another only where each bad phase is worst: of mixes that no car made, all alike often,
nothing can be foretold. The hidden cars obey the same physics, so this proves the weighing and not the physics.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import product

import numpy as np

from assistant.belief.believe import Belief, Shown, weigh_belief
from assistant.belief.garage import Garage
from assistant.belief.known import FELT, SIGN, SIZE, Known, balance_of, rows_of_complaint, usual_rows
from assistant.belief.weigh import CELLS
from assistant.car.case import Case
from assistant.car.files import read_case
from assistant.ground.names import PHASES, STAGES
from assistant.ground.understood import Cell, Complaint

CASES = ("demo", "demo-tight", "demo-snap")
WORDS = ("loose", "tight")
HIDDEN, HIDDEN_SEED = 96, 977
Car = Mapping[tuple[str, str], float]
"""Where every cell of a hidden car stands [%]."""
BAD = 2.0 * FELT
"""Balance [%] from which no driver keeps silent."""


def mixes() -> Iterator[tuple[Cell, ...]]:
    """Every complaint of one cell, alone and with an answer about fresh tires."""
    for phase, stage, word in product(PHASES, STAGES, WORDS):
        told = Cell(phase, stage, word, 3.0, severity_given=False)
        yield (told,)
        if stage != STAGES[0]:
            for fresh in ("fine", *WORDS):
                severity = 0.0 if fresh == "fine" else 3.0
                yield (told, Cell(phase, STAGES[0], fresh, severity, severity_given=False))


@dataclass
class Tally:
    """Counts over the mixes of one case."""

    mixes: int = 0
    gated: int = 0
    cells: int = 0
    contradicted: int = 0
    bands: list[float] = field(default_factory=list)


@dataclass
class Silent:
    """What cells nobody spoke of are, of all hidden cars: true and foretold, and the bands of eight in ten."""

    true: list[float] = field(default_factory=list)
    shown: list[Shown] = field(default_factory=list)

    def add(self, belief: Belief, spoken: Collection[tuple[str, str]], car: Car) -> None:
        """Add the cells of one hidden car that were not spoken of."""
        for phase, stage in set(CELLS) - set(spoken):
            self.true.append(car[phase, stage])
            self.shown.append(belief.grid[phase][stage])


def contradicts(belief: Belief, cell: Cell) -> bool:
    """Whether the shown middle of a said cell says something else than the word."""
    value = belief.grid[cell.phase][cell.stage].value
    return abs(value) > 0.5 if cell.balance == "fine" else SIGN[cell.balance] * value <= 0.0


def width(belief: Belief) -> float:
    """Median width of the bands of all cells."""
    return float(np.median([belief.grid[phase][stage].high - belief.grid[phase][stage].low for phase, stage in CELLS]))


def count_mix(tally: Tally, garage: Garage, cells: tuple[Cell, ...], before: float) -> None:
    """Add one mix to the tally."""
    belief = believe_words(garage, cells)
    tally.mixes += 1
    tally.gated += belief.gate_is_shut
    tally.cells += len(cells)
    tally.contradicted += sum(contradicts(belief, cell) for cell in cells)
    tally.bands.append(width(belief) / before)


def believe_words(garage: Garage, cells: tuple[Cell, ...] = ()) -> Belief:
    """Believe what was said of some cells, and that the others were not spoken of."""
    return weigh_belief(garage, Known(usual_rows() + rows_of_complaint(Complaint("", cells))), "")


def hidden_cars(case: Case) -> list[Car]:
    """Where every cell of hidden cars stands [%], before anybody spoke."""
    hidden = believe_words(Garage(case, size=HIDDEN, seed=HIDDEN_SEED))
    cells = {(phase, stage): hidden.read(balance_of(phase), stage) for phase, stage in CELLS}
    chosen = np.flatnonzero(hidden.fit.usable)
    return [{cell: float(values[car]) for cell, values in cells.items()} for car in chosen]


def say_cell(phase: str, stage: str, balance: float) -> Cell:
    """What a driver says of a cell."""
    severity = float(np.interp(abs(balance), list(SIZE.values()), list(SIZE)))
    return Cell(phase, stage, "tight" if balance > 0.0 else "loose", round(severity), severity_given=True)


def tell_all(car: Car) -> tuple[Cell, ...]:
    """What a driver says of a car who tells every cell that is bad."""
    return tuple(say_cell(*cell, balance) for cell, balance in car.items() if abs(balance) >= BAD)


def tell_worst(car: Car) -> tuple[Cell, ...]:
    """The same of one who only tells where each phase is worst."""
    worst = [max((cell for cell in car if cell[0] == phase), key=lambda cell: abs(car[cell])) for phase in PHASES]
    return tell_all({cell: car[cell] for cell in worst})


DRIVERS: Mapping[str, Callable[[Car], tuple[Cell, ...]]] = {"every bad cell": tell_all, "the worst": tell_worst}


def prove_silent(case: Case, garage: Garage, tells: Callable[[Car], tuple[Cell, ...]]) -> Silent:
    """Tell of every hidden car what its driver says, and foretell the cells he keeps silent of."""
    silent = Silent()
    for car in hidden_cars(case):
        said = tells(car)
        if said:
            silent.add(believe_words(garage, said), {(one.phase, one.stage) for one in said}, car)
    return silent


def prove_story(size: int = 256) -> list[str]:
    """Run all mixes, and the hidden cars, on the three demos."""
    lines = []
    for name in CASES:
        case = read_case(name)
        garage, tally = Garage(case, size=size), Tally()
        before = width(believe_words(garage))
        for cells in mixes():
            count_mix(tally, garage, cells, before)
        lines.append(say_mixes(name, tally))
        lines += [say_silent(told, prove_silent(case, garage, tells)) for told, tells in DRIVERS.items()]
    return lines


def say_mixes(name: str, tally: Tally) -> str:
    """Say what the mixes of one case came to."""
    return (
        f"  {name}: {tally.mixes} mixes; the gate stops {tally.gated}; {tally.contradicted} of {tally.cells} said "
        f"cells contradicted; band over band before a word {np.median(tally.bands):.2f}"
    )


def say_silent(told: str, silent: Silent) -> str:
    """Say what cells nobody spoke of came to."""
    true, value = np.array(silent.true), np.array([one.value for one in silent.shown])
    inside = np.mean([one.low <= at <= one.high for at, one in zip(true, silent.shown, strict=True)])
    sided = np.array([one.sure_of_sign for one in silent.shown])
    miss, neutral = (float(np.sqrt(np.mean(np.square(off)))) for off in (value - true, true))
    right = float((value[sided] * true[sided] > 0.0).mean())
    return (
        f"    who tells {told}: {true.size} cells nobody spoke of: root mean square miss {miss:.2f} %, always neutral "
        f"{neutral:.2f} %; in the band of 8 in 10 {inside:.2f}; a side is shown of {sided.sum()}, {right:.2f} right"
    )
