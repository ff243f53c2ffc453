"""Is "how sure" kept? Cars with a known fault, drawn from the pack's priors and signs: python -m tests.diagnosis sure.

It tells whether the program keeps its word where the pack is right; whether the pack is right, the written cases tell.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product
from math import exp
from random import Random
from statistics import fmean

from assistant.advice.offers import advise
from assistant.advice.results import Remedy
from assistant.car.files import read_case
from assistant.diagnosis.calls import chances_by_cause
from assistant.diagnosis.causes import PRIOR, candidate_causes
from assistant.diagnosis.plan import SEEN
from assistant.diagnosis.questions import OpenQuestion, is_unsure
from assistant.diagnosis.session import Session, start
from assistant.pages.advice import offers_of
from assistant.rules.pack import load_packs
from tests.demo_table import believe_case

CARS = 200
SEED = 7
GOAL = 0.08
COMPLAINTS = tuple(map(" ".join, product(("loose", "tight"), ("in", "in the middle", "off"))))
STEPS = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.7, 1.01)
"""Where claims are parted."""


@dataclass(frozen=True)
class Claim:
    """What is claimed with this chance, and the share of it that came true."""

    sure: float
    kept: float


def error_of(claims: Sequence[Claim]) -> float:
    """Return how far claims are off, on average over all of them: the mean claim of each part against what was kept."""
    parts = [[one for one in claims if low <= one.sure < high] for low, high in pairwise(STEPS)]
    return sum(abs(fmean(one.sure - one.kept for one in part)) * len(part) for part in parts if part) / len(claims)


def draw_cars(count: int = CARS) -> Iterator[tuple[str, Session]]:
    """Draw cars: a fault that can make the complaint by its prior, and every answer by its signs."""
    dice, knowledge = Random(SEED), load_packs()  # noqa: S311 - no secrets
    case = replace(read_case("demo"), answers={}, complaint="")
    for number in range(count):
        session = start(case, knowledge, COMPLAINTS[number % len(COMPLAINTS)]).answer("safety", "none")
        causes = [one for one in candidate_causes(session.complaint, knowledge) if not one.safety]
        fault = dice.choices(causes, [exp(PRIOR[one.prior]) for one in causes])[0].cause
        yield fault, _ask(session, fault, dice)


def _ask(session: Session, fault: str, dice: Random) -> Session:
    while (question := session.next_question()) is not None:
        session = session.answer(question.id, _answer(question, session, fault, dice))
    return session


def _answer(question: OpenQuestion, session: Session, fault: str, dice: Random) -> str:
    """Draw an answer as the fault makes it likely, or "not sure" as often as such a crew cannot say."""
    rows = session.knowledge.once(chances_by_cause).get(question.id, [])
    telling = [choice.id for choice in question.choices if not is_unsure(choice.id)]
    unsure = next((choice.id for choice in question.choices if is_unsure(choice.id)), telling[-1])
    has_it = any(fault in row for row in rows)
    if dice.random() > (max(SEEN, question.entry.answerable) if has_it else question.entry.answerable):
        return unsure
    weights = [row.get(fault, row[""]) for row in rows]
    return dice.choices(telling, weights if len(weights) == len(telling) else None)[0]


def claims_of(fault: str, session: Session) -> tuple[Claim | None, Claim]:
    """Hold the first move's chance to cure, and the likeliest cause's, against the fault; None for a look."""
    leader = session.causes[0]
    named = Claim(leader.chance, float(leader.id == fault))
    advice = advise(session.case, session.knowledge, session, believe_case(session.case, session.complaint))
    offers = offers_of(advice)
    if advice.stop or not offers or offers[0].worth is None or offers[0].worth.looks:
        return None, named
    titles = {cause.cause: title for cause, title in zip(session.weighing.causes, session.board.titles, strict=False)}
    return Claim(offers[0].worth.sure, _cured(offers[0], titles.get(fault, ""))), named


def _cured(offer: Remedy, title: str) -> float:
    """Return the chance that an offer cures under a fault: what its cause says, or what the believed cars say."""
    lines = offer.worth.lines if offer.worth else ()
    share = next((max(0.0, one.cures) for one in lines if one.title == title), 0.0)
    plain = next((one.cures for one in lines if one.is_balance and one.cures > 0), 0.0)
    by_cars = offer.cures is not None and offer.kind in {"lever", "package"} and plain > 0
    return min(1.0, share * (offer.cures or 0.0) / plain) if by_cars else share


def table(count: int = CARS) -> list[str]:
    """Lay out how far the claims of as many cars are off."""
    found = [claims_of(fault, session) for fault, session in draw_cars(count)]
    moves = [move for move, _ in found if move is not None]
    named = [one for _, one in found]
    rows = [f"{len(found)} cars with a known fault; goal: {GOAL:.2f} off on average"]
    for says, claims in (("the first move cures", moves), ("the likeliest cause is it", named)):
        rows.append(f"{says}: {error_of(claims):.2f} off ({len(claims)} claims, seed {SEED})")
        for low, high in pairwise(STEPS):
            part = [one for one in claims if low <= one.sure < high]
            if part:
                mean, kept = fmean(one.sure for one in part), fmean(one.kept for one in part)
                rows.append(f"  {low:.0%} to {min(high, 1.0):.0%}: claimed {mean:.0%}, kept {kept:.0%} of {len(part)}")
    return rows
