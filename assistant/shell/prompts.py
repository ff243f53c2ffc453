"""The words above every prompt: each says what can be typed, so that nobody is left at a blank one.

The prompt itself is two letters, so that nothing of it is left behind when the window changes its size.
"""

from __future__ import annotations

from assistant.shell.blocks import BLANK, Block, Choices, Line
from assistant.shell.scene import Scene

EXAMPLES = "loose off, pushes in the middle, loose on long runs, tight in, snaps"


MARK = "> "
"""What the cursor stands behind."""


def prompt_of(scene: Scene) -> tuple[str, tuple[str, ...]]:
    """Return the prompt where the scene stands, and the answers Tab may complete besides the commands."""
    question = scene.question
    if question is not None:
        return f"1 to {len(question.choices)}, ?, back or enough", tuple(choice.text for choice in question.choices)
    if scene.stop:
        return "When it is mended: what the car does now, back or quit", ()
    if scene.advice is not None:
        numbered = tuple(f"{verb} {number}" for number in (1, 2, 3) for verb in ("why", "try", "make"))
        return "2 or why 2 for more of it, try 1, make 1, more, ask, sheet, help, or new words", numbered
    if scene.made:
        return "What does it do now? (your words, undo, show or quit)", ()
    return "What is the car doing? (your words, help or quit)", ()


def what_can_be_typed(scene: Scene) -> str:
    """Say it in a sentence, for who pressed Enter or ? alone."""
    if scene.question is not None:
        count = len(scene.question.choices)
        return (
            f"Type a number from 1 to {count}; ? says what they mean, back goes one back, enough gives the advice now."
        )
    if scene.advice is not None and not scene.stop:
        return (
            "Type why, try or make with a number, more for other remedies, ask for more questions, sheet for a page to "
            "hand on, or what the car does now."
        )
    return f"Say what the car does, such as: {EXAMPLES}."


def question_blocks(scene: Scene) -> list[Block]:
    """Show the open question and its numbered answers."""
    question = scene.question
    if question is None:
        return []
    texts = tuple(choice.text for choice in question.choices)
    return [BLANK, Line(question.text, mark="heading"), Choices(texts)]


def question_explained(scene: Scene) -> list[Block]:
    """Say why the open question is asked, what each answer means, and how to tell."""
    question = scene.question
    if question is None:
        return [Line(what_can_be_typed(scene))]
    blocks: list[Block] = [Line(f"Asked because: {question.why}")] if question.why else []
    for number, choice in enumerate(question.choices, 1):
        blocks.append(Line(f"{choice.text}: {choice.help}" if choice.help else choice.text, lead=str(number)))
    return [*blocks, Line(f"How to tell: {question.how_to_tell}")] if question.how_to_tell else blocks
