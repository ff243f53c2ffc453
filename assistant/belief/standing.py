"""Where the driver's words put the car: one balance per phase, at the stage of the run where it was reported.

This is what the model is anchored to. A phase nobody complained of is neutral when settled. Whether a computed balance
goes the way the words do is found here too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from assistant.car.car import Three
from assistant.ground.grid import PHASES, STAGES, Grid
from assistant.ground.understood import Cell, Complaint

SETTLED = STAGES.index("settled")
SEVERITY_PERCENT: Mapping[int, float] = {1: 0.2, 2: 0.4, 3: 0.8, 4: 1.3, 5: 2.0}
"""Balance [%] behind a severity where this car's own unit is not known yet; assumption. It only sets the start."""
LARGEST_OFF = SEVERITY_PERCENT[1]
"""Balance [%] a car may be off from where it was put: what stands behind the mildest word; less changes no word."""
SEEN_AGAINST = 0.5 * SEVERITY_PERCENT[1]
"""Balance [%] by which a cell must be on the other side, or one stage beyond another: half of the mildest word."""
FELT = 0.5 * (SEVERITY_PERCENT[1] + SEVERITY_PERCENT[2])
"""Balance [%] that can be felt: half way from the mildest word to the next. Less changes nothing anybody would say."""
NOT_FINE = SEVERITY_PERCENT[2]
"""Balance [%] from which nobody calls a car fine: the word after the mildest."""

Said = Literal[-1, 0, 1]
"""Loose, fine, tight."""
WAYS: Mapping[str, Said] = {"loose": -1, "fine": 0, "tight": 1}


@dataclass(frozen=True)
class Standing:
    """stages: index of the stage each phase is anchored at; targets: balance there [%, + tight].

    said: phase, stage and way of every cell the driver spoke of. It moves nothing, so two that differ only in it are
    the same place.
    """

    stages: tuple[int, int, int] = (SETTLED, SETTLED, SETTLED)
    targets: Three = (0.0, 0.0, 0.0)
    said: tuple[tuple[str, str, Said], ...] = field(default=(), compare=False)

    def of(self, phase: str) -> dict[str, Said]:
        """What was said of a phase, by stage."""
        return {stage: way for one, stage, way in self.said if one == phase}


NEUTRAL = Standing()


def read_standing(complaint: Complaint | None) -> Standing:
    """Put every phase where the complaint has it; both ends of the track count alike."""
    if complaint is None:
        return NEUTRAL
    pairs = [stand_phase([cell for cell in complaint.cells if cell.phase == phase]) for phase in PHASES]
    (a, x), (b, y), (c, z) = pairs
    return Standing((a, b, c), (x, y, z), said_of(complaint.cells))


def said_of(cells: Iterable[Cell]) -> tuple[tuple[str, str, Said], ...]:
    """List phase, stage and way of what was said; where the two ends of the track are told apart, nothing is said."""
    found: dict[tuple[str, str], set[Said]] = {}
    for cell in cells:
        found.setdefault((cell.phase, cell.stage), set()).add(WAYS[cell.balance])
    return tuple((*place, *ways) for place, ways in found.items() if len(ways) == 1)  # type: ignore[misc] # one way


def stand_phase(cells: Iterable[Cell]) -> tuple[int, float]:
    """Stage and balance of one phase: its worst report; of equally bad ones the settled stage, else the latest."""
    reported = [cell for cell in cells if cell.balance in ("loose", "tight")]
    if not reported:
        return SETTLED, 0.0
    worst = max(reported, key=lambda cell: (cell.severity, cell.stage == STAGES[SETTLED], STAGES.index(cell.stage)))
    size = SEVERITY_PERCENT[min(max(round(worst.severity), 1), 5)]
    return STAGES.index(worst.stage), size if worst.balance == "tight" else -size


def find_against(standing: Standing, balance: Grid) -> tuple[tuple[str, str], ...]:
    """Find where the balance goes another way than the driver says: phases, each with the stage furthest off."""
    found = ((phase, stage_against(standing.of(phase), balance[phase])) for phase in PHASES)
    return tuple((phase, stage) for phase, stage in found if stage)


def stage_against(said: Mapping[str, Said], row: Mapping[str, float]) -> str:
    """Find the stage of one phase whose balance goes furthest against what was said of it, "" for none.

    A stage is against the words on the other side of neutral, far off where it was fine, and worse than the worst of
    the stages that were complained of.
    """
    off = {stage: way for stage, way in said.items() if way}
    ways = set(off.values())
    wrong = [stage for stage in STAGES if _is_turned(said.get(stage), row[stage])]
    if len(ways) == 1:
        (way,) = ways
        worst = max(way * row[stage] for stage in off)
        wrong += [stage for stage in STAGES if stage not in off and way * row[stage] > worst + SEEN_AGAINST]
    return max(wrong, key=lambda stage: abs(row[stage]), default="")


def _is_turned(way: Said | None, value: float) -> bool:
    """Whether a value is on the other side of what was said of it, or far off where that was fine."""
    if way is None:
        return False
    return way * value < -SEEN_AGAINST if way else abs(value) > NOT_FINE
