"""What a remedy makes worse, in numbers and in words, the worst first.

Only what is known: tyre life, pace and fuel are costs once they are computed, never guessed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from math import isfinite
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.results import Cost

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from assistant.advice.sizing import Place, Wanted

LEAST_SHOWN = 0.05
"""Percent of balance below which a change would be written as 0.0."""
LEAST_LAPS = 0.5
LEAST_PACE = 0.005
"""Seconds a lap below which a change would be written as 0.00."""

IN_PHASE = {"entry": "in", "middle": "in the middle", "exit": "off"}
WHERE = {"entry": "getting in", "middle": "in the middle", "exit": "coming off"}
IN_STAGE = {"fresh": "when fresh", "settled": "once settled", "worn": "late in the run"}


def list_balance_costs(effect: NDArray[np.float64], wanted: Wanted) -> tuple[Cost, ...]:
    """Say where the balance moves that was not asked to: fine and unmentioned cells, and reported ones gone past.

    effect: change of balance at each wanted place [%]. Neighbouring stages with the same tenth are one line.
    Worst first: by size times the weight of the cell.
    """
    spoilt = np.where(wanted.reported, _gone_past(effect, wanted.change), effect)
    lines: list[tuple[float, Cost]] = []
    for _, group in groupby(range(len(wanted.places)), key=lambda index: wanted.places[index][:2]):
        indices = [index for index in group if abs(spoilt[index]) >= LEAST_SHOWN]
        for tenth, same in groupby(indices, key=lambda index: round(float(spoilt[index]), 1)):
            cells = list(same)
            weight = max(float(wanted.weight[index]) for index in cells)
            past = all(wanted.reported[index] and wanted.change[index] * tenth > 0 for index in cells)
            lines.append(
                (weight * abs(tenth), _say_balance(tenth, [wanted.places[index] for index in cells], past=past))
            )
    return tuple(cost for _, cost in sorted(lines, key=lambda line: -line[0]))


def list_other_costs(
    tyre_life: Mapping[str, tuple[float, float]] | None = None,
    pace: Mapping[str, float] | None = None,
    fuel: tuple[float, float] | None = None,
) -> tuple[Cost, ...]:
    """Say what is lost in tyre life [laps], pace [s a lap, + slower] and fuel [laps], each None when not computed.

    tyre_life: corner to (laps after, change). fuel: (laps after, change).
    """
    costs = [
        Cost("tyre life", corner, -change, "laps", f"{_laps(-change)} of {corner} tyre")
        for corner, (_, change) in sorted((tyre_life or {}).items(), key=lambda item: item[1][1])
        if change <= -LEAST_LAPS
    ]
    average = (pace or {}).get("average", 0.0)
    if average >= LEAST_PACE:
        costs.append(Cost("pace", "lap", average, "s", f"{average:.2f} s a lap over the run"))
    if fuel is not None and fuel[1] <= -LEAST_LAPS:
        costs.append(Cost("fuel", "run", -fuel[1], "laps", f"{_laps(-fuel[1])} of fuel"))
    return tuple(costs)


def change_tyre_life(
    now: Mapping[str, float], per_step: Mapping[str, float], multiple: float
) -> dict[str, tuple[float, float]]:
    """Work out (laps after, change) of every corner's tread for so many steps; a tyre that never wears is left out."""
    changes = {corner: multiple * per_step.get(corner, 0.0) for corner in now}
    return {
        corner: (laps + changes[corner], changes[corner])
        for corner, laps in now.items()
        if isfinite(laps) and isfinite(changes[corner])
    }


def price_tyre_life(life: Mapping[str, tuple[float, float]], run_laps: float) -> float:
    """Share of a tyre's spare life that is lost, 0 to 1, of the corner that loses most of it.

    Spare is what lasts beyond the run; less than a tenth of a run is counted as a tenth, so that a tyre with nothing to
    spare does not make every lap lost a whole one.
    """
    shares = [-change / max(after - change - run_laps, 0.1 * run_laps) for after, change in life.values()]
    return min(1.0, max([0.0, *shares]))


def price_short_run(life: Mapping[str, tuple[float, float]], run_laps: float) -> float:
    """Share of the run by which a change makes the tyres fall short of it, beyond what they do already."""
    short = max([0.0, *(run_laps - after for after, _ in life.values())])
    before = max([0.0, *(run_laps - (after - change) for after, change in life.values())])
    return max(0.0, short - before) / run_laps


def list_work(recheck: Sequence[str]) -> tuple[Cost, ...]:
    """Say what must be measured again after the change."""
    return tuple(Cost("work", "car", None, "", f"check again: {what}") for what in recheck)


def say_costs(costs: Sequence[Cost], most: int = 3) -> str:
    """Write the worst costs in one sentence, the work of checking again left out."""
    words = [cost.text for cost in costs if cost.kind != "work"][:most]
    return f"Costs: {'; '.join(words)}." if words else "Costs: nothing that shows in the other cells."


def _gone_past(effect: NDArray[np.float64], asked: NDArray[np.float64]) -> NDArray[np.float64]:
    """Take the part of an effect beyond what was asked, or the whole of it when it goes the wrong way."""
    inside = np.where(asked >= 0, np.clip(effect, 0.0, asked), np.clip(effect, asked, 0.0))
    return np.asarray(effect - inside)


def _say_balance(amount: float, places: Sequence[Place], *, past: bool) -> Cost:
    end, phase, _ = places[0]
    stages = [stage for _, _, stage in places]
    way = "tighter" if amount > 0 else "looser"
    where = IN_PHASE.get(phase, f"in the {phase}")
    at_end = f" at end {end}" if end is not None else ""
    reason = ", more than asked for" if past else ""
    text = f"{way} {where} by {abs(amount):.1f} %{at_end} {_say_stages(stages)}{reason}"
    return Cost(
        "balance", ", ".join([phase, " and ".join(stages), *([f"end {end}"] if end else [])]), amount, "%", text
    )


def _say_stages(stages: Sequence[str]) -> str:
    if set(stages) >= set(IN_STAGE):
        return "all through the run"
    if list(stages) == ["fresh", "settled"]:
        return "until the tyres are worn"
    if list(stages) == ["settled", "worn"]:
        return "from the settled laps on"
    return " and ".join(IN_STAGE.get(stage, f"when {stage}") for stage in stages)


def _laps(count: float) -> str:
    whole = round(count)
    return f"{whole} lap" if whole == 1 else f"{whole} laps"
