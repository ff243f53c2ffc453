"""A plain question about a word: "what is tight", "what does loose mean". It complains of nothing."""

from __future__ import annotations

import re

_ASKS = re.compile(
    r"(?:(?:so|ok|and|but|hey|please|sorry)[ ,]+)*"
    r"(?:what(?:'?s|s| is| are| does| do you mean by)|define|(?:the )?meaning of|what is the meaning of|what means)\s+"
    r"(?:an? |the |by )?(?P<word>[\w'/-]+(?: [\w'/-]+){0,3}?)(?: (?:mean|means|stand for|do|for))?\s*[?.!]*"
)
_OF_THE_CAR = frozenset(
    [
        "it",
        "its",
        "it's",
        "car",
        "happening",
        "happens",
        "happened",
        "going",
        "wrong",
        "that",
        "this",
        "i",
        "we",
        "he",
        "she",
        "he's",
    ]
)
"""What begins with one of these tells of the car: "what it does is push"."""


def word_asked(text: str) -> str | None:
    """Return the word a question asks about, None where the text is no such question."""
    found = _ASKS.fullmatch(" ".join(text[:200].lower().replace("’", "'").replace('"', "").split()))
    if found is None or found["word"].split()[0] in _OF_THE_CAR:
        return None
    return found["word"].strip("'")
