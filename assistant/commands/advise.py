"""`halfturn advise` and `sheet`: what to change for a complaint, on the screen, as data, or as a page to hand on."""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.advice import offers
from assistant.commands.runner import Runner, refused
from assistant.diagnosis.session import start
from assistant.pages import sayings
from assistant.pages.advice import MOST_COSTS, advice_screen, first_offers, offers_of, stop_screen
from assistant.pages.advice_words import say_beside
from assistant.pages.blocks import ALL, Block, Line, apart, lines
from assistant.pages.data import Way, advice_data
from assistant.pages.hearing_words import say_back, say_question, why_nothing
from assistant.pages.paper import HOW_TO_OPEN, format_of, page_data, put, read_other, refuse_place, write_page
from assistant.pages.sheet_page import make_page
from assistant.pages.why import facts_blocks, facts_of, here_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from assistant.advice.results import Advice, Remedy
    from assistant.belief.model import Model
    from assistant.car.case import Case
    from assistant.diagnosis.session import Session
    from assistant.ground.units import System
    from assistant.pages.blocks import Page
    from assistant.pages.paper import Format
    from assistant.rules.knowledge import Knowledge

ALL_COSTS = 99
MOST_OPEN = 3
"""Open questions that are named, the most telling first."""
COMPLAINTS = 'say what the car does, such as --complaint "loose off late in the run"'
ON_SCREEN = "-"


@dataclass(frozen=True)
class Advised:
    """A case, what its driver said, and the advice for it."""

    case: Case
    knowledge: Knowledge
    session: Session
    advice: Advice

    @property
    def code(self) -> int:
        """Exit code: 0 when there is anything to do; to stop and look at the car first is something."""
        return 0 if self.advice.stop or self.advice.offers else 1


def advise(options: argparse.Namespace) -> int:
    """Advise; the code is 1 when nothing can help, and 2 when nobody can read the complaint."""
    run = Runner(options)
    done = advised(run, tells_facts=options.facts or not options.json)

    def data() -> dict[str, Any]:
        model = run.model.result() if options.facts and not done.advice.stop else None
        return advice_data(done.advice, Way(run.system, done.case, model))

    run.answer(lambda: stop_screen(done.advice.stop) if done.advice.stop else _screen(done, run), data)
    return done.code


def sheet(options: argparse.Namespace) -> int:
    """Write the page; the code is 1 when nothing can help, which the page then says."""
    run, path = Runner(options), place_of(options)
    form: Format = options.format or ("html" if path is None else format_of(path))
    if path is not None:
        refuse_place(path, force=options.force)
    done = advised(run)
    against = read_other(options.against, done.case) if options.against else None

    def make() -> Page:
        known, listed = (done.case, done.knowledge, done.session, done.advice), offers_of(done.advice)
        return make_page(*known, listed, system=run.system, against=against)

    page = run.work(sayings.DRIVING_FOR_PAGE, make)
    if path is None and not options.json:
        sys.stdout.write(write_page(page, form))
        return done.code
    if path is not None:
        put(path, write_page(page, form), force=options.force)
    run.answer(lambda: [Line(sayings.PAGE_WRITTEN.format(path, HOW_TO_OPEN[form]))], lambda: page_data(page))
    return done.code


def place_of(options: argparse.Namespace) -> Path | None:
    """Say where the page goes: None for the screen, a file named after the case when nothing was said."""
    if options.json or options.output == ON_SCREEN:
        return None
    if options.output is not None:
        return Path(options.output)
    ending = ".md" if options.format == "markdown" else ".html"
    return Path(f"{Path(options.case).stem}-sheet{ending}")


def advised(run: Runner, *, tells_facts: bool = False) -> Advised:
    """Read the case, take the complaint and the answers, and advise. Raises BadInput.

    tells_facts: the one car that physical facts are told of is computed meanwhile.
    """
    run.begin_to_drive()
    options, knowledge, case = run.options, run.knowledge, run.case
    words = case.complaint if options.complaint is None else options.complaint
    session = start(case, knowledge, words) if words.strip() else start(replace(case, complaint=""), knowledge)
    for given in options.answer:
        session = with_answer(session, given)
    if (stopped := offers.stop_alone(session)) is not None:
        return Advised(case, knowledge, session, stopped)
    if not words.strip():
        raise refused("the case holds no complaint", COMPLAINTS, case.file or options.case)
    if not session.reading.readable:
        raise refused(why_nothing(session.reading.said, words), COMPLAINTS, "the complaint")

    if tells_facts:
        run.model  # noqa: B018 - begun by asking for it

    def weigh() -> Advice:
        return offers.advise(case, knowledge, session, run.believe(case, session.complaint))

    return Advised(case, knowledge, session, run.work(sayings.WHAT_LEVERS_DO, weigh))


def with_answer(session: Session, given: str) -> Session:
    """Answer one question given as QUESTION=CHOICE. Raises BadInput for what is neither."""
    name, equals, choice = given.partition("=")
    if not equals:
        raise refused(f"{given!r} is no answer", "write QUESTION=CHOICE, such as where=exit", "--answer")
    try:
        return session.answer(name.strip(), choice.strip())
    except ValueError as mistake:
        raise refused(str(mistake), where="--answer") from mistake


def _screen(done: Advised, run: Runner) -> list[Block]:
    """Show the first offers as the conversation does, or every one whole."""
    options, model = run.options, run.model.result()
    advice, levers, offers = done.advice, done.knowledge.levers, offers_of(done.advice)
    shown, most = (len(offers), ALL_COSTS) if options.part else (len(first_offers(offers)), MOST_COSTS)
    screen = advice_screen(
        advice,
        levers,
        options.units,
        count=shown,
        whole=None if options.part else 1,
        most=most,
        rest="",
        model=model,
    )
    return [
        *apart(
            [Line(say_back(done.session.complaint, done.session.severity_unsaid))],
            screen,
            lines(say_beside(advice)),
            _facts(offers_of(advice)[:shown], model, options.units) if options.facts else [],
            _open(advice, options),
        ),
        *_more(options, len(offers)),
    ]


def _more(options: argparse.Namespace, count: int) -> list[Block]:
    if options.part or not count:
        return []
    talk, every = f"halfturn talk {options.case}", f"halfturn advise {options.case} {ALL}"
    return [Line(sayings.ALL_OF_ADVICE.format(every, talk))]


def _facts(shown: Sequence[Remedy], model: Model, system: System) -> list[Block]:
    blocks: list[Block] = []
    for number, offer in enumerate(shown, 1):
        told = facts_of(offer, model, system)
        blocks += facts_blocks(told, sayings.FACTS_OF.format(number) + here_words(offer))
    return blocks


def _open(advice: Advice, options: argparse.Namespace) -> list[Block]:
    if not advice.open_questions:
        return []
    first = advice.open_questions[: MOST_OPEN if options.part else 1]
    asked = [Line(f"{say_question(question)} (--answer {question.id}=...)", indent=2) for question in first]
    left = len(advice.open_questions) - len(first)
    more = [Line(sayings.AND_LESS.format(left))] if left and options.part else []
    return [Line(sayings.STILL_OPEN), *asked, *more]
