"""The sentence for a lever that cannot go further the way it is wanted."""

from __future__ import annotations


def say_stop(title: str, stop: str, word: str) -> str:
    """Say that a lever cannot go further; word: its word for that way, such as "stiffer"."""
    if stop == "largest_change":
        return f"The next step of the {title} is more than the largest sensible single change."
    if word in MOST:
        return f"{capitalise(title)} is already the {MOST[word]} allowed."
    return f"{capitalise(title)} is already as far {word} as the rules allow."


MOST = {
    "stiffer": "stiffest",
    "softer": "softest",
    "up": "highest",
    "down": "lowest",
    "higher": "highest",
    "lower": "lowest",
    "more": "most",
    "less": "least",
    "bigger": "biggest",
    "larger": "largest",
    "smaller": "smallest",
    "quicker": "quickest",
    "slower": "slowest",
    "taller": "tallest",
    "shorter": "shortest",
}
"""What a lever is at its stop, by the word for moving it that way."""


def capitalise(text: str) -> str:
    """Begin with a capital and leave the rest alone ("LR spring" stays)."""
    return text[:1].upper() + text[1:]
