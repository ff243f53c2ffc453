"""Signs, looks and questions of the base pack hang together: what is asked can be told, and what is told counts."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from random import Random

from assistant.car.case import Measured
from assistant.car.files import read_case
from assistant.diagnosis.causes import Reckoned, find_causes, signs_of, weigh
from assistant.diagnosis.evidence import facts_of, facts_of_answers
from assistant.diagnosis.hearing import complaint_of, read
from assistant.diagnosis.questions import none_score
from assistant.ground.names import CORNERS, plain_id
from assistant.pages.hearing_words import say_sign
from tests.knowledge.packs import base_knowledge

BASE = base_knowledge()
CHOICES = {plain_id(qid): [one.id for one in entry.choices] for qid, entry in BASE.questions.items()}
SIGNS = [(cause, sign) for cause in BASE.causes.values() for sign in (*cause.signs_for, *cause.signs_against)]
FEEL = {"how_bad", "how_bad_first", "how_bad_second", "complaint", "first_laps", "how_often", "which_slides"}
"""Asked for the size of a change or by a rule, and not only as a sign."""


def told() -> Iterator[dict[str, float | str]]:
    """Give the facts of made cases whose tires were read, with a loose and with a tight complaint."""
    dice, case = Random(3), replace(read_case("demo"), answers={})  # noqa: S311 - made readings, no secrets
    complaints = [complaint_of(read(words, BASE)) for words in ("loose off", "tight off", "tight in, loose off")]
    for count in range(400):
        warm = {corner: tuple(dice.uniform(330, 400) for _ in range(3)) for corner in CORNERS}
        air = [{corner: dice.uniform(80e3, 300e3) for corner in CORNERS} for _ in range(2)]
        worn = {corner: dice.uniform(0.0, 0.002) for corner in CORNERS}
        measured = Measured(temperatures=warm, hot_pressure=air[0], cold_pressure=air[1], wear=worn)
        yield facts_of(replace(case, measured=measured), {}, complaints[count % 3])


READ = list(told())


def told_and_missing(condition):
    """Say whether a condition can hold, and whether it can fail, by what can be told or measured."""
    asked = [name for name in BASE.condition(condition).names if name in CHOICES]
    answers = [dict(zip(asked, choices, strict=True)) for choices in product(*(CHOICES[name] for name in asked))]
    given = [{**facts, **facts_of_answers(one)} for one in answers for facts in READ[: 3 if asked else None]]
    return {BASE.holds(condition, facts) for facts in given}


def test_a_sign_can_be_told_and_can_be_missing():
    held = {(cause.cause, sign.condition): told_and_missing(sign.condition) for cause, sign in SIGNS}
    assert {sign: found for sign, found in held.items() if True not in found or found == {True}} == {}


def test_a_cause_has_a_remedy_of_its_own_or_a_symptom_to_treat_instead():
    assert [name for name, one in BASE.causes.items() if not (one.remedies or one.instead)] == ["plain-balance"]


def test_a_look_of_a_cause_answers_a_question_that_speaks_of_that_cause():
    for cause in BASE.causes.values():
        signs = (*cause.signs_for, *cause.signs_against)
        names = set[str]().union(*(BASE.condition(one.condition).names for one in signs))
        for look in (one for one in cause.remedies if one.inspect and one.answers):
            assert names & {plain_id(qid) for qid in look.answers}, (cause.cause, look.inspect)


def test_a_cause_that_explains_all_that_was_told_gains_by_it():
    shock = {}
    for words in ("loose in the middle", "loose in the middle, wheel hop"):
        causes = find_causes(weigh(complaint_of(read(words, BASE)), {}, BASE, frozenset()), none_score(BASE))
        shock[words] = next(one for one in causes if one.id == "rr-shock-dead")
    plain, hops = shock.values()
    assert hops.chance > 2 * plain.chance
    assert say_sign(hops.signs_for[0]) == "You described it yourself: wheel hop."


def test_what_is_there_from_start_to_end_speaks_against_what_comes_with_laps():
    grown, counted = BASE.causes["stagger-grown"], Reckoned({"stagger-grown": 2.0})
    always = signs_of(grown, {"when_in_run": "always"}, BASE, counted)
    assert [say_sign(one.sign) for one in always] == ["It is the same all run."]
    assert signs_of(grown, {"when_in_run": "late"}, BASE, counted) == []


def test_every_question_is_a_sign_of_some_cause_or_asked_for_another_reason():
    names = set[str]().union(*(BASE.condition(sign.condition).names for _, sign in SIGNS))
    symptoms = {plain_id(qid) for qid, one in BASE.questions.items() if any(c.symptoms for c in one.choices)}
    assert CHOICES.keys() - names - FEEL - symptoms - {"safety", "safety_kind"} == set()


def test_what_a_driver_cannot_know_is_answerable_less_often_than_what_he_feels():
    tried = [BASE.questions[name].answerable for name in ("less-wheel", "fuel-back", "put-back")]
    assert max(tried) < BASE.questions["where"].answerable
