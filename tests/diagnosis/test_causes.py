"""Causes: the sum of signs, what is counted once, chances, what would turn two round."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import exp, log

import pytest

from assistant.car.case import Measured
from assistant.diagnosis.causes import (
    PRIOR,
    Reckoned,
    candidate_causes,
    doubt,
    find_causes,
    model_answers,
    to_chances,
    weigh,
    worth,
)
from assistant.diagnosis.evidence import facts_of, facts_of_answers, facts_of_complaint
from assistant.diagnosis.questions import none_score
from assistant.ground.names import CHANCE_WORDS, chance_word, say_chance
from assistant.ground.understood import Cell, Complaint
from assistant.pages.hearing_words import say_sign
from assistant.rules.models import CHANGE_KINDS
from assistant.rules.models_symptom import Explains, Question
from tests.diagnosis.interview_pack import PACK, cause, demo_case, read_complaint, sign

PSI = 6894.757


def pack_of(*causes):
    return replace(PACK, causes={one.cause: one for one in causes})


def ranked(text: str, facts: dict, pack=PACK, said=frozenset()):
    return find_causes(weigh(read_complaint(text, PACK), facts, pack, said), none_score(pack))


def test_a_doubted_sign_weighs_less_and_the_table_is_right():
    # by hand: p = e^w / (1 + e^w), 0.8 p + 0.1, and back to log-odds
    assert [doubt(weight, 0.1) for weight in (2.6, 1.7, 0.9)] == pytest.approx([1.694, 1.245, 0.703], abs=0.002)
    assert worth("decides") == pytest.approx(3.61, abs=0.01)  # by hand: 0.98 p + 0.02 (1 - p), p = e^5 / (1 + e^5)
    assert doubt(2.6, wrong=0.0) == pytest.approx(2.6)
    assert doubt(2.6, wrong=0.5) == pytest.approx(0.0)


def test_the_score_is_the_prior_plus_the_signs():
    one = cause("a", [("loose", "exit")], [sign("stagger > 2 in"), sign("banking > 1 deg", "weak")])
    other = cause("b", [("loose", "exit")], [sign("stagger > 9 in")])
    found = ranked("loose off", {"stagger": 0.06, "banking": 0.2}, pack=pack_of(one, other))
    assert [cause.id for cause in found] == ["a", "b"]
    assert [sign.weight for sign in found[0].signs_for] == [worth("strong"), worth("weak")]
    odds = found[0].chance / found[1].chance
    assert log(odds) == pytest.approx(worth("strong") + worth("weak"))


def test_signs_that_repeat_each_other_count_once_and_the_strongest_stays():
    grown = ranked(
        "loose off",
        {"stagger_hot": "grown", "hot_pressure_rr": 30 * PSI, "cold_pressure_rr": 20 * PSI},
    )
    top = next(one for one in grown if one.id == "stagger-grown")
    assert [round(sign.weight, 1) for sign in top.signs_for] == [round(worth("strong"), 1)]


def test_what_decides_outweighs_two_fair_signs():
    assert worth("decides") > 2 * worth("fair")


@pytest.mark.parametrize(("answer", "likelier"), [("links", "bar"), ("tires", "tire"), ("nothing", "worn")])
def test_what_was_changed_speaks_for_the_causes_it_makes(answer, likelier):
    """A change speaks for what it makes, and "nothing" only against what comes from a change."""
    asked = Question(
        asks="What is different?",
        topic="car",
        choices=[{"id": one, "says": one} for one in (*CHANGE_KINDS, "nothing")],
        how_to_tell="Ask.",
    )
    made = [("bar", {"links": "often"}, "never"), ("tire", {"tires": "often"}, "seldom"), ("worn", {}, "often")]
    causes = [
        cause(name, [("loose", "exit")], [sign("stagger > 9 in")]).model_copy(
            update={"made_by": by, "by_itself": alone}
        )
        for name, by, alone in made
    ]
    pack = replace(pack_of(*causes), questions={"what-changed": asked})
    assert ranked("loose off", {"what_changed": answer}, pack)[0].id == likelier


def test_an_answer_a_cause_did_not_expect_speaks_against_it():
    one = cause("a", [("loose", "exit")], [sign("came_on is gradually")])
    found = ranked("loose off", {"came_on": "suddenly"}, pack_of(one))
    assert [say_sign(sign) for sign in found[0].signs_against] == [
        "'in one lap' was told, which is no sign of it (How did it come on?)"
    ]


def test_an_answer_that_is_none_of_the_signs_against_speaks_for_it_a_little_and_says_so():
    one = cause("a", [("loose", "exit")], [sign("where is entry")], [sign("came_on is gradually")])
    found = ranked("loose off", {"came_on": "suddenly"}, pack_of(one))
    assert [say_sign(sign) for sign in found[0].signs_for] == [
        "'in one lap' was told, and nothing that would speak against it (How did it come on?)"
    ]


def test_one_sign_for_and_one_against_keep_the_weights_of_the_pack():
    snap = {"extra_wheel": "yes"}
    found = next(one for one in ranked("loose off", snap) if one.id == "tight-middle-snap")
    assert [sign.weight for sign in found.signs_for] == pytest.approx([worth("strong")])


@pytest.mark.parametrize("pack", ["small", "base"])
def test_under_every_cause_the_answers_to_a_question_sum_to_one(pack):
    from assistant.rules.pack import load_packs

    models = (PACK if pack == "small" else load_packs()).once(model_answers)
    checked = 0
    for model in models.values():
        assert sum(model.usual.values()) == pytest.approx(1)
        for signs in model.signs.values():
            chances = [share * exp(signs[answer].weight) for answer, share in model.usual.items()]
            assert sum(chances) == pytest.approx(1)
            checked += 1
    assert checked >= 6


def test_claimed_chances_are_met_when_answers_come_as_modeled():
    """Over all answers to three questions: the first cause is right as often as its chance claims."""
    asked = ("came_on", "snap_or_slide", "extra_wheel")
    questions = PACK.once(model_answers)
    causes = [PACK.causes[name] for name in ("plain-balance", "tight-middle-snap", "stagger-grown", "something-broken")]
    priors = dict(
        zip(
            [one.cause for one in causes],
            to_chances([PRIOR[one.prior] for one in causes] + [log(0.1)]),
            strict=False,
        )
    )
    priors["none of these"] = 1 - sum(priors.values())
    hit = claimed = everything = 0.0
    for answers in product(*(questions[qid].usual for qid in asked)):
        told = dict(zip(asked, answers, strict=True))
        first = ranked("loose off", told)[0]
        joint = {name: prior * chance_of(told, name, questions) for name, prior in priors.items()}
        hit += joint[first.id]
        claimed += first.chance * sum(joint.values())
        everything += sum(joint.values())
    assert everything == pytest.approx(1)
    assert hit == pytest.approx(claimed, abs=0.01)
    assert hit > max(priors.values()) + 0.05


def chance_of(told: dict[str, str], name: str, questions) -> float:
    """The chance of these answers under one cause."""
    chance = 1.0
    for qid, answer in told.items():
        signs = questions[qid].signs.get(name, {})
        chance *= questions[qid].usual[answer] * exp(signs[answer].weight if answer in signs else 0.0)
    return chance


def test_a_sign_whose_fact_is_not_known_says_nothing():
    found = ranked("loose off", {})
    assert all(not one.signs_for and not one.signs_against for one in found)


def test_only_causes_that_explain_the_complaint_are_named():
    assert {one.id for one in ranked("tight in the middle", {})} == {"plain-balance", "something-broken"}


def test_chances_sum_to_one_with_none_of_these():
    found = ranked("loose off", {"extra_wheel": "yes"})
    assert sum(one.chance for one in found) < 1
    assert sum(to_chances([1.0, 2.0, -5.0])) == pytest.approx(1)


def test_a_complaint_described_whole_speaks_for_the_cause_behind_it():
    words = "tight in the middle, loose off"
    plain = ranked(words, {})
    whole = ranked(words, {}, said=frozenset({"tight middle snaps loose"}))
    assert next(one.chance for one in whole if one.id == "tight-middle-snap") > 0.5
    assert next(one.chance for one in plain if one.id == "tight-middle-snap") < 0.3
    snap = next(one for one in whole if one.id == "tight-middle-snap")
    assert say_sign(snap.signs_for[0]) == "You described it yourself: tight middle snaps loose."


def test_a_cause_of_one_half_loses_by_the_other_half():
    grown = next(one for one in ranked("tight in the middle, loose off", {}) if one.id == "stagger-grown")
    assert [say_sign(sign) for sign in grown.signs_against] == ["It does not explain the tight half of the complaint."]


def test_facts_hold_track_measurements_complaint_and_answers():
    measured = Measured(
        temperatures={"RR": (360.0, 370.0, 365.0)}, hot_pressure={"RR": 200e3}, cold_pressure={"RR": 140e3}
    )
    case = replace(demo_case(), measured=measured)
    facts = facts_of(case, {"where": "exit", "stagger_hot": "not-measured"}, read_complaint("loose off late", PACK))
    assert facts["temperature_rr_middle"] == 370.0
    assert facts["temperature_rr"] == 365.0
    assert (facts["hot_pressure_rr"], facts["cold_pressure_rr"]) == (200e3, 140e3)
    assert facts["banking"] > facts["banking_least"] > 0
    assert (facts["balance"], facts["phase"], facts["stage"], facts["trend"]) == ("loose", "exit", "worn", "looser")
    assert facts["where"] == "exit"
    assert "stagger_hot" not in facts
    assert facts["differential"] in {"locked", "locker", "open"}


def test_every_fact_we_make_is_one_a_condition_may_name():
    from assistant.rules.facts import FACTS

    facts = facts_of(demo_case(), {}, read_complaint("loose off late", PACK))
    assert set(facts) <= set(FACTS)


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.999, "sure (more than 99 in 100)"),
        (0.96, "sure (about 96 in 100)"),
        (0.949, "likely (about 95 in 100)"),
        (0.8, "likely (about 8 in 10)"),
        (0.75, "likely (about 8 in 10)"),
        (0.6, "more likely than not (about 6 in 10)"),
        (0.5, "depends (about 5 in 10)"),
        (0.03, "depends (about 3 in 100)"),
        (0.0, "depends (less than 1 in 100)"),
    ],
)
def test_a_chance_is_a_word_with_its_number(chance, said):
    assert say_chance(chance) == said


def test_the_chance_words_never_fall_as_the_chance_rises():
    order = [word for _, word in CHANCE_WORDS][::-1]
    places = [order.index(chance_word(step / 1000)) for step in range(1001)]
    assert places == sorted(places)


def test_a_cause_may_explain_a_symptom_without_a_balance_and_no_other_one():
    gear = cause("gear", [("loose", "exit")], [sign("extra_wheel is no")])
    gear = gear.model_copy(update={"explains": [Explains(symptom="bogs off the corner")]})
    for other, found in (("bogs off the corner", ["gear"]), ("bounces", [])):
        complaint = Complaint("", (), other=(other,))
        assert [one.cause for one in candidate_causes(complaint, pack_of(gear))] == found


def test_what_plausible_cars_say_is_one_row_and_silences_the_signs_they_have_counted():
    late = [sign("first_laps is fine"), sign("came_on is gradually", "fair"), sign("hot_pressure_rr > 24 psi")]
    one, other = cause("a", [("loose", "exit")], late), cause("b", [("loose", "exit")], late)
    facts = {"first_laps": "fine", "came_on": "gradually", "hot_pressure_rr": 30 * PSI}
    said = read_complaint("loose off", PACK)
    reckoned = Reckoned({"a": -0.7}, frozenset({"hot_pressure_rr"}))
    weighing = weigh(said, facts, pack_of(one, other), frozenset(), reckoned)
    found = {one.id: one for one in find_causes(weighing, none_score(PACK))}
    assert [one.text for one in found["a"].signs_for] == ["sign: came_on is gradually"]
    assert [(sign.kind, sign.weight) for sign in found["a"].signs_against] == [("computed", -0.7)]
    assert say_sign(found["a"].signs_against[0]).startswith("Computed on plausible cars that are off by this")
    assert len(found["b"].signs_for) == 3


def test_cars_that_say_next_to_nothing_of_a_cause_add_no_row():
    one = cause("a", [("loose", "exit")], [sign("came_on is gradually")])
    weighing = weigh(read_complaint("loose off", PACK), {}, pack_of(one), frozenset(), Reckoned({"a": 0.01}))
    assert weighing.signs == ((),)


# Facts of a complaint, for the conditions of the packs.


def complaint(*cells):
    return Complaint(
        "", tuple(Cell(phase, stage, balance, 3.0, severity_given=True) for phase, stage, balance in cells)
    )


@pytest.mark.parametrize(
    ("cells", "entry", "middle", "leaving"),
    [
        ((("middle", "worn", "tight"), ("exit", "worn", "loose")), "none", "tight", "loose"),
        ((("exit", "fresh", "loose"), ("exit", "worn", "tight")), "none", "none", "both"),
        ((("entry", "fresh", "fine"),), "none", "none", "none"),
    ],
)
def test_what_is_reported_in_each_phase_is_a_fact_of_its_own(cells, entry, middle, leaving):
    facts = facts_of_complaint(complaint(*cells))
    assert [facts[f"balance_{phase}"] for phase in ("entry", "middle", "exit")] == [entry, middle, leaving]


@pytest.mark.parametrize(
    ("told", "blamed"),
    [
        ({"was_right": "never", "what_changed": "suspension"}, None),
        ({"was_right": "never", "what_changed": "nothing"}, "nothing"),
        ({"was_right": "never", "what_changed": "front", "which_front": "hit"}, "front"),
        ({"was_right": "yes", "what_changed": "suspension"}, "suspension"),
        ({"was_right": "new", "what_changed": "suspension"}, "suspension"),
    ],
)
def test_a_car_that_never_was_right_has_no_change_but_a_hit_to_blame(told, blamed):
    assert facts_of_answers(told).get("what_changed") == blamed
