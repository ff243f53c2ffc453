"""`make` and `undo`: a change goes into the setup and onto the disk, and comes out again; so do words that were a slip.

What is made goes on standing on its list.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.advice.results import Package
from assistant.pages.advice import Offer, cautions_of, headline, offers_of
from assistant.pages.amounts import sentence
from assistant.pages.blocks import Block, Line
from assistant.shell.prompts import question_blocks
from assistant.shell.scene import Scene, Step

if TYPE_CHECKING:
    from assistant.car.setup import Setup

NO_ADVICE = "There is no advice yet: say what the car does, then answer the questions, or type enough."
NO_SETUP = "That is no change of the setup: do it, run, and say what the car does then."
LIST_STAYS = "The list stays as it was before it; say what the car does now, or make another."
TWO_AT_ONCE = "Two changes at once cannot be told apart: one at a time, with a run between, tells more."
NEAR = 1e-9
HAS_MOVED = "What number {} moves has been moved since this list was made: undo, or say what the car does now."


def make(scene: Scene, rest: str) -> list[Block]:
    """`make 2`: into the setup, and onto the disk."""
    number = int(rest or 1)
    offer = offer_at(scene, number)
    if offer is None:
        return [Line(NO_ADVICE) if scene.advice is None else no_such_number(scene)]
    setup = scene.bench.moved(offer)
    if setup is None:
        return [Line(NO_SETUP)]
    if number in {step.number for step in scene.made_here}:
        return [Line(f"Number {number} is made already; undo takes out the last one.")]
    if _has_moved(scene, offer):
        return [Line(HAS_MOVED.format(number))]
    return _make(scene, number, offer, setup)


def _make(scene: Scene, number: int, offer: Offer, setup: Setup) -> list[Block]:
    from assistant.car.moves import differences  # noqa: PLC0415 - imports the keys of every file

    said, before = headline(offer, scene.bench.knowledge.levers, scene.units), scene.bench.case.setup
    scene.bench.keep_said(None if scene.session is None else scene.session.complaint)
    if (where := _put(scene, setup)) is None:
        return _read_again(scene, "Not made")
    scene.step(said, number, differences(before, setup))
    scene.question = None
    cautions = [Line(text, mark="caution") for text in cautions_of(offer)]
    done: list[Block] = [Line(text) for text in (f"Made: {sentence(said)}", where) if text]
    once = [Line(TWO_AT_ONCE)] if len(scene.made_here) == 2 else []
    return [*done, *cautions, *_recheck(scene, offer), *once, Line("undo takes it out again. " + LIST_STAYS)]


def undo(scene: Scene, _: str) -> list[Block]:
    """`undo`: the last change made is taken out, or the last words taken back; what stood before is back."""
    if not scene.steps:
        return [Line("No change has been made in this talk.")]
    last = scene.steps[-1]
    if [last] == list(scene.made):
        scene.bench.keep_said(None)
    back: list[Block] = [Line(f"Back to what you said before: {last.said}.")]
    done = _take_out(scene, last) if last.moves else back
    if done is None:
        return _read_again(scene, "Not taken out")
    scene.steps.pop()
    scene.session, scene.question, scene.advice = last.session, last.question, last.advice
    scene.shown, scene.listed = last.shown, last.listed
    return done if last.moves else [*done, *_where_it_stood(scene)]


def _take_out(scene: Scene, last: Step) -> list[Block] | None:
    """Put back what a change moved, where it still stands as it left it; None when the file was changed meanwhile."""
    setup = scene.bench.case.setup
    if any(abs(setup.values[lever] - after) > NEAR * max(1.0, abs(after)) for lever, (_, after) in last.moves.items()):
        return [Line(f"Left as it is, for it was changed since: {sentence(last.said)}")]
    values = {**setup.values, **{lever: before for lever, (before, _) in last.moves.items()}}
    where = _put(scene, replace(setup, values=values, guessed=setup.guessed | last.guessed))
    return None if where is None else [Line(text) for text in (f"Taken out: {sentence(last.said)}", where) if text]


def _where_it_stood(scene: Scene) -> list[Block]:
    """Show the question or the list that is back."""
    from assistant.shell.interview import show_list  # noqa: PLC0415 - it imports this module

    made = [Line(f"Still made: {sentence(step.said)}") for step in scene.made[-1:]]
    return [*made, *(show_list(scene) if scene.question is None else question_blocks(scene))]


def _put(scene: Scene, setup: Setup) -> str | None:
    """Put a setup on the car and on the disk and say where; None, and nothing done, when the file was changed."""
    from assistant.shell.keep import keep_setup  # noqa: PLC0415 - imports pydantic
    from assistant.shell.own_file import ChangedMeanwhileError  # noqa: PLC0415 - with it

    bench, where = scene.bench, ""
    if not scene.replaying:
        try:
            where = keep_setup(bench.case, setup, scene.talk, scene.units, bench.on_file)
        except ChangedMeanwhileError:
            return None
        bench.read_file()
    bench.put(setup)
    return where


def _read_again(scene: Scene, not_done: str) -> list[Block]:
    """Read a setup that somebody changed meanwhile, and make the list anew where nothing of it is made."""
    from assistant.shell.interview import give_advice  # noqa: PLC0415 - it imports this module
    from assistant.shell.keep import say_changes  # noqa: PLC0415 - imports pydantic

    bench = scene.bench
    before = bench.on_file
    bench.read_again()
    if scene.session is not None:
        scene.session = replace(scene.session, case=bench.case)
    found = "; ".join(say_changes(before.values, bench.case.setup, scene.units))
    said = Line(f"{not_done}: the setup file was changed meanwhile ({found}). It has been read again.")
    return [said] if scene.made_here or scene.advice is None else [said, *give_advice(scene)]


def _has_moved(scene: Scene, offer: Offer) -> bool:
    """Whether a lever of an offer stands elsewhere than when the list was made."""
    from assistant.car.moves import TRACK_BAR_ENDS, differences  # noqa: PLC0415 - imports the keys of every file

    moved = set() if scene.listed is None else set(differences(scene.listed.setup, scene.bench.case.setup))
    levers = {move.lever for move in offer.moves} if isinstance(offer, Package) else {offer.id}
    return bool(moved & (levers | set(TRACK_BAR_ENDS) if "track_bar" in levers else levers))


def _recheck(scene: Scene, offer: Offer) -> list[Block]:
    ids = [move.lever for move in offer.moves] if isinstance(offer, Package) else [offer.id]
    levers = scene.bench.knowledge.levers
    checks = dict.fromkeys(check for lever in ids if lever in levers for check in levers[lever].recheck)
    return [Line("Check again: " + "; ".join(checks) + ".")] if checks else []


def offer_at(scene: Scene, number: int) -> Offer | None:
    """Find what a number on the list means."""
    offers = () if scene.advice is None else offers_of(scene.advice)
    return offers[number - 1] if 1 <= number <= len(offers) else None


def no_such_number(scene: Scene) -> Line:
    """Say which numbers there are."""
    count = len(offers_of(scene.advice)) if scene.advice is not None else 0
    return Line(f"The numbers go from 1 to {count}." if count else "There is nothing to choose from.")
