"""`halfturn advise`: ranked remedies for the complaint in a case file, or for the words given."""

from __future__ import annotations

import argparse
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.commands.common import WORKING_OUT, answer, load_knowledge, work
from assistant.ground.problems import BadInput, Problem
from assistant.ground.words import count_of
from assistant.pages.blocks import BLANK, Block, Line
from assistant.pages.hearing_words import say_back, say_question
from assistant.pages.screen_parts import ALL

if TYPE_CHECKING:
    from assistant.advice.results import Advice
    from assistant.belief.effects import EffectTable
    from assistant.car.case import Case
    from assistant.diagnosis.session import Session
    from assistant.rules.knowledge import Knowledge

ALL_COSTS = 99
MOST_OPEN = 3
"""Open questions that are named, the most telling first."""
COMPLAINTS = 'say what the car does, such as --complaint "loose off late in the run"'


@dataclass(frozen=True)
class Advised:
    """A case, what its driver said, and the advice for it. table: None for a car that must be looked at first."""

    case: Case
    knowledge: Knowledge
    session: Session
    advice: Advice
    table: EffectTable | None


def run(options: argparse.Namespace) -> int:
    """Advise; the code is 1 when nothing can help, and 2 when nobody can read the complaint."""
    done = advised(options)
    if options.json:
        from assistant.pages.data import Way, advice_data  # noqa: PLC0415 - only for JSON

        model = done.table.model if options.facts and done.table is not None else None
        answer([], advice_data(done.advice, Way(options.units, done.case, model)), options)
    else:
        answer(_screen(done, options), None, options)
    return 0 if can_help(done.advice) else 1


def _screen(done: Advised, options: argparse.Namespace) -> list[Block]:
    """Show the first offers as the conversation does, or every one whole."""
    from assistant.pages.advice import FIRST_SHOWN, MOST_COSTS, advice_screen, offers_of, stop_screen  # noqa: PLC0415 - not for JSON
    from assistant.pages.advice_words import say_beside  # noqa: PLC0415 - same

    advice, levers, count = done.advice, done.knowledge.levers, len(offers_of(done.advice))
    if advice.stop:
        return stop_screen(advice.stop)
    shown, most = (count, ALL_COSTS) if options.part else (min(FIRST_SHOWN, count), MOST_COSTS)
    screen = advice_screen(
        advice,
        levers,
        options.units,
        count=shown,
        whole=None if options.part else 1,
        notes=done.session.notes,
        most=most,
        rest="",
    )
    passed = [Line(note) for note in say_beside(advice)]
    return [
        Line(say_back(done.session.complaint, done.session.severity_unsaid)),
        BLANK,
        *screen,
        *([BLANK, *passed] if passed else []),
        *(_facts(done, options, shown) if options.facts else []),
        *_open(advice, options),
        *_more(options, count),
    ]


def _more(options: argparse.Namespace, count: int) -> list[Block]:
    """Say what shows the rest."""
    if options.part or not count:
        return []
    talk, every = f"halfturn talk {options.case}", f"halfturn advise {options.case} {ALL}"
    return [Line(f"{every} shows {count_of(count, 'change')} with every cost; {talk} asks, compares and makes them.")]


def _facts(done: Advised, options: argparse.Namespace, shown: int) -> list[Block]:
    """Say what every change shown is on this car, under its number."""
    from assistant.pages.advice import offers_of  # noqa: PLC0415 - not for JSON
    from assistant.pages.why import facts_blocks, facts_of  # noqa: PLC0415 - same

    if done.table is None:
        return []
    blocks: list[Block] = []
    for number, offer in enumerate(offers_of(done.advice)[:shown], 1):
        told = facts_of(offer, done.case, done.table.model, options.units)
        blocks += facts_blocks(told, f"Number {number} on this car")
    return [BLANK, *blocks] if blocks else []


def advised(options: argparse.Namespace) -> Advised:
    """Read the case, take the complaint and the answers, and advise. Raises BadInput."""
    from assistant.advice.lever_table import table_for  # noqa: PLC0415 - imports numpy
    from assistant.advice.offers import advise, stop_alone  # noqa: PLC0415 - imports numpy
    from assistant.car.files import read_case  # noqa: PLC0415 - imports pydantic
    from assistant.diagnosis.session import start  # noqa: PLC0415 - imports the rules
    from assistant.rules.own_levers import equip  # noqa: PLC0415 - imports the keys of every file

    knowledge = load_knowledge(options)
    case = equip(read_case(options.case), knowledge)
    words = case.complaint if options.complaint is None else options.complaint
    session = start(case, knowledge, words) if words.strip() else start(replace(case, complaint=""), knowledge)
    for given in options.answer:
        session = with_answer(session, given)
    if (stopped := stop_alone(session)) is not None:
        return Advised(case, knowledge, session, stopped, None)
    if not words.strip():
        raise BadInput(Problem(case.file or options.case, 0, 0, "the case holds no complaint", COMPLAINTS))
    if not session.reading.readable:
        raise BadInput(Problem("the complaint", 0, 0, f"nobody can read {words!r}", COMPLAINTS))

    def weigh() -> tuple[Advice, EffectTable]:
        table = table_for(case, knowledge, session.complaint, habits=False)
        return advise(case, knowledge, session, table), table

    return Advised(case, knowledge, session, *work(WORKING_OUT, weigh, options))


def can_help(advice: Advice) -> bool:
    """Whether there is anything to do; to stop and look at the car first is something."""
    return bool(advice.stop or advice.remedies or advice.packages)


def with_answer(session: Session, given: str) -> Session:
    """Answer one question given as QUESTION=CHOICE. Raises BadInput for what is neither."""
    name, equals, choice = given.partition("=")
    if not equals:
        raise BadInput(
            Problem("--answer", 0, 0, f"{given!r} is no answer", "write QUESTION=CHOICE, such as where=exit")
        )
    try:
        return session.answer(name.strip(), choice.strip())
    except ValueError as mistake:
        raise BadInput(Problem("--answer", 0, 0, str(mistake))) from mistake


def _open(advice: Advice, options: argparse.Namespace) -> list[Block]:
    if not advice.open_questions:
        return []
    first = advice.open_questions[: MOST_OPEN if options.part else 1]
    asked = [Line(f"{say_question(question)} (--answer {question.id}=...)", indent=2) for question in first]
    left = len(advice.open_questions) - len(first)
    more = [Line(f"And {left} that would tell less; halfturn talk asks what is worth asking.")] if left else []
    return [BLANK, Line("Still open, and most likely to change this:"), *asked, *(more if options.part else [])]
