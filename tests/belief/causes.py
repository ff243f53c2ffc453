"""Causes: do plausible cars speak for a stagger that is not the sheet's on hidden cars where it is so, and only there?

A hidden car is drawn from the same physics with another seed; what stagger does to it is the model's size times a
factor of its own (log sd 0.4), and its driver is off by 0.15 %. He names every cell he feels, in whole severities.
Of a car on which the stagger is off, the cause counts as raised where it stands above every rival that explains the
complaint, plain balance among them (whose row is nothing).
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from assistant.belief.believe import USUAL, Belief, weigh_belief
from assistant.belief.garage import Garage
from assistant.belief.known import FELT, SIZE, Known, balance_of, rows_of_complaint, usual_rows
from assistant.belief.suspects import Suspect, weigh_suspects
from assistant.belief.weigh import CELLS
from assistant.car.case import Case
from assistant.diagnosis.causes import candidate_causes
from assistant.ground.understood import Cell, Complaint
from assistant.rules.knowledge import shifts_of
from assistant.rules.pack import base_folder, load_packs

HIDDEN, HIDDEN_SEED = 48, 978
OWN_FACTOR, DRIVER_OFF = 0.4, 0.15
LEVER = "stagger"
FAULTS = ("mounted-with-more-stagger", "mounted-with-less-stagger", "")
"""What is the matter with the hidden cars; with the last ones nothing is."""


def complain(balance: Mapping[tuple[str, str], float]) -> Complaint:
    """Say every cell that is felt, in whole severities."""
    felt = {cell: value for cell, value in balance.items() if abs(value) > FELT}
    return Complaint(
        "", tuple(Cell(*cell, "tight" if value > 0 else "loose", nearest(value), True) for cell, value in felt.items())
    )


def nearest(value: float) -> float:
    """Find the severity whose size is nearest."""
    return float(min(SIZE, key=lambda one: abs(SIZE[one] - abs(value))))


def hide(case: Case) -> Belief:
    """Draw hidden cars about which nothing is known."""
    return weigh_belief(Garage(case, size=HIDDEN, seed=HIDDEN_SEED), Known(usual_rows(USUAL)), "")


def stand(hidden: Belief, band: tuple[float, float] | None, draw: np.random.Generator) -> list[dict]:
    """Say where every hidden car stands, with its stagger off by something in the band."""
    cells = {cell: hidden.read(balance_of(cell[0]), cell[1]).copy() for cell in CELLS}
    if band is not None:
        effect = hidden.move({LEVER: sum(band) / 2})
        share = draw.uniform(*band, HIDDEN) / (sum(band) / 2) * np.exp(OWN_FACTOR * draw.standard_normal(HIDDEN))
        for cell in CELLS:
            cells[cell] += share * effect.read(balance_of(cell[0]), cell[1])
    usable = np.flatnonzero(hidden.fit.usable & np.all([np.isfinite(one) for one in cells.values()], axis=0))
    noise = DRIVER_OFF * draw.standard_normal((len(CELLS), HIDDEN))
    return [{cell: float(cells[cell][car] + noise[at, car]) for at, cell in enumerate(CELLS)} for car in usable]


def prove_causes(case: Case, garage: Garage) -> list[str]:
    """Let every hidden car complain, and count where the plausible cars speak for its fault."""
    knowledge, hidden, draw = load_packs([base_folder()]), hide(case), np.random.default_rng(5)
    bands = {
        one.cause: Suspect(shifts_of(one, case.setup), one.comes_with_laps)
        for one in knowledge.causes.values()
        if one.model
    }
    lines = []
    for fault in FAULTS:
        rows, chances, first = list[float](), list[float](), list[bool]()
        for balance in stand(hidden, bands[fault].off[LEVER] if fault else None, draw):
            complaint = complain(balance)
            rivals = {one.cause: bands[one.cause] for one in candidate_causes(complaint, knowledge) if one.model}
            if not complaint.cells or not (fault in rivals or (rivals and not fault)):
                continue
            found = weigh(case, garage, complaint, rivals)
            stagger = [one for one in found if LEVER in bands[one].off]
            name = fault or max(stagger, key=found.__getitem__)
            rows.append(found[name])
            first.append(found[name] > max([0.0, *(value for one, value in found.items() if one != name)]))
            chances.append(1.0 / (len(found) + 1))
        lines.append(
            f"  {fault or 'nothing off'}: {len(rows)} hidden cars complain so; "
            f"{'its' if fault else 'the best stagger'} row {np.mean(rows):+.2f} on the mean; above every rival on "
            f"{np.mean(first):.2f} of them (by chance {np.mean(chances):.2f})"
        )
    return lines


def weigh(case: Case, garage: Garage, complaint: Complaint, rivals: Mapping[str, Suspect]) -> dict[str, float]:
    """Let the plausible cars speak for each of the causes."""
    known = Known((*usual_rows(USUAL), *rows_of_complaint(complaint)))
    return {**dict.fromkeys(rivals, 0.0), **weigh_suspects(weigh_belief(garage, known, ""), rivals)}
