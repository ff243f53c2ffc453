"""Whether the computed car is the one the driver speaks of: it stands where he puts it, and goes the way he says.

Said with everything that shows numbers of a model, in one line or two; and what no model of this kind knows.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from assistant.belief.standing import Said, Standing, find_against
from assistant.ground.grid import STAGES, Grid
from assistant.ground.words import PHASE_WORDS
from assistant.pages.amounts import state_words

if TYPE_CHECKING:
    from assistant.belief.model import Model

SHORT: Mapping[str, str] = {"fresh": "fresh", "settled": "settled", "worn": "late"}
WORDS: Mapping[Said, str] = {-1: "loose", 0: "fine", 1: "tight"}
"""The line stands on screens that are full: it says as little as will do."""
LIMITS = (
    "Trust differences more than absolute numbers: the driver says where the car is, the model how it moves.",
    "The model knows no traffic, no bumps, curbs or wind, no track that changes, no brake fade and no tired engine.",
    "It drives an even speed in the middle, some brake on entry, some throttle on exit, and has one tire law for all.",
    "Whatever was only guessed in the car file makes every answer less sure.",
    "The tire maker's least pressure and the series rulebook come before anything said here.",
    "If something is bent, loose, leaking or rubbing, stop and mend that first.",
)
"""What the model does not know, and what comes before it."""


def doubts_of(model: Model | None) -> tuple[str, ...]:
    """Say plainly why the numbers of a model are less sure than they look; nothing when they go with the words."""
    if model is None:
        return ()
    if not model.stands_as_said:
        return (say_off(model),)
    said = say_against(model.standing, model.balance)
    return (said,) if said else ()


def as_said_data(model: Model | None) -> dict[str, Any]:
    """Give the check as plain data. off: balance [%] the car is off from where it was put, None without a model."""
    return {
        "holds": None if model is None else model.stands_as_said,
        "off": None if model is None else model.off,
        "doubts": list(doubts_of(model)),
    }


def say_off(model: Model) -> str:
    """Say that the car is not where the driver puts it, and what to make of it."""
    return (
        f"Trust no size here: the numbers could not be brought to where the car was put, but stand {model.off:.1f} % "
        "of grip off. Tires that run far above their best temperature do that, and banking as in a bowl."
    )


def say_against(standing: Standing, balance: Grid) -> str:
    """Say where the balance goes another way than the driver says; "" where it does not."""
    found = find_against(standing, balance)
    if not found:
        return ""
    several = len(found) > 1
    told = "; ".join(_say_said(phase, standing.of(phase)) for phase, _ in found)
    numbers = "; ".join(
        f"{state_words(balance[phase][stage])} {SHORT[stage]}{f' {PHASE_WORDS[phase]}' * several}"
        for phase, stage in found
    )
    return f"You said {told}; the numbers have it {numbers}: the sizes are less sure."


def _say_said(phase: str, said: Mapping[str, Said]) -> str:
    """Say what was said of a phase: "fine fresh and loose late coming off"."""
    if len(said) == len(STAGES) and len(set(said.values())) == 1:
        return f"{WORDS[next(iter(said.values()))]} all run long {PHASE_WORDS[phase]}"
    told = [f"{WORDS[said[stage]]} {SHORT[stage]}" for stage in STAGES if stage in said]
    return f"{' and '.join(told)} {PHASE_WORDS[phase]}"
