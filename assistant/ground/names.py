"""The one table of names: parts of the corner, stages of the run, corners of the car, and words for chances.

Files and results hold ids; screens say the words behind them. A word for a chance never stands without its number: of
924 readers 66 per cent took a word with its number right, 32 per cent a bare word (Wintle and others 2019).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Literal, get_args

from assistant.ground.words import listed

Phase = Literal["entry", "middle", "exit"]
PHASES: tuple[str, ...] = get_args(Phase)
PHASE_WORDS: Mapping[str, str] = {"entry": "getting in", "middle": "in the middle", "exit": "coming off"}
"""Where in the corner, as every screen and page says it."""
PHASE_LETTERS: Mapping[str, str] = {"entry": "i", "middle": "m", "exit": "o"}
"""What draws the line of a phase where there are only letters."""

Stage = Literal["fresh", "settled", "worn"]
STAGES: tuple[str, ...] = get_args(Stage)
SETTLED = STAGES.index("settled")
"""Place of the stage at which a car has come in."""
STAGE_WORDS: Mapping[str, str] = {"fresh": "on fresh tires", "settled": "once settled", "worn": "late in the run"}
"""When in the run."""
STAGE_SHORT: Mapping[str, str] = {"fresh": "fresh", "settled": "settled", "worn": "late"}
"""The same in one word, as answers have it."""
_SEVERAL_STAGES = {
    ("fresh", "settled", "worn"): "all run long",
    ("fresh", "settled"): "until the tires are worn",
    ("settled", "worn"): "from the settled laps on",
}

CornerKey = Literal["lf", "rf", "lr", "rr"]
CORNER_KEYS: tuple[str, ...] = get_args(CornerKey)
"""Corners of the car in files, in this order everywhere."""
CORNERS = tuple(corner.upper() for corner in CORNER_KEYS)
CORNER_WORDS: Mapping[str, str] = {"LF": "left front", "RF": "right front", "LR": "left rear", "RR": "right rear"}
SIDES: Mapping[str, tuple[str, ...]] = {
    "left": ("LF", "LR"),
    "right": ("RF", "RR"),
    "front": ("LF", "RF"),
    "rear": ("LR", "RR"),
}
_CORNER = re.compile(
    r"(?<![a-z])([lr][fr]|f[lr]|rl|(?:left|right)[ -]*(?:front|rear)|(?:front|rear)[ -]*(?:left|right))(?![a-z])",
    re.IGNORECASE,
)

CHANCE_WORDS: tuple[tuple[float, str], ...] = (
    (0.95, "sure"),
    (0.75, "likely"),
    (0.55, "more likely than not"),
    (0.0, "depends"),
)
"""The least chance at which each word is used."""


def where_words(phases: Sequence[str]) -> str:
    """Say places in the corner: "getting in and coming off", "all through the corner"."""
    if set(phases) >= set(PHASE_WORDS):
        return "all through the corner"
    return listed([PHASE_WORDS.get(phase, phase) for phase in phases])


def when_words(stages: Sequence[str]) -> str:
    """Say stages of the run: "on fresh tires and late in the run", "all run long"."""
    ordered = tuple(stage for stage in STAGE_WORDS if stage in stages)
    return _SEVERAL_STAGES.get(ordered) or listed([STAGE_WORDS.get(stage, f"when {stage}") for stage in stages])


def part_at_corners(text: str) -> tuple[str, list[tuple[str, str]]]:
    """Part a text at the corners it names: what stands before the first, then each corner and what stands behind.

    Corners as people write them: "LF 690, RF 640", "front right 640".
    """
    before, *parts = _CORNER.split(text)
    pairs = zip(parts[::2], parts[1::2], strict=True)
    return before, [(_corner(name), behind.strip(" ,;:=")) for name, behind in pairs]


def _corner(name: str) -> str:
    """The corner of a name that may have its end first; of the letters one is of the side and one of the end."""
    words = re.findall("left|right|front|rear", name.lower())
    letters = "".join(word[0] for word in words) or name.lower()
    return {"fl": "LF", "fr": "RF", "rl": "LR"}.get(letters, letters.upper())


def chance_word(chance: float) -> str:
    """Return the word for a chance between 0 and 1."""
    return next(word for least, word in CHANCE_WORDS if chance >= least or least == 0.0)


def sayable(share: float, cars: int) -> float:
    """Cut a share of plausible cars to what so many of them can carry: all of 64 says no more than 63 of 64."""
    return min(share, 1.0 - 1.0 / cars)


def stands_out(chance: float) -> bool:
    """Say whether something is more likely than not, the weakest word that takes a side."""
    return chance >= CHANCE_WORDS[-2][0]


def say_chance(chance: float) -> str:
    """Say a chance with its number: "likely (about 8 in 10)"."""
    return f"{chance_word(chance)} ({say_number(chance)})"


def say_number(chance: float) -> str:
    """Say a chance as a plain frequency. Near the ends tenths say too little, so hundredths are used."""
    if chance >= 0.995:
        return "more than 99 in 100"
    if chance < 0.005:
        return "less than 1 in 100"
    if chance >= 0.945 or chance < 0.055:
        return f"about {round(100 * chance)} in 100"
    return f"about {round(10 * chance)} in 10"
