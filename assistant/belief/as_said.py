"""Whether the computed car is the one the driver speaks of: it stands where he puts it, and goes the way he says.

One check for every screen, page and JSON that shows numbers of a model: they are told by one line or two.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from assistant.belief.model import Model
from assistant.belief.standing import SEVERITY_PERCENT, Said, Standing
from assistant.ground.grid import PHASES, STAGES, Grid
from assistant.ground.words import PHASE_WORDS
from assistant.pages.amounts import state_words

LARGEST_OFF = SEVERITY_PERCENT[1]
"""Balance [%] a car may be off from where it was put: what stands behind the mildest word; less changes no word."""
FELT = 0.1
"""Balance [%] by which a cell must be on the other side, or one stage beyond another: half of the mildest word."""
SHORT: Mapping[str, str] = {"fresh": "fresh", "settled": "settled", "worn": "late"}
WORDS: Mapping[Said, str] = {-1: "loose", 0: "fine", 1: "tight"}
"""The line stands on screens that are full: it says as little as will do."""
FINE = SEVERITY_PERCENT[2]
"""Balance [%] from which nobody calls a car fine: the word after the mildest."""


def doubts_of(model: Model | None) -> tuple[str, ...]:
    """Say plainly why the numbers of a model are less sure than they look; nothing when they go with the words."""
    if model is None:
        return ()
    if not stands_as_said(model):
        return (say_off(model),)
    said = say_against(model.standing, model.balance)
    return (said,) if said else ()


def as_said_json(model: Model | None) -> dict[str, Any]:
    """Give the check as plain data. off: balance [%] the car is off from where it was put, None without a model."""
    return {
        "holds": None if model is None else stands_as_said(model),
        "off": None if model is None else model.off,
        "doubts": list(doubts_of(model)),
    }


def stands_as_said(model: Model) -> bool:
    """Whether the trims brought the car to where the driver puts it."""
    return model.off < LARGEST_OFF


def say_off(model: Model) -> str:
    """Say that the car is not where the driver puts it, and what to make of it."""
    return (
        f"Trust no size here: the numbers could not be brought to where the car was put, but stand {model.off:.1f} % "
        "of grip off. Steep banking, very long runs and tires that wear very fast do that."
    )


def say_against(standing: Standing, balance: Grid) -> str:
    """Say where the balance goes another way than the driver says; "" where it does not."""
    found = [(phase, stage) for phase in PHASES if (stage := find_against(standing.of(phase), balance[phase]))]
    if not found:
        return ""
    several = len(found) > 1
    told = "; ".join(_say_said(phase, standing.of(phase)) for phase, _ in found)
    numbers = "; ".join(
        f"{state_words(balance[phase][stage])} {SHORT[stage]}{f' {PHASE_WORDS[phase]}' * several}"
        for phase, stage in found
    )
    return f"You said {told}; the numbers have it {numbers}: the sizes are less sure."


def find_against(said: Mapping[str, Said], row: Mapping[str, float]) -> str:
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
        wrong += [stage for stage in STAGES if stage not in off and way * row[stage] > worst + FELT]
    return max(wrong, key=lambda stage: abs(row[stage]), default="")


def _is_turned(way: Said | None, value: float) -> bool:
    """Whether a value is on the other side of what was said of it, or far off where that was fine."""
    if way is None:
        return False
    return way * value < -FELT if way else abs(value) > FINE


def _say_said(phase: str, said: Mapping[str, Said]) -> str:
    """Say what was said of a phase: "fine fresh and loose late coming off"."""
    if len(said) == len(STAGES) and len(set(said.values())) == 1:
        return f"{WORDS[next(iter(said.values()))]} all run long {PHASE_WORDS[phase]}"
    told = [f"{WORDS[said[stage]]} {SHORT[stage]}" for stage in STAGES if stage in said]
    return f"{' and '.join(told)} {PHASE_WORDS[phase]}"
