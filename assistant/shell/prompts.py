"""The words above every prompt: each says what can be typed, so that nobody is left at a blank one.

The prompt itself is two letters, so that nothing of it is left behind when the window changes its size.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.ground.words import quoted
from assistant.pages.blocks import BLANK, Block, Choices, Line
from assistant.pages.hearing_words import say_question, say_why_asked
from assistant.shell.scene import Scene
from assistant.shell.verbs import nearest_verb

EXAMPLES = "loose off, pushes in the middle, loose on long runs, tight in, snaps"


MENDED = "Good. Say what the car does now, in your words; back goes to the question of faults."
_MENDED = re.compile(r"\b(fixed|mended|repaired|replaced|sorted|done)\b")
TELLS = "help {} tells what it means."
MARK = "> "
"""What the cursor stands behind."""


def prompt_of(scene: Scene) -> tuple[str, tuple[str, ...]]:
    """Return the prompt where the scene stands, and the answers Tab may complete besides the commands."""
    question = scene.question
    if question is not None:
        return f"1 to {len(question.choices)}, ?, back or enough", tuple(choice.says for choice in question.choices)
    if scene.stop:
        return "When it is mended: what the car does now, back or quit", ()
    if scene.made_here:
        return "What does it do now? (your words, make another, sheet, undo, show or quit)", ()
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
    texts = tuple(choice.says for choice in question.choices)
    return [BLANK, Line(say_question(question), mark="heading"), Choices(texts)]


def question_explained(scene: Scene) -> list[Block]:
    """Say why the open question is asked, what each answer means, and how to tell."""
    question = scene.question
    if question is None:
        return [Line(what_can_be_typed(scene))]
    why = say_why_asked(question)
    blocks: list[Block] = [Line(f"Asked because: {why}")] if why else []
    for number, choice in enumerate(question.choices, 1):
        blocks.append(Line(f"{choice.says}: {choice.means}" if choice.means else choice.says, lead=str(number)))
    return [*blocks, Line(f"How to tell: {question.entry.how_to_tell}")]


def not_understood(scene: Scene, text: str, unread: Sequence[str]) -> list[Block]:
    """Say what a line that tells nothing of the car may have been meant for."""
    if scene.stop and _MENDED.search(text.lower()):
        return [Line(MENDED)]
    if asks := [word for word in unread if word.endswith("?)")]:
        return [Line(f"I need more than that: {', '.join(asks)}. Say it again with the answer in it.")]
    if is_known_word(scene, text):
        return [Line(f"{quoted(text)} alone says nothing of what the car does. {TELLS.format(text.strip())}")]
    meant = nearest_verb(text)
    if meant:
        return [Line(f"I do not know {quoted(text)}; did you mean '{meant}'?")]
    return [
        Line(f"I cannot make out {quoted(text)}."),
        Line(f"Say what the car does, such as: {EXAMPLES}. Type help for the commands."),
    ]


def is_known_word(scene: Scene, text: str) -> bool:
    """Whether a line is a word that can be explained."""
    from assistant.pages.lookup import explain  # noqa: PLC0415 - not before the first prompt

    return bool(text.strip()) and explain(text, scene.bench.knowledge) is not None
