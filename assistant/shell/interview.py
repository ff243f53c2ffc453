"""The moves of the interview in a conversation: the next question or the advice, back, change, ask on, enough, more."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.pages.advice import FIRST_SHOWN, advice_screen, offers_of, stop_screen
from assistant.pages.blocks import BLANK, Block, Line
from assistant.pages.hearing_words import say_back, say_question
from assistant.shell.making import NO_ADVICE, undo
from assistant.shell.prompts import question_blocks, question_explained
from assistant.shell.scene import Scene
from assistant.shell.verbs import number_in, read_line

if TYPE_CHECKING:
    from assistant.diagnosis.session import Session
    from assistant.shell.temps import Treads

WHOLE_AT_FIRST = 1
"""Offers told whole on the first screen, so that number 1 stands on 24 rows with the prompt; the next in two lines."""
MORE_AT_A_TIME = 2
"""Offers told whole that a screen holds."""
PUT_AWAY = "A new complaint; the answers to the old one are put away, and undo brings them back."
NOT_AFTER = "A change has been made since: undo takes it out; else say what the car does now."
NO_MORE_TO_ASK = "There is nothing more to ask that would tell the causes apart."


def begin(scene: Scene, session: Session) -> list[Block]:
    """Take up a new complaint; undo goes back to the one before it, with its answers."""
    put_away: list[Block] = []
    if scene.session is not None:
        put_away = [] if scene.made_here else [Line(PUT_AWAY)]
        scene.step(scene.session.text)
    scene.session, scene.advice = session, None
    read = session.complaint.cells or session.complaint.other or not session.stop
    return [*put_away, *([Line(say_back(session.complaint, session.severity_unsaid))] if read else []), *go_on(scene)]


def go_on(scene: Scene) -> list[Block]:
    """Ask the next question worth its time, or give the advice."""
    if scene.session is None:
        return []
    scene.advice = None
    scene.bench.hear(scene.session.complaint)
    scene.question = scene.session.next_question()
    return give_advice(scene) if scene.question is None else question_blocks(scene)


def give_advice(scene: Scene) -> list[Block]:
    """Show the advice for what is known now."""
    bench = scene.bench
    if scene.session is None:
        return []
    if scene.session.stop is not None:
        return [BLANK, *stop_screen(scene.session.stop)]
    scene.advice, scene.listed = bench.advise(scene.session), bench.case
    return [BLANK, *show_list(scene)]


def show_list(scene: Scene) -> list[Block]:
    """Show the first offers of the advice, those made marked."""
    advice, session = scene.advice, scene.session
    if advice is None or session is None:
        return []
    scene.shown = min(FIRST_SHOWN, len(offers_of(advice)))
    levers = scene.bench.knowledge.levers
    return _marked(scene, advice_screen(advice, levers, scene.units, whole=WHOLE_AT_FIRST, notes=session.notes))


def _marked(scene: Scene, blocks: list[Block]) -> list[Block]:
    """Mark the offers that are made."""
    made = {str(step.number) for step in scene.made_here}
    return [
        replace(block, text=f"Made already: {block.text}") if isinstance(block, Line) and block.lead in made else block
        for block in blocks
    ]


def back(scene: Scene, rest: str) -> list[Block]:
    """`back`, `back 3`."""
    session, steps = scene.session, int(rest or 1)
    if session is None:
        return [Line("Nothing to go back to yet.")]
    if scene.made_here:
        return [Line(NOT_AFTER)]
    if steps > len(session.given):
        if scene.steps and not scene.steps[-1].moves:
            return undo(scene, "")
        scene.step(session.text)
        scene.session = scene.question = scene.advice = None
        return [Line("Back at the start.")]
    scene.session = session.back(steps)
    return go_on(scene)


def change(scene: Scene, rest: str) -> list[Block]:
    """`change` lists the answers, `change 2` asks one again."""
    session = scene.session
    if session is None or not session.given:
        return [Line("No question has been answered yet.")]
    if not rest:
        answers = [Line(f"{say_question(one.question)} {one.says}", lead=str(one.number)) for one in session.answered()]
        return [Line("Your answers so far; type change and a number to answer again:"), *answers]
    if scene.made_here:
        return [Line(NOT_AFTER)]
    if not 1 <= int(rest) <= len(session.given):
        return [Line(f"The answers go from 1 to {len(session.given)}; type change alone to see them.")]
    scene.session = session.change(int(rest))
    return go_on(scene)


def ask_on(scene: Scene, _: str) -> list[Block]:
    """`ask`: go on with questions that would not be worth their time to most people."""
    if scene.session is None:
        return [Line(NO_ADVICE)]
    if scene.session.stop is not None:
        return stop_screen(scene.session.stop)
    if scene.made_here:
        return [Line(NOT_AFTER)]
    eager = scene.session.ask_on()
    question = eager.next_question()
    if question is None:
        return [Line(NO_MORE_TO_ASK)]
    scene.session, scene.question, scene.advice = eager, question, None
    return question_blocks(scene)


def enough(scene: Scene, _: str) -> list[Block]:
    """`enough`: the advice now."""
    if scene.session is None:
        return [Line(NO_ADVICE)]
    scene.question = None
    return show_list(scene) if scene.made_here else give_advice(scene)


def more(scene: Scene, _: str) -> list[Block]:
    """`more`: the next offers, whole."""
    if scene.advice is None:
        return [Line(NO_ADVICE)]
    count = min(MORE_AT_A_TIME, len(offers_of(scene.advice)) - scene.shown)
    if count <= 0:
        return [Line("That was all of them.")]
    blocks = advice_screen(scene.advice, scene.bench.knowledge.levers, scene.units, first=scene.shown, count=count)
    scene.shown += count
    return _marked(scene, blocks)


def take_treads(scene: Scene, treads: Treads) -> None:
    """Put tire temperatures among what was measured; what is said from now on counts them."""
    scene.bench.measure(treads)
    if scene.session is not None:
        scene.session = replace(scene.session, case=scene.bench.case)


def weigh_anew(scene: Scene) -> list[Block]:
    """Weigh the causes with what was measured since, and go on where the talk was: with a question or the advice."""
    if scene.session is None:
        return []
    return go_on(scene) if scene.question is not None else enough(scene, "")


def taken_as(text: str, session: Session) -> list[Block]:
    """Say which answer was understood where words were typed that are none of them: "kinda bad"."""
    given = session.answered()
    if number_in(text) is not None or not given or read_line(text) is not None:
        return []
    taken = given[-1].says
    return [] if text.strip().lower() in taken.lower() else [Line(f"Taken as: {taken}.")]


MOVES: Mapping[str, Callable[[Scene, str], list[Block]]] = {
    "back": back,
    "change": change,
    "more": more,
    "enough": enough,
    "ask": ask_on,
    "?": lambda scene, _: question_explained(scene),
}
