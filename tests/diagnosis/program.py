"""Plays a case against the program. Nothing else here knows the program."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from assistant.advice.offers import advise
from assistant.car.case import Case
from assistant.car.files import read_case
from assistant.diagnosis.questions import OpenQuestion, is_unsure
from assistant.diagnosis.session import Session, start
from assistant.ground.units import read
from assistant.pages.advice import first_offers, offers_of
from assistant.rules.pack import load_packs
from tests.demo_table import believe_case
from tests.diagnosis.crew import Crew
from tests.diagnosis.vignettes import STOP, Move, Offer, Vignette, read_file, read_move

PLAIN = read_file("moves")
SHARES = {
    "cross_percent": "cross_weight",
    "nose_percent": "nose_weight",
    "left_percent": "left_weight",
    "front_bias_percent": "brake_bias",
}
"""What a case tells of its car and the demo's setup can hold, beside the cold pressures."""


@dataclass(frozen=True)
class Played:
    """What came of a case. offers: the first three. balance: the one complained of most, "" when neither is.

    sure: the chance of a cure that is claimed of the first offer; None where none is.
    """

    vignette: Vignette
    offers: tuple[Offer, ...]
    asked: int
    unsure: int
    balance: str
    sure: float | None = None


def play(vignette: Vignette, crew: Crew | None = None) -> Played:
    """Tell the program the words and answer what it asks; without a crew nothing is answered."""
    session = start(_case_of(vignette.car), _pack(), vignette.words)
    while crew is not None and (question := session.next_question()) is not None:
        session = _answered(session, question, crew)
    unsure_answers = sum(is_unsure(choice) for _, choice in session.given)
    cells = [cell.balance for cell in session.complaint.cells]
    lead = cells.count("loose") - cells.count("tight")
    balance = "loose" if lead > 0 else "tight" if lead else ""
    offers, sure = _offers(session)
    return Played(vignette, offers, len(session.given), unsure_answers, balance, sure)


def _answered(session: Session, question: OpenQuestion, crew: Crew) -> Session:
    """Give the crew's choice, and what it says besides; where it has no choice the words are the answer."""
    choices = [choice.id for choice in question.choices]
    unsure = next((choice for choice in choices if is_unsure(choice)), choices[-1])
    chosen = crew.answer(question.id, choices)
    heard = session.reply(crew.says(question.id))
    if heard is not None and chosen is None and question.id in heard.answers:
        return heard
    again = heard.next_question() if heard is not None else None
    asked_still = heard if heard is not None and again is not None and again.id == question.id else session
    return asked_still.answer(question.id, chosen or unsure)


@cache
def _pack() -> Any:
    return load_packs()


def _case_of(car: Mapping[str, Any]) -> Case:
    """Put what is told of the car into the demo's setup; what a setup does not hold is left."""
    case = replace(read_case("demo"), answers={}, complaint="")
    air = car.get("cold_pressures_psi", {}).items()
    told = {f"pressure_{corner}": read(f"{psi} psi", "pressure").value for corner, psi in air}
    told |= {lever: car[name] / 100 for name, lever in SHARES.items() if name in car}
    return replace(case, setup=replace(case.setup, values={**case.setup.values, **told}))


_Advised = tuple[tuple[Offer, ...], float | None]
_ADVISED: dict[tuple[Any, ...], _Advised] = {}
"""By car, words and answers: words alone and an erring crew often come to what was advised before."""


def _offers(session: Session) -> _Advised:
    key = (*session.case.setup.values.values(), session.text, session.given)
    if key not in _ADVISED:
        _ADVISED[key] = _work_out(session)
    return _ADVISED[key]


def _work_out(session: Session) -> _Advised:
    if session.stop:
        return ((STOP,),), None
    advice = advise(session.case, session.knowledge, session, believe_case(session.case, session.complaint))
    if advice.stop:
        return ((STOP,),), None
    offers = first_offers(offers_of(advice))
    worth = offers[0].worth if offers else None
    return tuple(map(_moves, offers)), worth.sure if worth and not worth.looks else None


def _moves(offer: Any) -> Offer:
    if offer.kind == "package":
        return tuple(adjust(move.lever, move.change) for move in offer.moves)
    if offer.kind == "lever":
        return (adjust(offer.id, offer.change),)
    if offer.kind == "cannot-tell":
        return (Move(offer.kind, (offer.id,)), *map(read_move, PLAIN["cannot-tell"].get(offer.id, ())))
    kind = {"driving": "drive"}.get(offer.kind, offer.kind)
    plain = PLAIN.get(
        {"driving": "habits", "inspect": "inspections", "repair": "repairs"}.get(offer.kind, offer.kind), {}
    )
    return (Move(kind, tuple(plain.get(offer.id, [offer.id]))),)


def adjust(lever: str, change: float) -> Move:
    """Name a change of a lever as the cases do."""
    objects, larger, smaller = PLAIN["levers"].get(lever, [[lever], "up", "down"])
    return Move("adjust", tuple(objects), larger if change > 0 else smaller)
