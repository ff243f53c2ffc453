"""Story: what is believed of a cell whose word is withheld, over every mix of phase, stage, word and fresh answer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import product

import numpy as np

from assistant.belief.believe import Belief, weigh_belief
from assistant.belief.garage import Garage
from assistant.belief.known import SIGN, Known, balance_of, cell_id, rows_of_complaint, size_of, usual_rows
from assistant.belief.weigh import CELLS
from assistant.car.files import read_case
from assistant.ground.names import PHASES, STAGES
from assistant.ground.understood import Cell, Complaint

CASES = ("demo", "demo-tight", "demo-snap")
WORDS = ("loose", "tight")
FELT = 0.2
"""Balance [%] under which a foretold cell counts as neutral: the smallest severity."""


def mixes() -> Iterator[tuple[Cell, ...]]:
    """Every complaint of one cell, alone and with an answer about fresh tires."""
    for phase, stage, word in product(PHASES, STAGES, WORDS):
        told = Cell(phase, stage, word, 3.0, severity_given=False)
        yield (told,)
        if stage != STAGES[0]:
            for fresh in ("fine", *WORDS):
                severity = 0.0 if fresh == "fine" else 3.0
                yield (told, Cell(phase, STAGES[0], fresh, severity, severity_given=False))


def rows_without(cells: tuple[Cell, ...], left_out: Cell | None = None) -> tuple:
    """Rows of a complaint without one of its cells, about which nothing is then known."""
    kept = tuple(cell for cell in cells if cell is not left_out)
    rows = rows_of_complaint(Complaint("", kept))
    silent = "" if left_out is None else f"{cell_id(left_out)} unsaid"
    return tuple(row for row in rows if row.id != silent)


@dataclass
class Tally:
    """Counts over the mixes of one case."""

    mixes: int = 0
    gated: int = 0
    cells: int = 0
    contradicted: int = 0
    withheld: int = 0
    right: int = 0
    neutral_right: int = 0
    signs: int = 0
    signs_right: int = 0
    misses: list[float] = field(default_factory=list)
    neutral_misses: list[float] = field(default_factory=list)
    bands: list[float] = field(default_factory=list)


def contradicts(belief: Belief, cell: Cell) -> bool:
    """Whether the shown middle of a said cell says something else than the word."""
    value = belief.grid[cell.phase][cell.stage].value
    return abs(value) > 0.5 if cell.balance == "fine" else SIGN[cell.balance] * value <= 0.0


def width(belief: Belief) -> float:
    """Median width of the bands of all cells."""
    return float(np.median([belief.grid[phase][stage].high - belief.grid[phase][stage].low for phase, stage in CELLS]))


def count_mix(tally: Tally, garage: Garage, cells: tuple[Cell, ...], before: float) -> None:
    """Add one mix to the tally."""
    belief = weigh_belief(garage, Known(usual_rows() + rows_without(cells)), "")
    tally.mixes += 1
    tally.gated += belief.gate_is_shut
    tally.cells += len(cells)
    tally.contradicted += sum(contradicts(belief, cell) for cell in cells)
    tally.bands.append(width(belief) / before)
    for cell in cells if len(cells) > 1 else ():
        rest = weigh_belief(garage, Known(usual_rows() + rows_without(cells, cell)), "")
        foretold = rest.mean(rest.read(balance_of(cell.phase), cell.stage))
        said = 0.0 if cell.balance == "fine" else size_of(cell)
        tally.withheld += 1
        tally.right += (0.0 if abs(foretold) < FELT else np.sign(foretold)) == np.sign(said)
        tally.neutral_right += said == 0.0
        tally.signs += said != 0.0
        tally.signs_right += said != 0.0 and np.sign(foretold) == np.sign(said)
        tally.misses.append(foretold - said)
        tally.neutral_misses.append(-said)


def prove_story(size: int = 256) -> list[str]:
    """Run all mixes on the three demos."""
    lines = []
    for name in CASES:
        garage, tally = Garage(read_case(name), size=size), Tally()
        before = width(weigh_belief(garage, Known(usual_rows()), ""))
        for cells in mixes():
            count_mix(tally, garage, cells, before)
        lines += say(name, tally)
    return lines


def say(name: str, tally: Tally) -> list[str]:
    """Say what one case came to."""
    miss, neutral = (float(np.sqrt(np.mean(np.square(one)))) for one in (tally.misses, tally.neutral_misses))
    shown = (
        f"  {name}: {tally.mixes} mixes; the gate stops {tally.gated}; {tally.contradicted} of {tally.cells} said "
        f"cells contradicted; band over band before a word {np.median(tally.bands):.2f}"
    )
    foretold = (
        f"    withheld {tally.withheld}: right {tally.right}, always neutral {tally.neutral_right}; of {tally.signs} "
        f"signs {tally.signs_right} right; root mean square miss {miss:.2f} %, always neutral {neutral:.2f} %"
    )
    return [shown, foretold]
