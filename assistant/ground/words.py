"""Nearest spelling, and the few bits of grammar that messages need.

Not the reader of complaints: that one lives in `assistant.diagnosis.hearing`.

Words for chances, in one table for the whole program. A word never stands without its number.

Of 924 readers 66 per cent took a word with its number right, 32 per cent a bare word (Wintle and others 2019).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import get_close_matches

MOST_QUOTED = 60
"""Letters of what was typed that are said back: enough to know it by."""
MOST_SHOWN = 8
"""How many allowed words a hint lists before it says how many more there are."""
RENAMED = {
    "ballast_height": "ballast_rise",
    "front_bar_preload": "bar_screw",
    "front_downforce": "nose_tape",
    "front_roll_centre": "front_roll_center",
    "fuel_start": "fuel_at_green",
    "steering_ratio": "steering_box",
}
"""Levers that were called otherwise once: the old name to the one that counts."""
LONGEST_COMPARED = 60
"""Longer words are never a slip of a shorter one; comparing them would only cost time."""


def nearest(word: str, allowed: Iterable[str]) -> str | None:
    """Find the allowed word that `word` was most likely meant to be, or None when nothing is close.

    Case, spaces, hyphens and underscores do not count: "Track-Bar Right" is near "track_bar_right".
    """
    if len(word) > LONGEST_COMPARED:
        return None
    plain = {_plain(one): one for one in allowed}
    wanted = _plain(word)
    if wanted in plain:
        return plain[wanted]
    if close := get_close_matches(wanted, plain, n=1, cutoff=0.7):
        return plain[close[0]]
    swapped = [one for one in plain if len(one) > 1 and sorted(one) == sorted(wanted)]
    return plain[swapped[0]] if len(swapped) == 1 else None  # short words with two letters swapped, such as dge


def did_you_mean(word: str, allowed: Iterable[str]) -> str:
    """Give the hint for a wrong word: its new name, the nearest one, else the list of allowed ones."""
    choices = list(allowed)
    if (renamed := RENAMED.get(_plain(word).replace(" ", "_"))) in choices:
        return f"it is called '{renamed}' now"
    found = nearest(word, choices)
    if found is not None and found != word:
        return f"did you mean '{found}'?"
    if not choices:
        return ""
    return "allowed: " + list_words(choices)


def list_words(words: Iterable[str], most: int = MOST_SHOWN) -> str:
    """Join words with commas; after `most` of them say how many more there are."""
    choices = list(words)
    shown = ", ".join(choices[:most])
    left = len(choices) - most
    return f"{shown} and {left} more" if left > 0 else shown


def quoted(text: str) -> str:
    """Quote what somebody typed, in one line; a long one is cut."""
    plain = " ".join(text.split())
    return repr(plain if len(plain) <= MOST_QUOTED else f"{plain[:MOST_QUOTED].rstrip()} ...")


def with_article(noun: str) -> str:
    """Put "a" or "an" before a noun: "an angle", "a spring rate"."""
    return f"{'an' if noun[:1].lower() in 'aeio' else 'a'} {noun}"


def count_of(number: int, noun: str, plural: str = "") -> str:
    """Say how many: "1 problem", "2 problems", "3 boxes"."""
    return f"{number} {noun if number == 1 else plural or noun + 's'}"


def _plain(word: str) -> str:
    return word.casefold().replace("_", " ").replace("-", " ").strip()


WORDS: tuple[tuple[float, str], ...] = (
    (0.95, "sure"),
    (0.75, "likely"),
    (0.55, "more likely than not"),
    (0.0, "depends"),
)
"""The least chance at which each word is used."""


def chance_word(chance: float) -> str:
    """Return the word for a chance between 0 and 1."""
    return next(word for least, word in WORDS if chance >= least or least == 0.0)


def sayable(share: float, cars: int) -> float:
    """Cut a share of plausible cars to what so many of them can carry: all of 64 says no more than 63 of 64."""
    return min(share, 1.0 - 1.0 / cars)


def stands_out(chance: float) -> bool:
    """Say whether something is more likely than not, the weakest word that takes a side."""
    return chance >= WORDS[-2][0]


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


PHASE_WORDS = {"entry": "getting in", "middle": "in the middle", "exit": "coming off"}
"""Where in the corner, as every screen and page says it."""
STAGE_WORDS = {"fresh": "on fresh tires", "settled": "once settled", "worn": "late in the run"}
"""When in the run."""
CORNER_WORDS = {"LF": "left front", "RF": "right front", "LR": "left rear", "RR": "right rear"}
_SEVERAL_STAGES = {
    ("fresh", "settled", "worn"): "all run long",
    ("fresh", "settled"): "until the tires are worn",
    ("settled", "worn"): "from the settled laps on",
}


def listed(words: Sequence[str]) -> str:
    """Write a list as people do: "a, b and c"."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def where_words(phases: Sequence[str]) -> str:
    """Say places in the corner: "getting in and coming off", "all through the corner"."""
    if set(phases) >= set(PHASE_WORDS):
        return "all through the corner"
    return listed([PHASE_WORDS.get(phase, phase) for phase in phases])


def when_words(stages: Sequence[str]) -> str:
    """Say stages of the run: "on fresh tires and late in the run", "all run long"."""
    ordered = tuple(stage for stage in STAGE_WORDS if stage in stages)
    return _SEVERAL_STAGES.get(ordered) or listed([STAGE_WORDS.get(stage, f"when {stage}") for stage in stages])
