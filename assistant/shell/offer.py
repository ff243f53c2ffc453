"""The offer to go on with a talk that did not end: its words, and which lines answer it."""

from __future__ import annotations

from assistant.ground.words import count_of
from assistant.pages.blocks import BLANK, Block, Choices, Line
from assistant.shell.record import CutOff
from assistant.shell.scene import Scene
from assistant.shell.verbs import is_no_complaint, number_in

GO_ON = ("yes", "no, begin a new one")
"""The answers to the offer, in the order of their numbers."""
YES, NO = ("1", "yes", "y", "yep", "yeah", "sure"), ("2", "no", "n", "nope", "nah")
SAVED = "Saved; the next talk about this car offers to go on here."
NOT_KEPT = "Good running. Nothing of this talk is saved: your own folder cannot be written to."
STILL_THERE = "The talk from before is kept; the next talk about this car offers to go on with it."


def offer_to_go_on(talk: CutOff) -> list[Block]:
    """Offer to take up a talk that did not end."""
    lines = count_of(len(talk.typed), "line")
    said = f"A talk about this car from {talk.began} stopped after {lines}. Go on with it?"
    return [BLANK, Line(said), Choices(GO_ON)]


def offer_explained(talk: CutOff) -> list[Block]:
    """Say what the two answers to that offer do, and what else can be typed."""
    lines = count_of(len(talk.typed), "line")
    return [
        Line(f"yes: type the {lines} of that talk once more, and go on where it stopped.", lead="1"),
        Line("no: begin a new one; that talk is not offered again.", lead="2"),
        Line("What the car does, mine or temps begin a new one too; quit leaves it for the next time."),
    ]


def begins_anew(scene: Scene, text: str) -> bool:
    """Whether a line says what the car does, so that it begins anew; "ok", a number and a question do not."""
    from assistant.diagnosis.session import start  # noqa: PLC0415 - imports the rules

    if not text.strip() or number_in(text) is not None:
        return False
    begun = start(scene.bench.case, scene.bench.knowledge, text)
    return bool(begun.stop) or (begun.reading.readable and not is_no_complaint(text))


def changed_since(scene: Scene, talk: CutOff) -> list[str]:
    """Say what of the car is not what it was when a talk about it was left."""
    from assistant.shell.keep import prints_of, say_changes  # noqa: PLC0415 - imports pydantic

    if not talk.setup:
        return []
    now = prints_of(scene.bench.case)
    files = [f"another {part}" for part, mark in talk.prints.items() if now.get(part) != mark]
    return [*files, *say_changes(talk.on_file, scene.bench.on_file, scene.units)]


def moved_otherwise(scene: Scene) -> list[str]:
    """Say what a talk typed once more moved that the user's own file does not hold: its numbers mean others by now."""
    from assistant.shell.keep import is_own, say_changes  # noqa: PLC0415 - imports pydantic

    case = scene.bench.case
    return say_changes(case.setup.values, scene.bench.on_file, scene.units) if is_own(case) else []
