"""Numbers as a person says them, where the shell looks for them; `assistant.advice.amounts` has them for all."""

from __future__ import annotations

from assistant.advice.amounts import (
    EVEN,
    NOTHING,
    PHASE_WORDS,
    STAGE_WORDS,
    LeverWords,
    alone_words,
    chance_words,
    change_words,
    cure_words,
    direction_words,
    each_words,
    guess_words,
    lever_change,
    lever_value,
    move_words,
    no_cause_words,
    sentence,
    state_words,
    trade_words,
)

__all__ = [
    "EVEN",
    "NOTHING",
    "PHASE_WORDS",
    "STAGE_WORDS",
    "LeverWords",
    "alone_words",
    "chance_words",
    "change_words",
    "cure_words",
    "direction_words",
    "each_words",
    "guess_words",
    "lever_change",
    "lever_value",
    "move_words",
    "no_cause_words",
    "sentence",
    "state_words",
    "trade_words",
]
