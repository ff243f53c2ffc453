"""Names of the parts of a long screen, alike in the conversation and on the command line; nothing heavy is here."""

from __future__ import annotations

ALL = "all"
FORECAST = ("ends", "drift", "tires", "wear", "steering", "gears", "brakes", "air", ALL)
CORNER = ("loads", "steering", "circle", ALL)
STAGES = ("fresh", "settled", "worn")


def more_of(ask: str, parts: tuple[str, ...]) -> str:
    """Say what shows the rest: "More: corner loads, steering or all."."""
    return f"More: {ask} {', '.join(parts[:-1])} or {parts[-1]}."


def either(words: tuple[str, ...]) -> str:
    """Write the pattern that one of the words matches."""
    return f"({'|'.join(words)})"
