"""Nearest spelling, and the few bits of grammar that messages need.

Not the reader of complaints: that one lives in `assistant.diagnosis.hearing`.
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
    "bump_lf": "compression_lf",
    "bump_lr": "compression_lr",
    "bump_rf": "compression_rf",
    "bump_rr": "compression_rr",
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


def listed(words: Sequence[str]) -> str:
    """Write a list as people do: "a, b and c"."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
