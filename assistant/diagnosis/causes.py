"""Causes before cures: which cause is likely, with the signs that speak for and against it.

Score = prior + signs, in log-odds. A sign resting on an answer is weighed against the other answers the question could
have had. An answer that a cause makes likely speaks for it by less than its bare strength, and every other answer
speaks a little against it; otherwise chances would be claimed too high, since only what fits would ever count.
What the causes call for stands in `calls`, which question to ask next in `asking`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field, replace
from math import exp, log

from assistant.diagnosis.evidence import WHAT_CHANGED, Fact, facts_of_answers
from assistant.diagnosis.questions import NOTHING_CHANGED
from assistant.ground.names import chance_word, plain_id
from assistant.ground.understood import CauseFound, Complaint, Sign
from assistant.rules.conditions import Condition
from assistant.rules.knowledge import Knowledge
from assistant.rules.models import CHANGE_KINDS, HowOften, Strength
from assistant.rules.models_symptom import TRIED, Cause, CauseSign, Explains, Question

PRIOR = {"common": 1.1, "usual": 0.0, "rare": -1.6, "very rare": -3.0}
"""Log of how often against "usual": three times, one fifth and one twentieth (assumption)."""
STRENGTH = {"decides": 5.0, "strong": 2.6, "fair": 1.7, "weak": 0.9}
"""Log-odds of one sign before doubt. Finer steps gain 0.4 points of hit rate on simulated cars."""
WRONG = {"decides": 0.02, "strong": 0.05, "fair": 0.07, "weak": 0.1}
"""Share of such signs that are told or read wrong (assumption): a feeling oftener than a thing that was measured."""
MADE: Mapping[HowOften, tuple[Strength, float]] = {
    "often": ("strong", 1.0),
    "seldom": ("weak", -1.0),
    "never": ("strong", -1.0),
}
"""What a kind of change says of a cause it makes so often: strength of the sign, and whether it is for or against."""
ALONE: Mapping[HowOften, tuple[Strength, float]] = {
    "often": ("weak", 0.0),
    "seldom": ("fair", -1.0),
    "never": ("strong", -1.0),
}
"""What "nothing was changed" says of a cause that comes by itself so often."""
WORDS = "words of the complaint"
COMPUTED = "plausible cars"
"""Groups of what rests on no fact of the pack: it stays, whatever is answered."""
SAID_OF_TIME = frozenset({"stage", "trend", "when_in_run", "first_laps", "how_bad"})
"""Facts the cells of a complaint say: when it comes and how bad it is. Where in the corner it is stays with the pack,
as cars may be off in each part by themselves."""
LEAST = 0.05
"""Log-odds below this are not shown and not counted."""


@dataclass(frozen=True)
class Fired:
    """A sign that holds. group: the signs it repeats."""

    sign: Sign
    group: str = ""

    @property
    def weight(self) -> float:
        """Its weight in log-odds, + for the cause."""
        return self.sign.weight


@dataclass(frozen=True)
class AnswerModel:
    """One question. usual: chance of each telling answer when the question has nothing to do with the cause (sum 1).

    signs: cause id -> answer -> what that answer says of the cause; the chance of an answer under a cause is
    usual x e^weight, and these sum to 1 as well.
    """

    usual: Mapping[str, float]
    signs: Mapping[str, Mapping[str, Fired]]


@dataclass(frozen=True)
class Reckoned:
    """What plausible cars say of causes that are numbers of the model.

    weights: log-odds by the id of the cause. facts: those the cars have counted besides time and size.
    done: what they say of a cause because of a change that was told, with the words it was told in.
    """

    weights: Mapping[str, float] = field(default_factory=dict)
    facts: frozenset[str] = frozenset()
    done: Mapping[str, tuple[float, str]] = field(default_factory=dict)

    def counted(self, cause: Cause) -> frozenset[str]:
        """Name the facts that say nothing more of a cause: the cars have counted them."""
        return SAID_OF_TIME | self.facts if cause.cause in self.weights else frozenset()

    def title(self, cause: Cause) -> str:
        """Name a cause, by the change that was told where that made it."""
        weight, said = self.done.get(cause.cause, (0.0, ""))
        return cause.title_told.format(said) if cause.title_told and weight > 0 else cause.title

    def signs(self, cause: Cause) -> list[Fired]:
        """Give what the cars say of a cause."""
        weight, (done, said) = self.weights.get(cause.cause, 0.0), self.done.get(cause.cause, (0.0, ""))
        signs = [Sign("", weight, "computed"), Sign(said, done, "made it" if done > 0 else "did not make it")]
        return [Fired(sign, COMPUTED) for sign in signs if abs(sign.weight) >= LEAST]


NOT_RECKONED = Reckoned()


@dataclass(frozen=True)
class Weighing:
    """The causes that can make a complaint, in the order of the pack, with the signs that hold for each."""

    causes: tuple[Cause, ...]
    signs: tuple[tuple[Fired, ...], ...]
    reckoned: Reckoned = NOT_RECKONED

    def chances(self, none: float) -> list[float]:
        """Return the chance of each, and of "none of these" last; together 1."""
        scores = [
            PRIOR[cause.prior] + sum(one.weight for one in fired)
            for cause, fired in zip(self.causes, self.signs, strict=True)
        ]
        return to_chances([*scores, none])


def find_causes(weighing: Weighing, none: float) -> tuple[CauseFound, ...]:
    """Return the causes that explain the complaint, most likely first. With "none of these" their chances sum to 1."""
    chances = weighing.chances(none)
    titles = map(weighing.reckoned.title, weighing.causes)
    found = [_found(*one) for one in zip(weighing.causes, titles, weighing.signs, chances, strict=False)]
    return tuple(sorted(found, key=lambda one: -one.chance))


def _found(cause: Cause, title: str, fired: Sequence[Fired], chance: float) -> CauseFound:
    return CauseFound(
        cause.cause,
        title,
        chance,
        chance_word(chance),
        tuple(one.sign for one in fired if one.weight > 0),
        tuple(one.sign for one in fired if one.weight < 0),
        cause.instead or "",
        PRIOR[cause.prior],
    )


def weigh(
    complaint: Complaint,
    facts: Mapping[str, Fact],
    knowledge: Knowledge,
    said: AbstractSet[str],
    reckoned: Reckoned = NOT_RECKONED,
    made: AbstractSet[tuple[str, int]] = frozenset(),
) -> Weighing:
    """Collect the signs of every cause that can make such a complaint.

    said: symptoms of two halves that the driver described whole; a cause to be treated as one of them gains by it.
    made: levers that were moved and did not help, each with its way; repairs and habits with 0.
    """
    causes = candidate_causes(complaint, knowledge)
    signs = [
        (
            *signs_of(cause, facts, knowledge, reckoned),
            *_signs_in_words(cause, complaint, said),
            *_sign_of_corner(cause, complaint),
            *_sign_of_no_change(cause, facts),
            *_sign_of_made(cause, made, knowledge),
            *reckoned.signs(cause),
        )
        for cause in causes
    ]
    return Weighing(tuple(causes), tuple(signs), reckoned)


def candidate_causes(complaint: Complaint, knowledge: Knowledge) -> list[Cause]:
    """Return the causes that can make such a complaint, in the order of the pack; any can where nothing was read."""
    causes = knowledge.causes.values()
    if all(cell.balance == "fine" for cell in complaint.cells) and not complaint.other:
        return list(causes)
    return [cause for cause in causes if any(explains(one, complaint) for one in cause.explains)]


def explains(one: Explains, complaint: Complaint) -> bool:
    """Tell whether an entry of `explains` meets a cell of the complaint, or the symptom it names is part of it."""
    if one.symptom is not None:
        return one.symptom in complaint.other
    return any(
        cell.balance == one.balance and one.phase in {"all", "none", cell.phase} and cell.stage in one.stages
        for cell in complaint.cells
    )


def _signs_in_words(cause: Cause, complaint: Complaint, said: AbstractSet[str]) -> list[Fired]:
    """Weigh what the complaint itself says: described whole or in part, or with a half this cause does not explain."""
    if cause.instead and cause.instead in said:
        return [Fired(Sign(cause.instead, worth("strong"), "described"), WORDS)]
    if complaint.cells and (named := {one.symptom for one in cause.explains}.intersection(complaint.other)):
        return [Fired(Sign(min(filter(None, named)), worth("fair"), "described"), WORDS)]
    balances = {cell.balance for cell in complaint.cells} & {"loose", "tight"}
    missed = balances - {one.balance for one in cause.explains}
    if balances == {"loose", "tight"} and len(missed) == 1:
        return [Fired(Sign(missed.pop(), -worth("weak"), "other half"), WORDS)]
    return []


def _sign_of_corner(cause: Cause, complaint: Complaint) -> list[Fired]:
    """Speak for a cause of the corner that was named."""
    corner = (cause.corner or "").upper()
    return [Fired(Sign(corner, worth("weak"), "corner named"), WORDS)] if corner in complaint.corners else []


def _sign_of_no_change(cause: Cause, facts: Mapping[str, Fact]) -> list[Fired]:
    """Speak against a cause that only a change makes where nobody told of one."""
    untold = cause.by_itself == "never" and WHAT_CHANGED not in facts
    return [Fired(Sign("", -worth("fair"), "no change told"), WORDS)] if untold else []


def _sign_of_made(cause: Cause, made: AbstractSet[tuple[str, int]], knowledge: Knowledge) -> list[Fired]:
    """Speak against a cause that a change, a repair or a habit would have cured which was tried and did not help."""
    instead = knowledge.symptoms.get(cause.instead or "")
    remedies = (*cause.remedies, *(instead.remedies if instead else ()))
    if not {(one.id, 0) for one in remedies if one.kind in TRIED}.isdisjoint(made):
        return [Fired(Sign("", -worth("strong"), "done in vain"), WORDS)]
    cured = {(one.lever, knowledge.move_sign(one.lever, one.move)) for one in remedies if one.lever and one.move}
    in_vain = any(lever in knowledge.levers for lever, _ in made) if cause.plain else not cured.isdisjoint(made)
    return [Fired(Sign("", -worth("fair"), "made in vain"), WORDS)] if in_vain else []


def to_chances(scores: Sequence[float]) -> list[float]:
    """Turn log-weights into chances that sum to 1."""
    top = max(scores)
    shares = [exp(score - top) for score in scores]
    return [share / sum(shares) for share in shares]


def worth(strength: Strength) -> float:
    """Return what a sign of this strength is worth [log-odds], with doubt."""
    return doubt(STRENGTH[strength], WRONG[strength])


def doubt(weight: float, wrong: float) -> float:
    """Return what a sign of this weight (log-odds) is worth when a share of the answers is wrong.

    The sign is taken as seen with chance p under the cause and 1 - p without it, p / (1 - p) = e^weight; with a share
    `wrong` of answers flipped, p becomes p (1 - wrong) + (1 - p) wrong.
    """
    seen = 1 / (1 + exp(-weight))
    noisy = seen * (1 - wrong) + (1 - seen) * wrong
    return log(noisy / (1 - noisy))


def signs_of(
    cause: Cause, facts: Mapping[str, Fact], knowledge: Knowledge, reckoned: Reckoned = NOT_RECKONED
) -> list[Fired]:
    """List the signs that hold, strongest first, one for each group of signs that repeat each other.

    What was said of time against a cause that comes with laps counts, whatever the cars have counted.
    """
    counted = reckoned.counted(cause)
    against = counted - SAID_OF_TIME if cause.comes_with_laps else counted
    fired = [
        fired
        for test in knowledge.once(tests_of_causes)[cause.cause]
        if (fired := test.read(facts)) is not None and not test.names & (against if fired.weight < 0 else counted)
    ]
    fired.sort(key=lambda one: -abs(one.weight))  # stable: of equals the first in the file
    kept: list[Fired] = []
    for one in fired:
        if abs(one.weight) >= LEAST and (not one.group or all(other.group != one.group for other in kept)):
            kept.append(one)
    return kept


@dataclass(frozen=True)
class _Test:
    """A question, what each of its answers says of a cause; or a condition on several facts, and what it says."""

    names: frozenset[str]
    by_answer: Mapping[str, Fired] = field(default_factory=dict)
    condition: Condition | None = None
    fired: Fired | None = None

    def read(self, facts: Mapping[str, Fact]) -> Fired | None:
        """Give the sign that holds, if any."""
        if self.condition is not None:
            return self.fired if self.condition.holds(facts) is True else None
        (question,) = self.names
        return self.by_answer.get(str(facts[question])) if question in facts else None


def tests_of_causes(knowledge: Knowledge) -> dict[str, tuple[_Test, ...]]:
    """List what tells of each cause, by its id; ask for it with `knowledge.once`.

    The questions come first, then the signs that rest on measurements, the setup or several answers together.
    """
    models = knowledge.once(model_answers)
    found: dict[str, list[_Test]] = {name: [] for name in knowledge.causes}
    for qid, model in models.items():
        for name, signs in model.signs.items():
            found[name].append(_Test(frozenset({qid}), signs))
    for cause in knowledge.causes.values():
        for sign, way in _both_ways(cause):
            condition = knowledge.condition(sign.condition)
            if len(condition.names) != 1 or not condition.names <= models.keys():
                fired = Fired(Sign(sign.text, way * worth(sign.strength)), sign.same_as or "")
                found[cause.cause].append(_Test(condition.names, condition=condition, fired=fired))
    return {name: tuple(tests) for name, tests in found.items()}


def _both_ways(cause: Cause) -> Iterator[tuple[CauseSign, float]]:
    """Give every sign of a cause with +1 where it speaks for it, -1 against it."""
    yield from ((sign, 1.0) for sign in cause.signs_for)
    yield from ((sign, -1.0) for sign in cause.signs_against)


def model_answers(knowledge: Knowledge) -> dict[str, AnswerModel]:
    """Work out what each question's answers say, by question id; ask for it with `knowledge.once`."""
    return {
        plain_id(qid): _model_question(plain_id(qid), entry, knowledge) for qid, entry in knowledge.questions.items()
    }


def facts_behind(knowledge: Knowledge) -> dict[str, frozenset[str]]:
    """List the facts each cause hangs on, by cause id; ask for it with `knowledge.once`."""
    return {
        cause.cause: frozenset({WHAT_CHANGED} if cause.made_by or cause.by_itself != "often" else ()).union(
            *(knowledge.condition(sign.condition).names for sign, _ in _both_ways(cause))
        )
        for cause in knowledge.causes.values()
    }


def _model_question(qid: str, entry: Question, knowledge: Knowledge) -> AnswerModel:
    """Work out how likely each answer is, without a cause and under each.

    usual: an answer that is a strong sign of some cause is seldom given without it. With chance 1 / (1 + e^w), w its
    weight for the cause it speaks for most (or against, when for none), a question with one sign for and one against
    keeps exactly the weights of the pack.
    """
    choices = [choice.id for choice in entry.choices if facts_of_answers({qid: choice.id})]
    told = {cause.cause: _signs_on(cause, qid, choices, knowledge) for cause in knowledge.causes.values()}
    told = {name: signs for name, signs in told.items() if signs}
    shares = {choice: 1 / (1 + exp(_most_telling(choice, told))) for choice in choices}
    usual = {choice: share / sum(shares.values()) for choice, share in shares.items()}
    says = {choice.id: choice.says for choice in entry.choices}
    signs = {}
    for name, found in told.items():
        likely = log(sum(usual[choice] * exp(found[choice].weight if choice in found else 0.0) for choice in choices))
        group = _shared_group(found)
        missing = {choice: Fired(Sign(says[choice], 0.0, "no sign", entry.asks), group) for choice in choices}
        signs[name] = {
            choice: replace(one, sign=_shifted(one.sign, likely, says[choice], entry.asks))
            for choice, one in {**missing, **found}.items()
        }
    return AnswerModel(usual, signs)


def _shifted(sign: Sign, by: float, says: str, asks: str) -> Sign:
    """Take the chance that any answer comes off a sign; one that stands for the answer itself says its words."""
    said = replace(sign, weight=sign.weight - by)
    if sign.kind == "no sign" and said.weight > 0:
        said = replace(said, kind="not against")
    return replace(said, text=says, asked=asks) if sign.kind in {"answer", "no sign"} else said


def _signs_of_change(cause: Cause, choices: Sequence[str]) -> dict[str, Fired]:
    """Return what each kind of change says of a cause; nothing of one that says nothing of what makes it."""
    if not cause.made_by and cause.by_itself == "often":
        return {}
    often = {str(kind): MADE[cause.made_by.get(kind, "seldom")] for kind in CHANGE_KINDS if kind in choices}
    if NOTHING_CHANGED in choices:
        often[NOTHING_CHANGED] = ALONE[cause.by_itself]
    return {choice: Fired(Sign(choice, way * worth(strength), "answer")) for choice, (strength, way) in often.items()}


def _signs_on(cause: Cause, qid: str, choices: Sequence[str], knowledge: Knowledge) -> dict[str, Fired]:
    """Return, for each answer that is a sign of this cause, the strongest such sign."""
    found = _signs_of_change(cause, choices) if qid == WHAT_CHANGED else {}
    for sign, way in _both_ways(cause):
        if knowledge.condition(sign.condition).names != {qid}:
            continue
        weight = way * worth(sign.strength)
        for choice in choices:
            stronger = choice not in found or abs(found[choice].weight) < abs(weight)
            if stronger and knowledge.holds(sign.condition, {qid: choice}):
                found[choice] = Fired(Sign(sign.text, weight), sign.same_as or "")
    return found


def _most_telling(choice: str, told: Mapping[str, Mapping[str, Fired]]) -> float:
    weights = [signs[choice].weight for signs in told.values() if choice in signs]
    if not weights:
        return 0.0
    return max(weights) if max(weights) > 0 else min(weights)


def _shared_group(found: Mapping[str, Fired]) -> str:
    groups = {one.group for one in found.values()}
    return groups.pop() if len(groups) == 1 else ""
