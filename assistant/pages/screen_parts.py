"""Names of the parts of a long screen, and what stands on the screen and the page alike; nothing heavy is here."""

from __future__ import annotations

ALL = "all"
FORECAST = ("ends", "drift", "tires", "wear", "steering", "gears", "brakes", "air", ALL)
CORNER = ("loads", "steering", "circle", ALL)
LIMITS = (
    "Trust differences more than absolute numbers: the driver says where the car is, the model how it moves.",
    "The model knows no traffic, no bumps, curbs or wind, no track that changes, no brake fade and no tired engine.",
    "It drives an even speed in the middle, some brake on entry, some throttle on exit, and has one tire law for all.",
    "Whatever was only guessed in the car file makes every answer less sure.",
    "The tire maker's least pressure and the series rulebook come before anything said here.",
    "If something is bent, loose, leaking or rubbing, stop and mend that first.",
)
"""What the model does not know, and what comes before it."""


def more_of(ask: str, parts: tuple[str, ...]) -> str:
    """Say what shows the rest: "More: corner loads, steering or all."."""
    return f"More: {ask} {', '.join(parts[:-1])} or {parts[-1]}."


def either(words: tuple[str, ...]) -> str:
    """Write the pattern that one of the words matches."""
    return f"({'|'.join(words)})"
