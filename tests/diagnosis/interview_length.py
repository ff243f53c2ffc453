"""How long the interview is and how often it names the right cause: python -m tests.diagnosis.interview_length.

Drivers are made up from the pack's own model: a complaint, a cause drawn by how usual it is ("none of these" included),
and answers drawn as that cause makes them likely, one in ten "not sure". So the hit rate is that of a pack that is
right about its causes; it is good for comparing rules of asking with each other, and for nothing else.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import exp
from random import Random
from statistics import fmean
from typing import Any

from assistant.car.files import read_case
from assistant.diagnosis.causes import PRIOR, candidate_causes, model_answers, to_chances
from assistant.diagnosis.questions import OpenQuestion, is_unsure, none_score
from assistant.diagnosis.session import Session, start
from assistant.rules.pack import load_packs

COMPLAINTS = (
    "loose in",
    "tight in",
    "loose in the middle",
    "tight in the middle",
    "loose off",
    "loose off late",
    "tight off",
    "tight on long runs",
)
RULES: Mapping[str, Mapping[str, float]] = {
    "one price": {"question_price": 0.02, "price_growth": 0.0, "unsure_again": 0.1},
    "the pack": {},
}
NONE = "none of these"


@dataclass(frozen=True)
class Driver:
    """Somebody whose car suffers from one cause. share: how often they are not sure."""

    complaint: str
    cause: str
    dice: Random
    share: float

    def answer(self, question: OpenQuestion, pack: Any) -> str:
        """Pick an answer as the cause makes it likely; what has nothing to do with causes is answered evenly."""
        model = pack.once(model_answers).get(question.id)
        unsure = [choice.id for choice in question.choices if is_unsure(choice.id)]
        if question.id == "safety":
            return "none"
        if unsure and self.dice.random() < self.share:
            return unsure[0]
        if model is None:
            return self.dice.choice([choice.id for choice in question.choices if not is_unsure(choice.id)])
        weights = model.signs.get(self.cause, {})
        from_pack = {one: share * exp(weights[one].weight if weights else 0.0) for one, share in model.usual.items()}
        return self.dice.choices(list(from_pack), list(from_pack.values()))[0]


def talk(driver: Driver, pack: Any) -> tuple[int, bool]:
    """Run one interview; returns how many questions were asked and whether the likeliest cause was the right one."""
    session: Session = start(replace(read_case("demo"), answers={}, complaint=""), pack, driver.complaint)
    asked = 0
    while (question := session.next_question()) is not None:
        session = session.answer(question.id, driver.answer(question, pack))
        asked += 1
    causes = session.causes
    left = 1 - sum(cause.chance for cause in causes)
    named = NONE if not causes or left > causes[0].chance else causes[0].id
    return asked, named == driver.cause


def drivers(pack: Any, count: int, share: float) -> list[Driver]:
    """The same drivers each time, every complaint as often as the next."""
    made = []
    case = replace(read_case("demo"), answers={}, complaint="")
    for number in range(count):
        dice = Random(number)  # noqa: S311 - made-up drivers, no secrets
        complaint = COMPLAINTS[number % len(COMPLAINTS)]
        causes = candidate_causes(start(case, pack, complaint).complaint, pack)
        none = none_score(pack)
        chances = to_chances([*(PRIOR[cause.prior] for cause in causes), none])
        cause = dice.choices([*(cause.cause for cause in causes), NONE], chances)[0]
        made.append(Driver(complaint, cause, dice, share))
    return made


def with_weights(pack: Any, weights: Mapping[str, float]) -> Any:
    """The pack with other weights of the interview."""
    return replace(pack, ranking=pack.ranking.model_copy(update={"interview": {**pack.ranking.interview, **weights}}))


def measure(pack: Any, count: int, share: float) -> tuple[float, int, float]:
    """Mean number of questions, the most, and the share of right causes."""
    talks = [talk(driver, pack) for driver in drivers(pack, count, share)]
    lengths = [asked for asked, _ in talks]
    return fmean(lengths), max(lengths), fmean(right for _, right in talks)


def main(words: list[str]) -> int:
    """Print one line for each rule and kind of driver."""
    count = int(words[0]) if words else 400
    base = load_packs()
    print(f"{count} made-up drivers; questions: mean, most; right cause named")
    for name, weights in RULES.items():
        for share in (0.1, 1.0):
            mean, most, hits = measure(with_weights(base, weights), count if share < 1 else len(COMPLAINTS), share)
            kind = "one answer in ten not sure" if share < 1 else "always not sure"
            print(f"{name:<22}{kind:<28}{mean:5.1f} {most:3d}  {100 * hits:3.0f} %", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
