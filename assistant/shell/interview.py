"""The questions of a talk and the list at their end: the next question or the advice, change, ask on, enough, more.

Every step goes on one stack; `changes` takes steps from it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.advice.results import Remedy
from assistant.diagnosis.questions import NONE_FOUND, SAFETY, question_of
from assistant.ground.names import plain_id
from assistant.ground.understood import AT_ONCE, SMOKE
from assistant.notebook.book import ANSWER, SAID
from assistant.pages import sayings
from assistant.pages.advice import advice_screen, first_offers, is_worth_a_row, offers_of, stop_screen
from assistant.pages.amounts import say_tires, sentence
from assistant.pages.blocks import BLANK, Block, Choices, Line
from assistant.pages.hearing_words import say_back, say_question, say_why_asked, sentences_of
from assistant.pages.terminal import Look, render
from assistant.shell.talk_state import TalkState, goes_back

if TYPE_CHECKING:
    from collections.abc import Sequence

    from assistant.advice.results import Advice
    from assistant.diagnosis.session import Session

WHOLE_AT_FIRST = 0
"""Offers told whole on the first screen, so that number 1 stands on 24 rows with the prompt; the next in two lines."""
ROWS = 20
"""Rows of a list: a screen of 24 with a blank one above it, one below, the prompt and the line that is typed."""
MORE_AT_A_TIME = 2
"""Offers told whole that a screen holds."""


def begin(state: TalkState, session: Session) -> list[Block]:
    """Take up a new complaint; undo goes back to what was there before, with its answers."""
    if state.session is not None and _is_change_alone(state, session):
        return _add(state, state.session, session)
    why = sayings.PUT_AWAY if session.reading.readable or session.stop else sayings.ASKED_ANEW
    put_away = [] if state.session is None or state.not_felt else [Line(why)]
    state.step(SAID, session.text)
    state.bench.begin_words()
    is_known = state.session is not None and not state.made and not session.reading.said.safety
    sound = told_sound(state.session) if state.session is not None and is_known else ()
    case = state.bench.case_as_read
    is_same = session.case is case and session.given == sound  # with all that was read from it
    session = session if is_same else replace(session, case=case, given=sound)
    if state.session is not None and sound:
        session = replace(session, sound_since=state.session.sound_since or state.session.text)
    state.session = replace(session, made=frozenset(state.failed(session.complaint)))
    felt = any(cell.balance != "fine" for cell in session.complaint.cells)
    read = felt or session.complaint.other or not session.stop
    said = [Line(say_back(session.complaint, session.severity_unsaid))] if read else []
    sounds = [Line(sayings.STILL_SOUND)] if sound and not session.stop else []
    return [*put_away, *said, *sounds, *go_on(state)]


def _is_change_alone(state: TalkState, begun: Session) -> bool:
    """Whether a line tells what was done to the car, and nothing else, where a complaint stands."""
    before, said = state.session, begun.reading.said
    stands = before is not None and before.again is None and before.reading.readable and not state.not_felt
    return stands and bool(said.changes) and not (said.claims or said.symptoms or said.moments or begun.stop)


def _add(state: TalkState, before: Session, begun: Session) -> list[Block]:
    """Add what was done to the car to the complaint that stands; the answers to that stay, but for what is told now."""
    state.step(SAID, begun.text)
    told = {plain_id(qid) for qid in begun.reading.said.answers}
    given = tuple(pair for pair in before.given if pair[0] not in told)
    state.session = replace(before, first=state.heard(f"{before.text}, {begun.text}").first, given=given)
    changed = "; ".join(begun.reading.said.changes)
    return [Line(sayings.ADDED.format(changed)), *go_on(state)]


def told_sound(before: Session) -> tuple[tuple[str, str], ...]:
    """Return the answer that the car was looked over and is sound, where it was given: other words ask it no more."""
    return tuple(pair for pair in before.given if pair == (SAFETY, NONE_FOUND))


def take_answer(state: TalkState, answered: Session) -> list[Block]:
    """Go on with an answer that was given."""
    _step_of_answer(state, answered)
    state.session = answered
    if state.looks is None:
        return go_on(state)
    return ask_of_look(state, state.looks) or leave_question(state)


def _step_of_answer(state: TalkState, after: Session) -> None:
    """Remember where the talk stands, before the last answer of this session."""
    question, choice = after.given[-1] if after.given else ("", "")
    says = [one.says for one in after.answered()] or [choice]
    state.step(ANSWER, says[-1], data={"question": question, "choice": choice})


def go_on(state: TalkState) -> list[Block]:
    """Ask the next question worth its time, or give the advice."""
    if state.session is None:
        return []
    state.list_anew(advised=False)
    state.question = state.session.next_question()
    if state.question is None:
        return give_advice(state)
    state.bench.drive_for(state.session)
    stopped = state.session.stop if state.session.reading.said.safety else None
    stop = [] if stopped is None else [BLANK, *stop_screen(stopped), *where_to_look(state)]
    return [*stop, *question_blocks(state)]


def give_advice(state: TalkState) -> list[Block]:
    """Show the advice for what is known now."""
    if state.session is None:
        return []
    if state.session.stop is not None:
        return show_stop(state)
    state.list_anew()
    return [BLANK, *show_list(state)]


def show_stop(state: TalkState) -> list[Block]:
    """Show why the car must be looked at first, and what may be said of a danger that was told; nothing without one."""
    choices = [Choices(sayings.AT_STOP)] if is_danger_told(state) else []
    return [] if state.stop is None else [BLANK, *stop_screen(state.stop), *where_to_look(state), *choices]


def where_to_look(state: TalkState) -> list[Block]:
    """Say what to look at on a car that is stopped; nothing where people come first."""
    questions, signs = state.bench.knowledge.questions, () if state.stop is None else state.stop.signs
    look, kinds = question_of(SAFETY, questions), question_of("safety_kind", questions)
    if not signs or look is None or kinds is None or not (AT_ONCE | {SMOKE}).isdisjoint(signs):
        return []
    told = [state.bench.knowledge.phrases.signs.get(sign, {}).get("safety-kind", "") for sign in signs]
    means = [choice.means for choice in kinds.choices if choice.id in told or choice.says in signs]
    return [Line(sayings.WHERE_TO_LOOK.format(" ".join(filter(None, [*means, look.entry.how_to_tell]))))]


def is_danger_told(state: TalkState) -> bool:
    """Whether a danger was told in words or answers, so that it may be taken back."""
    session = state.session
    return session is not None and bool(session.reading.said.safety or (session.stop and session.stop.question))


def show_list(state: TalkState) -> list[Block]:
    """Show the first offers of the advice, behind what is made already."""
    advice = state.advice
    if advice is None:
        return []
    if advice.stop:
        return stop_screen(advice.stop)
    made = [Line(sayings.MADE_ALREADY.format(sentence(step.said))) for step in state.not_felt]
    head = [Line(sayings.FOR_WHOM.format(state.bench.case.car.name, _words_of(state))), *made]
    state.shown = len(first_offers(state.offers))
    while len(render(blocks := [*head, *_first_offers(state, advice)], Look())) > ROWS and state.shown > 1:
        state.shown -= 1
    return blocks


def _first_offers(state: TalkState, advice: Advice) -> list[Block]:
    """Show as many offers as are to stand on the first screen."""
    count, model = max(1, state.shown), state.bench.model()
    screen = advice_screen(advice, state.levers, state.system, count=count, whole=WHOLE_AT_FIRST, model=model)
    return _marked(state, screen)


def _words_of(state: TalkState) -> str:
    """Say again what the driver said: first, and of the change since."""
    session = state.session
    words = () if session is None else (session.text, session.complaint.text)
    last = words[1:] if words and words[0] in words[1] else words
    return sayings.THEN.join(f'"{one}"' for one in last)


def show_rest(state: TalkState) -> list[Block]:
    """Show what comes first now that something was done, a line each."""
    offers = first_offers(state.offers)
    state.shown = len(offers)
    said = [f"{sentence(state.say_offer(one, brief=True))} {say_tires(one.run, brief=True)}" for one in offers]
    lines = [Line(text.strip(), "act", lead=str(at)) for at, text in enumerate(said, 1)]
    return [BLANK, Line(sayings.REST), *_marked(state, lines)] if lines else []


def _marked(state: TalkState, blocks: Sequence[Block]) -> list[Block]:
    """Mark the offers that take back what was made."""
    offers = enumerate(state.offers if state.made else (), 1)
    back = {str(number) for number, offer in offers if offer.kind != "undo" and goes_back(offer, state.made_last)}
    return [
        replace(block, text=sayings.GOES_BACK.format(block.text))
        if isinstance(block, Line) and block.lead in back
        else block
        for block in blocks
    ]


def change(state: TalkState, rest: str) -> list[Block]:
    """`change` lists the answers, `change 2` asks one again."""
    session = state.session
    answers = () if session is None else session.answered()
    if session is None or not answers:
        return [Line(sayings.NONE_ANSWERED)]
    if not rest:
        said = [f"{say_question(one.question)} {one.says}" for one in answers]
        return [Line(sayings.YOUR_ANSWERS), *(Line(text, lead=str(at)) for at, text in enumerate(said, 1))]
    if state.not_felt:
        return [Line(sayings.NOT_AFTER)]
    if not 1 <= int(rest) <= len(answers):
        return [Line(sayings.ANSWERS_GO.format(len(answers)))]
    asked_again = session.change(answers[int(rest) - 1].number)
    _step_of_answer(state, asked_again)
    state.session = asked_again
    return go_on(state)


def ask_on(state: TalkState, _: str) -> list[Block]:
    """`ask`: go on with questions that would not be worth their time to most people."""
    if state.session is None:
        return [Line(sayings.NO_ADVICE)]
    if state.session.stop is not None:
        return stop_screen(state.session.stop)
    if state.not_felt:
        return [Line(sayings.NOT_AFTER)]
    eager = state.session.ask_on()
    question = eager.next_question()
    if question is None:
        return [Line(sayings.NO_MORE_TO_ASK)]
    state.session, state.question = eager, question
    state.list_anew(advised=False)
    return question_blocks(state)


def enough(state: TalkState, _: str) -> list[Block]:
    """`enough`: the advice now."""
    if state.session is None:
        return [Line(sayings.NO_ADVICE)]
    return show_list(state) if state.advised and state.not_felt else leave_question(state)


def leave_question(state: TalkState) -> list[Block]:
    """Ask no more: the advice for what is known."""
    state.question = state.looks = None
    return give_advice(state)


def more(state: TalkState, _: str) -> list[Block]:
    """`more`: the next offers, whole."""
    if state.advice is None:
        return [Line(sayings.NO_ADVICE)]
    count = min(MORE_AT_A_TIME, len(state.offers) - state.shown)
    if count <= 0:
        return [Line(sayings.ALL_OF_THEM)]
    model = state.bench.model()
    blocks = advice_screen(state.advice, state.levers, state.system, first=state.shown, count=count, model=model)
    little = [] if any(map(is_worth_a_row, state.offers[state.shown :])) else [Line(sayings.LITTLE_IS_LEFT)]
    state.shown += count
    return [*little, *_marked(state, blocks)]


def question_blocks(state: TalkState) -> list[Block]:
    """Show the open question and its numbered answers."""
    question = state.question
    if question is None:
        return []
    texts = tuple(choice.says for choice in question.choices)
    asked = [Line(text, mark="heading") for text in sentences_of(say_question(question))]
    return [BLANK, *asked, Choices(texts)]


def prompt_of(state: TalkState) -> tuple[str, tuple[str, ...]]:
    """Return the prompt where nothing is asked, and what Tab may complete there besides the commands."""
    if state.advised and not state.stop and not state.not_felt:
        numbered = tuple(f"{verb} {number}" for number in (1, 2, 3) for verb in ("why", "try", "make"))
        number = _first_change(state)
        made = f"try {number}, make {number}" if number else "make 1"
        return sayings.LIST_PROMPT.format(min(2, max(1, state.shown)), made), numbered
    if state.stop:
        return sayings.STOP_PROMPT, ()
    if state.not_felt:
        return sayings.CHANGE_PROMPT, ()
    return sayings.WORDS_PROMPT if state.made else sayings.FIRST_PROMPT, ()


def _first_change(state: TalkState) -> int:
    """Return the number of the first offer on the screen that changes the setup; 0 where none is seen to."""
    seen = offers_of(state.found)[: state.shown] if state.found else ()
    return next((offer.rank for offer in seen if offer.changes), 0)


def what_can_be_typed(state: TalkState) -> str:
    """Say it in a sentence, for who pressed Enter or ? alone."""
    if state.question is not None:
        return sayings.TYPE_NUMBER.format(len(state.question.choices))
    return sayings.TYPE_AT_LIST if state.advised and not state.stop else sayings.SAY_WHAT


def question_explained(state: TalkState) -> list[Block]:
    """Say why the open question is asked, what each answer means, and how to tell."""
    question = state.question
    if question is None:
        return where_to_look(state) or [Line(what_can_be_typed(state))]
    why = say_why_asked(question)
    blocks: list[Block] = [Line(sayings.ASKED_BECAUSE.format(why))] if why else []
    for number, choice in enumerate(question.choices, 1):
        blocks.append(Line(f"{choice.says}: {choice.means}" if choice.means else choice.says, lead=str(number)))
    return [*blocks, Line(sayings.HOW_TO_TELL.format(question.entry.how_to_tell))]


def questions_of_look(state: TalkState, name: str) -> tuple[str, ...]:
    """Give the questions that a look answers, by its id: those of the causes, then those of the complaint."""
    if state.session is None:
        return ()
    entries = [entry for call in state.session.board.calls for _, entry in call.entries]
    for match in state.session.symptoms:
        entries += state.bench.knowledge.symptoms[match.symptom].remedies
    entries = [entry for entry in entries if entry.inspect == name]
    return tuple(dict.fromkeys(plain_id(one) for entry in entries for one in entry.answers))


def ask_of_look(state: TalkState, asked: tuple[str, ...]) -> list[Block]:
    """Ask what a look is to tell, the first of these questions that is open; nothing where none is."""
    session = state.session
    left = () if session is None else tuple(qid for qid in asked if qid not in session.known)
    if session is None or not left:
        return []
    state.session = replace(session, reasked=(left[0], len(session.given)))
    state.question, state.looks = state.session.next_question(), left[1:]
    state.list_anew(advised=False)
    return question_blocks(state)


def offer_at(state: TalkState, number: int) -> Remedy | None:
    """Find what a number on the list means."""
    return state.offers[number - 1] if 1 <= number <= len(state.offers) else None


def no_such_number(state: TalkState) -> Line:
    """Say which numbers there are; what to do first where there is no list."""
    if state.advice is None:
        return Line(sayings.NO_ADVICE if state.looks is None else sayings.LIST_WAITS)
    return Line(sayings.NUMBERS_GO.format(len(state.offers)) if state.offers else sayings.NO_CHOICE)
