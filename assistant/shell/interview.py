"""The moves of a talk: the next question or the advice, back, change, ask on, enough, more; make, and undo.

Every step goes on one stack, and undo and back take steps from it. A change that is made goes into the setup and onto
the disk, and comes out again; what is made goes on standing on its list.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.advice.results import Package
from assistant.car.moves import TRACK_BAR_ENDS, differences
from assistant.pages.advice import FIRST_SHOWN, Offer, advice_screen, cautions_of, headline, offers_of, stop_screen
from assistant.pages.amounts import sentence
from assistant.pages.blocks import BLANK, Block, Choices, Line
from assistant.pages.hearing_words import say_back, say_question, say_why_asked
from assistant.shell.keep import ChangedMeanwhileError, keep_setup, say_changes
from assistant.shell.talk_state import Step, TalkState

if TYPE_CHECKING:
    from assistant.car.edit import Treads
    from assistant.car.setup import Setup
    from assistant.diagnosis.session import Session

WHOLE_AT_FIRST = 1
"""Offers told whole on the first screen, so that number 1 stands on 24 rows with the prompt; the next in two lines."""
MORE_AT_A_TIME = 2
"""Offers told whole that a screen holds."""
NO_ADVICE = "There is no advice yet: say what the car does, then answer the questions, or type enough."
PUT_AWAY = "A new complaint; the answers to the old one are put away, and undo brings them back."
NOT_AFTER = "A change has been made since: undo takes it out; else say what the car does now."
NO_MORE_TO_ASK = "There is nothing more to ask that would tell the causes apart."
NOTHING_TO_UNDO = "Nothing has been said or made yet that could be taken back."
AT_THE_START = "Back at the start."
NO_SETUP = "That is no change of the setup: do it, run, and say what the car does then."
LIST_STAYS = "The list stays as it was before it; say what the car does now, or make another."
TWO_AT_ONCE = "Two changes at once cannot be told apart: one at a time, with a run between, tells more."
HAS_MOVED = "What number {} moves has been moved since this list was made: undo, or say what the car does now."
EXAMPLES = "loose off, pushes in the middle, loose on long runs, tight in, snaps"
SAME_VALUE = 1e-9
"""Share of a value; nearer than this a lever stands where it was put."""


def begin(state: TalkState, session: Session) -> list[Block]:
    """Take up a new complaint; undo goes back to what was there before, with its answers."""
    put_away = [] if state.session is None or state.made_here else [Line(PUT_AWAY)]
    state.step()
    state.session, state.advice = session, None
    read = session.complaint.cells or session.complaint.other or not session.stop
    said = [Line(say_back(session.complaint, session.severity_unsaid))] if read else []
    return [*put_away, *said, *go_on(state)]


def take_answer(state: TalkState, answered: Session) -> list[Block]:
    """Go on with an answer that was given."""
    state.step(is_answer=True)
    state.session = answered
    return go_on(state)


def go_on(state: TalkState) -> list[Block]:
    """Ask the next question worth its time, or give the advice."""
    if state.session is None:
        return []
    state.advice = None
    state.bench.hear(state.session.complaint)
    state.question = state.session.next_question()
    return give_advice(state) if state.question is None else question_blocks(state)


def give_advice(state: TalkState) -> list[Block]:
    """Show the advice for what is known now."""
    bench = state.bench
    if state.session is None:
        return []
    if state.session.stop is not None:
        return [BLANK, *stop_screen(state.session.stop)]
    state.advice, state.listed = bench.advise(state.session), bench.case
    return [BLANK, *show_list(state)]


def show_list(state: TalkState) -> list[Block]:
    """Show the first offers of the advice, those made marked."""
    advice = state.advice
    if advice is None or state.session is None:
        return []
    state.shown = min(FIRST_SHOWN, len(offers_of(advice)))
    levers = state.bench.knowledge.levers
    return _marked(state, advice_screen(advice, levers, state.system, whole=WHOLE_AT_FIRST))


def _marked(state: TalkState, blocks: list[Block]) -> list[Block]:
    """Mark the offers that are made."""
    made = {str(step.number) for step in state.made_here}
    return [
        replace(block, text=f"Made already: {block.text}") if isinstance(block, Line) and block.lead in made else block
        for block in blocks
    ]


def back(state: TalkState, rest: str) -> list[Block]:
    """`back`, `back 3`: so many answers, then the complaint."""
    left = int(rest or 1)
    if state.session is None:
        return [Line("Nothing to go back to yet.")]
    if state.made_here:
        return [Line(NOT_AFTER)]
    while left and state.steps and state.steps[-1].is_answer:
        state.take_back()
        left -= 1
    if not left:
        return _where_it_stands(state)
    if state.steps and state.steps[-1].before.session is not None and not state.steps[-1].moves:
        return undo(state, "")
    state.step()
    state.session = state.question = state.advice = None
    return [Line(AT_THE_START)]


def change(state: TalkState, rest: str) -> list[Block]:
    """`change` lists the answers, `change 2` asks one again."""
    session = state.session
    if session is None or not session.given:
        return [Line("No question has been answered yet.")]
    if not rest:
        answers = [Line(f"{say_question(one.question)} {one.says}", lead=str(one.number)) for one in session.answered()]
        return [Line("Your answers so far; type change and a number to answer again:"), *answers]
    if state.made_here:
        return [Line(NOT_AFTER)]
    if not 1 <= int(rest) <= len(session.given):
        return [Line(f"The answers go from 1 to {len(session.given)}; type change alone to see them.")]
    state.step(is_answer=True)
    state.session = session.change(int(rest))
    return go_on(state)


def ask_on(state: TalkState, _: str) -> list[Block]:
    """`ask`: go on with questions that would not be worth their time to most people."""
    if state.session is None:
        return [Line(NO_ADVICE)]
    if state.session.stop is not None:
        return stop_screen(state.session.stop)
    if state.made_here:
        return [Line(NOT_AFTER)]
    eager = state.session.ask_on()
    question = eager.next_question()
    if question is None:
        return [Line(NO_MORE_TO_ASK)]
    state.session, state.question, state.advice = eager, question, None
    return question_blocks(state)


def enough(state: TalkState, _: str) -> list[Block]:
    """`enough`: the advice now."""
    if state.session is None:
        return [Line(NO_ADVICE)]
    state.question = None
    return show_list(state) if state.made_here else give_advice(state)


def more(state: TalkState, _: str) -> list[Block]:
    """`more`: the next offers, whole."""
    if state.advice is None:
        return [Line(NO_ADVICE)]
    count = min(MORE_AT_A_TIME, len(offers_of(state.advice)) - state.shown)
    if count <= 0:
        return [Line("That was all of them.")]
    blocks = advice_screen(state.advice, state.bench.knowledge.levers, state.system, first=state.shown, count=count)
    state.shown += count
    return _marked(state, blocks)


def take_treads(state: TalkState, treads: Treads) -> None:
    """Put tire temperatures among what was measured; what is said from now on counts them."""
    state.bench.measure(treads)
    if state.session is not None:
        state.session = replace(state.session, case=state.bench.case)


def weigh_anew(state: TalkState) -> list[Block]:
    """Weigh the causes with what was measured since, and go on where the talk was: with a question or the advice."""
    if state.session is None:
        return []
    return go_on(state) if state.question is not None else enough(state, "")


def question_blocks(state: TalkState) -> list[Block]:
    """Show the open question and its numbered answers."""
    question = state.question
    if question is None:
        return []
    texts = tuple(choice.says for choice in question.choices)
    return [BLANK, Line(say_question(question), mark="heading"), Choices(texts)]


def what_can_be_typed(state: TalkState) -> str:
    """Say it in a sentence, for who pressed Enter or ? alone."""
    if state.question is not None:
        count = len(state.question.choices)
        return (
            f"Type a number from 1 to {count}; ? says what they mean, back goes one back, enough gives the advice now."
        )
    if state.advice is not None and not state.stop:
        return (
            "Type why, try or make with a number, more for other remedies, ask for more questions, sheet for a page to "
            "hand on, or what the car does now."
        )
    return f"Say what the car does, such as: {EXAMPLES}."


def question_explained(state: TalkState) -> list[Block]:
    """Say why the open question is asked, what each answer means, and how to tell."""
    question = state.question
    if question is None:
        return [Line(what_can_be_typed(state))]
    why = say_why_asked(question)
    blocks: list[Block] = [Line(f"Asked because: {why}")] if why else []
    for number, choice in enumerate(question.choices, 1):
        blocks.append(Line(f"{choice.says}: {choice.means}" if choice.means else choice.says, lead=str(number)))
    return [*blocks, Line(f"How to tell: {question.entry.how_to_tell}")]


def make(state: TalkState, rest: str) -> list[Block]:
    """`make 2`: into the setup, and onto the disk."""
    number = int(rest or 1)
    offer = offer_at(state, number)
    if offer is None:
        return [Line(NO_ADVICE) if state.advice is None else no_such_number(state)]
    setup = state.bench.moved(offer)
    if setup is None:
        return [Line(NO_SETUP)]
    if number in {step.number for step in state.made_here}:
        return [Line(f"Number {number} is made already; undo takes out the last one.")]
    if _has_moved(state, offer):
        return [Line(HAS_MOVED.format(number))]
    return _make(state, number, offer, setup)


def _make(state: TalkState, number: int, offer: Offer, setup: Setup) -> list[Block]:
    said, before = headline(offer, state.bench.knowledge.levers, state.system), state.bench.case.setup
    state.bench.keep_said(None if state.session is None else state.session.complaint)
    if (where := _put(state, setup)) is None:
        return _read_again(state, "Not made")
    state.step(said=said, number=number, moves=differences(before, setup))
    state.question = None
    cautions = [Line(text, mark="caution") for text in cautions_of(offer)]
    done: list[Block] = [Line(text) for text in (f"Made: {sentence(said)}", where) if text]
    once = [Line(TWO_AT_ONCE)] if len(state.made_here) == 2 else []
    return [*done, *cautions, *_recheck(state, offer), *once, Line("undo takes it out again. " + LIST_STAYS)]


def undo(state: TalkState, _: str) -> list[Block]:
    """`undo`: the last step is taken back: a change is taken out, an answer or words were never said."""
    if not state.steps:
        return [Line(NOTHING_TO_UNDO)]
    last = state.steps[-1]
    if last.moves:
        return _undo_change(state, last)
    state.take_back()
    if last.is_answer:
        return _where_it_stands(state)
    if state.session is None:
        return [Line(AT_THE_START)]
    still = [Line(f"Still made: {sentence(step.said)}") for step in state.made[-1:]]
    return [Line(f"Back to what you said before: {state.session.text}."), *still, *_where_it_stands(state)]


def _undo_change(state: TalkState, last: Step) -> list[Block]:
    bench = state.bench
    before = bench.kept, bench.told
    bench.kept, bench.told = last.kept, last.told
    done = _take_out(state, last)
    if done is None:
        bench.kept, bench.told = before
        return _read_again(state, "Not taken out")
    state.take_back()
    return done


def _take_out(state: TalkState, last: Step) -> list[Block] | None:
    """Put back what a change moved, where it still stands as it left it; None when the file was changed meanwhile."""
    setup = state.bench.case.setup
    if any(
        abs(setup.values[lever] - after) > SAME_VALUE * max(1.0, abs(after)) for lever, (_, after) in last.moves.items()
    ):
        return [Line(f"Left as it is, for it was changed since: {sentence(last.said)}")]
    values = {**setup.values, **{lever: before for lever, (before, _) in last.moves.items()}}
    where = _put(state, replace(setup, values=values, guessed=setup.guessed | last.guessed))
    return None if where is None else [Line(text) for text in (f"Taken out: {sentence(last.said)}", where) if text]


def _where_it_stands(state: TalkState) -> list[Block]:
    """Show the question or the list that is back."""
    if state.session is None or state.question is None:
        return show_list(state)
    state.bench.hear(state.session.complaint)
    return question_blocks(state)


def _put(state: TalkState, setup: Setup) -> str | None:
    """Put a setup on the car and on the disk and say where; None, and nothing done, when the file was changed."""
    bench, where = state.bench, ""
    if not state.replaying:
        try:
            where = keep_setup(bench.case, setup, state.name, state.system, bench.on_file)
        except ChangedMeanwhileError:
            return None
        bench.read_file()
    bench.put(setup)
    return where


def _read_again(state: TalkState, not_done: str) -> list[Block]:
    """Read a setup that somebody changed meanwhile, and make the list anew where nothing of it is made."""
    bench = state.bench
    before = bench.on_file
    bench.read_again()
    if state.session is not None:
        state.session = replace(state.session, case=bench.case)
    found = "; ".join(say_changes(before.values, bench.case.setup, state.system))
    said = Line(f"{not_done}: the setup file was changed meanwhile ({found}). It has been read again.")
    return [said] if state.made_here or state.advice is None else [said, *give_advice(state)]


def _has_moved(state: TalkState, offer: Offer) -> bool:
    """Whether a lever of an offer stands elsewhere than when the list was made."""
    moved = set() if state.listed is None else set(differences(state.listed.setup, state.bench.case.setup))
    levers = {move.lever for move in offer.moves} if isinstance(offer, Package) else {offer.id}
    return bool(moved & (levers | set(TRACK_BAR_ENDS) if "track_bar" in levers else levers))


def _recheck(state: TalkState, offer: Offer) -> list[Block]:
    ids = [move.lever for move in offer.moves] if isinstance(offer, Package) else [offer.id]
    levers = state.bench.knowledge.levers
    checks = dict.fromkeys(check for lever in ids if lever in levers for check in levers[lever].recheck)
    return [Line("Check again: " + "; ".join(checks) + ".")] if checks else []


def offer_at(state: TalkState, number: int) -> Offer | None:
    """Find what a number on the list means."""
    offers = () if state.advice is None else offers_of(state.advice)
    return offers[number - 1] if 1 <= number <= len(offers) else None


def no_such_number(state: TalkState) -> Line:
    """Say which numbers there are."""
    count = len(offers_of(state.advice)) if state.advice is not None else 0
    return Line(f"The numbers go from 1 to {count}." if count else "There is nothing to choose from.")
