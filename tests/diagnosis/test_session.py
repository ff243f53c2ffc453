"""The interview as data: what is asked, in which order, and that going back loses nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.diagnosis import hearing
from assistant.diagnosis.questions import MOST_CHOICES, is_unsure
from assistant.diagnosis.replies import answers_meant
from assistant.diagnosis.session import AnswerProblem, Session, start
from assistant.pages.hearing_words import (
    BESIDE,
    say_back,
    say_no_answer,
    say_plan,
    say_question,
    say_stop,
    say_why_asked,
)
from assistant.rules.pack import load_packs
from tests.diagnosis.interview_pack import PACK, cause, demo_case, sign

LOOKED_OVER = "Was it looked over since? Anything loose, bent, leaking or losing air; a bad pedal, throttle or wheel?"


def begin(text: str, **answers: str) -> Session:
    return start(replace(demo_case(), answers=answers, complaint=""), PACK, text)


def asked(session: Session, most: int = 20, **chosen: str) -> list[str]:
    """Answer everything (chosen answers, else the first choice) and return the ids in the order they were asked."""
    ids = []
    while (question := session.next_question()) is not None:
        ids.append(question.id)
        assert len(ids) <= most, ids
        session = session.answer(question.id, chosen.get(question.id, question.choices[0].id))
    return ids


def test_safety_comes_first_and_only_what_was_not_said_is_asked():
    assert asked(begin("loose off late in the run"))[:2] == ["safety", "first_laps"]


def test_how_bad_it_is_is_asked_last():
    assert asked(begin("loose off, all run long"), came_on="first-lap", stagger_hot="as-set")[-1] == "how_bad"


def test_the_place_is_asked_when_the_words_do_not_say_it():
    assert asked(begin("loose on long runs, 3"))[:3] == ["safety", "where", "first_laps"]


def test_a_complete_complaint_is_asked_only_for_safety_and_causes():
    ids = asked(begin("tight in the middle, 4"))
    assert ids[0] == "safety"
    assert not {"where", "how_bad", "first_laps", "extra_wheel"} & set(ids)


def test_extra_wheel_is_asked_only_where_the_tail_may_go_after_the_middle():
    assert "extra_wheel" in asked(begin("loose off"))
    assert "extra_wheel" not in asked(begin("loose in"))


def test_first_laps_are_not_asked_when_they_were_said():
    assert "first_laps" not in asked(begin("fine early, loose off late, 3"))
    assert begin("fine early, loose off late, 3").known["first_laps"] == "fine"


def test_nothing_the_case_holds_is_asked():
    ids = asked(
        begin("loose on long runs", **{"safety": "none", "where": "exit", "how-bad": "4", "first-laps": "fine"})
    )
    assert not {"safety", "where", "how_bad", "first_laps"} & set(ids)


def test_answers_complete_the_complaint():
    session = begin("loose on long runs").answer("safety", "none").answer("where", "exit").answer("how_bad", "4")
    session = session.answer("first_laps", "little-tight")
    cells = {(cell.balance, cell.phase, cell.stage, cell.severity) for cell in session.complaint.cells}
    assert cells == {("loose", "exit", "worn", 4.0), ("tight", "exit", "fresh", 2.0)}
    assert say_back(session.complaint) == (
        "I read: loose coming off late in the run (4 of 5) and tight coming off on fresh tires (2 of 5)."
    )


def test_not_sure_where_keeps_the_whole_corner():
    session = begin("loose on long runs").answer("where", "not-sure")
    assert {cell.phase for cell in session.complaint.cells} == {"entry", "middle", "exit"}
    assert session.next_question().id == "safety"


def test_every_question_has_at_most_seven_choices_and_one_for_the_unsure_that_teaches():
    session = begin("loose on long runs")
    seen = 0
    while (question := session.next_question()) is not None:
        assert 2 <= len(question.choices) <= MOST_CHOICES
        assert any(is_unsure(choice.id) for choice in question.choices), question.id
        assert question.entry.how_to_tell, question.id
        assert say_why_asked(question), question.id
        session = session.answer(question.id, question.choices[0].id)
        seen += 1
    assert seen >= 4


def test_an_unreadable_complaint_is_asked_for_with_choices():
    session = begin("the flurb is wobulating")
    assert session.next_question().id == "safety"
    session = session.reply("none noticed")
    question = session.next_question()
    assert question.id == "complaint"
    assert [choice.id for choice in question.choices] == ["loose", "tight", "not-sure"]
    assert say_back(session.complaint) == (
        "I could not read a complaint about the car in that; not understood: flurb, wobulating."
    )
    assert session.answer("complaint", "loose coming off").next_question().id not in {"safety", "complaint"}
    own_words = session.reply("it pushes in the middle")
    assert {cell.balance for cell in own_words.complaint.cells} == {"tight"}


def test_who_cannot_say_what_the_car_does_is_asked_for_safety_all_the_same():
    session = begin("hello")
    assert session.next_question().id == "safety"
    session = session.answer("safety", "none")
    assert session.next_question().id == "complaint"
    assert session.reply("not sure").no_telling == "nothing read"


def test_what_was_fine_is_kept_when_the_complaint_is_asked_again():
    session = begin("comes to me after ten laps").answer("complaint", "tight in the middle")
    assert {cell.balance for cell in session.complaint.cells} == {"fine", "tight"}


# safety


def test_a_yes_to_safety_stops_at_once_and_the_kind_is_named():
    session = begin("loose off").answer("safety", "yes")
    assert say_stop(session.stop).startswith("Stop and inspect before any adjustment: one of the signs")
    assert session.next_question().id == "safety_kind"
    session = session.answer("safety_kind", "air")
    assert say_stop(session.stop).startswith("Stop and inspect before any adjustment: a tire losing air.")
    assert "never on the jack alone" in say_stop(session.stop)
    assert session.next_question() is None
    assert session.open_questions() == ()


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("loose off and the lug nuts are loose", "a part seen broken or loose"),
        ("fumes in the car", "fumes or fire"),
        ("i am getting dizzy", "a driver who is not well"),
        ("it fell off the jack", "a car that is not safe to be under"),
    ],
)
def test_some_dangers_in_the_words_stop_without_a_question(text, sign):
    session = begin(text)
    assert sign in say_stop(session.stop)
    assert session.next_question() is None
    assert session.answer("safety", "none").stop is not None


@pytest.mark.parametrize(
    ("answers", "stops", "asks"),
    [({"restart_only": "only-then"}, False, "safety"), ({"restart_only": "also-later"}, True, "safety")],
)
def test_a_shake_after_a_restart_that_quit_by_itself_stops_nobody(answers, stops, asks):
    session = start(demo_case(), load_packs(), "shakes bad after the yellow")
    question = session.next_question()
    assert (question.id, question.entry.asks[:15]) == ("restart_only", "Did it quit by ")
    session = session.answer("restart_only", answers["restart_only"])
    assert (session.stop is not None, session.next_question().id) == (stops, asks)


def test_any_other_shake_is_looked_over():
    assert start(demo_case(), load_packs(), "shakes bad down the straight").next_question().id == "safety"


def test_who_forces_a_tire_onto_its_rim_steps_clear_before_anything_else():
    said = say_stop(start(demo_case(), load_packs(), "the bead wont pop, im kneeling on it").stop)
    assert said.index("well clear of it") < said.index("Find and mend it first")


def test_another_set_of_tires_is_taped():
    session = start(demo_case(), load_packs(), "tight off")
    for question, choice in (("safety", "none"), ("when_in_run", "always"), ("what_changed", "tires")):
        session = session.answer(question, choice)
    session = session.answer("was_right", "yes").answer("tire_set", "fresh")
    asked_now = [session.next_question().id]
    while asked_now[-1] != "stagger_hot" and len(asked_now) < 3:
        session = session.answer(asked_now[-1], "not-sure")
        asked_now.append(session.next_question().id)
    assert "stagger_hot" in asked_now


def test_who_is_under_a_car_on_a_jack_comes_out_before_anything_else():
    said = say_stop(begin("my kid is under it on the floor jack, how much rr spring").stop)
    assert said.index("Everybody out from under it now") < said.index("Find and mend it first")


@pytest.mark.parametrize(
    "text", ["loose in, no brakes", "loose in, heard a bang", "steering is crooked", "rf lost air"]
)
def test_any_other_danger_stops_and_asks_whether_the_car_was_looked_over(text):
    session = begin(text)
    assert session.stop is not None
    assert (session.next_question().id, session.next_question().entry.asks) == ("safety", LOOKED_OVER)
    assert session.answer("safety", "none").stop is None
    assert session.answer("safety", "none").notes == ("looked over",)
    assert "walking pace" in BESIDE["looked over"]


def test_a_danger_told_before_the_complaint_is_still_tried_at_walking_pace():
    session = start(demo_case(), load_packs(), "the brakes are gone").answer("safety", "none")
    assert session.answer("complaint", "loose off").notes == ("looked over",)
    for choice in ("yes", "not-checked", "none-noticed"):
        assert session.answer("safety", choice).stop is not None


def test_a_hit_with_another_danger_is_looked_over_for_both():
    told = start(demo_case(), load_packs(), "tagged the wall and the steering is crooked, loose off")
    session = told.answer("contact", "checked")
    assert (session.stop is not None, session.next_question().id) == (True, "safety")
    assert session.answer("safety", "none").stop is None


def test_a_look_from_before_the_danger_was_told_lifts_no_stop():
    session = begin("hello").answer("safety", "none").answer("complaint", "the brake pedal is soft")
    assert session.stop is not None
    assert session.next_question().id == "safety"


def test_a_symptom_or_a_cause_of_safety_stops():
    assert "shakes apart" in say_stop(begin("it feels unhinged").stop)
    session = begin("loose in, 3", safety="none", came_on="suddenly")
    assert session.stop is None  # a rare cause is not yet likely enough on one answer
    pack = replace_causes(PACK, cause("wheel-off", [("loose", "all")], [sign("came_on is suddenly")], safety=True))
    sure = start(replace(demo_case(), answers={"came_on": "suddenly"}), pack, "loose in, 3")
    assert "wheel off, sure (about 98 in 100)" in say_stop(sure.stop)


def replace_causes(pack, *causes):
    return replace(pack, causes={one.cause: one for one in causes})


def test_an_unchecked_car_is_said_beside_the_advice():
    session = begin("loose off").answer("safety", "not-checked")
    assert session.stop is None
    assert session.notes == ("not checked",)
    assert "walk round it" in BESIDE["not checked"]
    assert begin("loose off").answer("safety", "none").notes == ()


# answers as typed


@pytest.mark.parametrize(
    "typed", ["3", "coming off", "Coming off.", "comming off", "exit", "off the corner", "on the gas"]
)
def test_an_answer_may_be_a_number_an_id_or_words(typed):
    assert begin("loose, 3", safety="none").reply(typed).answers == {"where": "exit"}


@pytest.mark.parametrize("typed", ["dunno", "not sure", "don't know", "no idea"])
def test_the_unsure_may_say_so_in_their_words(typed):
    assert begin("loose, 3", safety="none").reply(typed).answers == {"where": "not-sure"}


@pytest.mark.parametrize("typed", ["99", "0", "-1", "qwertz", "1e9", "", "   ", "\x00", "²"])
def test_nonsense_is_met_with_help_and_the_same_question(typed):
    session = begin("loose, 3", safety="none")
    assert session.reply(typed) is None
    assert say_no_answer(typed).endswith("is none of the answers.")
    assert session.next_question().id == "where"


def test_unknown_ids_are_refused_with_the_nearest():
    session = begin("loose off")
    with pytest.raises(AnswerProblem, match="'of' is no answer to 'where'"):
        session.answer("where", "of")
    with pytest.raises(AnswerProblem, match="there is no question 'stager_hot'; did you mean 'stagger_hot'"):
        session.answer("stager_hot", "grown")


def test_question_ids_may_be_written_with_hyphens():
    assert begin("loose off").answer("how-bad", "2") == begin("loose off").answer("how_bad", "2")


# back and change


def test_back_and_back_by_number():
    session = begin("loose on long runs").answer("safety", "none").answer("where", "exit").answer("first_laps", "fine")
    assert session.back().next_question().id == "first_laps"
    assert session.back(2).next_question().id == "where"
    assert session.back(99).given == ()


def test_change_asks_one_question_again_and_keeps_the_others():
    session = begin("loose on long runs").answer("safety", "none").answer("where", "exit").answer("how_bad", "4")
    changed = session.change(2)
    assert changed.next_question().id == "where"
    again = changed.answer("where", "middle")
    assert again.given == (("safety", "none"), ("where", "middle"), ("how_bad", "4"))


def test_change_drops_only_the_answers_that_depended_on_it():
    session = begin("loose, late, 3").answer("safety", "none").answer("where", "exit").answer("first_laps", "fine")
    session = session.answer("extra_wheel", "no").answer("stagger_hot", "grown")
    changed = session.change("where").answer("where", "entry")
    kept = {"safety": "none", "where": "entry", "first_laps": "fine", "extra_wheel": "no", "stagger_hot": "grown"}
    assert dict(changed.given) == kept


def test_what_begins_like_a_move_is_no_answer_and_is_told_how_moves_are_typed():
    session = begin("loose, 3", safety="none")
    for typed in ("change it", "back off"):
        assert session.reply(typed) is None
        assert say_no_answer(typed) == "Type back, back and a number, or change and the number of an answer."
    assert session.reply("back end steps out getting in").answers == {"where": "entry"}


TEXTS = [
    "loose on long runs",
    "loose off",
    "tight in the middle, snaps off",
    "hello",
    "tight",
    "wheel hop",
    "loose, late",
]


@st.composite
def walks(draw):
    """Draw a session some questions in."""
    session = begin(draw(st.sampled_from(TEXTS)))
    for _ in range(draw(st.integers(1, 7))):
        question = session.next_question()
        if question is None:
            break
        choice = draw(st.sampled_from([one.id for one in question.choices]))
        session = session.answer(question.id, choice)
    return session


@given(walks())
@settings(max_examples=40, deadline=None)
def test_back_then_the_same_answer_is_the_identical_state(session):
    if session.given:
        qid, choice = session.given[-1]
        again = session.back().answer(qid, choice)
        assert again == session
        assert again.complaint == session.complaint
        assert again.next_question() == session.next_question()


@given(walks(), st.integers(1, 7))
@settings(max_examples=40, deadline=None)
def test_change_then_the_same_answer_is_the_identical_state(session, number):
    if number <= len(session.given):
        qid, choice = session.given[number - 1]
        assert session.change(number).answer(qid, choice) == session


def test_the_interview_ends():
    for text in TEXTS:
        assert len(asked(begin(text), most=30)) < 15


def test_open_questions_are_those_that_could_still_change_the_advice():
    ids = [question.id for question in begin("loose, late").open_questions()]
    assert ids[:3] == ["safety", "where", "first_laps"]
    assert ids[-1] == "how_bad"
    assert "stagger_hot" in ids
    assert "track_change" not in ids  # its own condition does not hold


def test_answers_are_listed_with_their_numbers():
    session = begin("loose, 3").answer("safety", "none").answer("where", "exit")
    assert [one.number for one in session.answered()] == [1, 2]
    where = session.answered()[1]
    assert (say_question(where.question), where.says) == ("Where in the corner is it worst?", "coming off")


def test_the_interview_says_what_the_next_question_is_worth():
    session = begin("loose off, 3", safety="none")
    assert say_plan(session.plan).startswith("The next question is expected to make the list better by ")


# no question twice, and how answers are spoken


TWO_ENDS = [
    "tight off 2, loose off 4",
    "loose off 2, tight off 4",
    "loose in 1, tight in 3",
    "tight 1 and 2, loose 3 and 4",
]


@pytest.mark.parametrize("text", TWO_ENDS)
def test_no_question_is_asked_twice_whatever_is_answered(text):
    for pick in (0, 1, -1):
        session, seen = begin(text), []
        while (question := session.next_question()) is not None and question.choices[pick].id != "yes":
            assert question.id not in seen
            seen.append(question.id)
            session = session.answer(question.id, question.choices[pick].id).ask_on()


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("no", "none-noticed"),
        ("nope", "none-noticed"),
        ("nothing", "none-noticed"),
        ("No, nothing.", "none-noticed"),
        ("no i looked", "none"),
        ("1", "none"),
        ("yeah", "yes"),
        ("not yet", "not-checked"),
        ("havent looked", "not-checked"),
        ("Haven't looked yet", "not-checked"),
    ],
)
def test_the_question_of_faults_takes_an_answer_as_it_was_meant(typed, meant):
    assert begin("loose off").reply(typed).answers == {"safety": meant}


@pytest.mark.parametrize("typed", ["nine", "nune", "looked at the clock", "yes and no", "checked out"])
def test_no_likeness_of_spelling_says_that_somebody_has_looked(typed):
    assert begin("loose off").reply(typed) is None


def test_nothing_noticed_is_not_looked_at():
    assert begin("loose off").answer("safety", "none-noticed").notes == ("not checked",)


def test_a_chunked_tire_comes_off_whatever_is_changed(case, knowledge):
    session = start(case, knowledge, "tight off late").answer("safety", "none").answer("tread_look", "blistered")
    assert session.notes == ("tire off",)
    assert BESIDE["tire off"].startswith("A tire that is blistered or chunked comes off before the car runs again")


@pytest.mark.parametrize(
    ("typed", "question", "meant"),
    [
        ("slowly", "came_on", "gradually"),
        ("all at once", "came_on", "suddenly"),
        ("i think so", "extra_wheel", "yes"),
        ("nope", "extra_wheel", "no"),
        ("a lot", "how_bad", "4"),
        ("a little", "how_bad", "2"),
    ],
)
def test_an_answer_may_be_spoken(typed, question, meant):
    session = begin("loose off")
    assert answers_meant(typed, session.question_named(question), session.knowledge)[question] == meant


@pytest.mark.parametrize("text", ["my shock feels weird", "the brakes are funny", "funny feel in the steering"])
def test_where_only_a_part_was_understood_the_question_of_faults_comes_first(text):
    session = begin(text)
    assert asked(session)[:2] == ["safety", "complaint"]
    assert session.answer("safety", "yes").next_question().id == "safety_kind"
    assert session.answer("safety", "yes").stop is not None


def test_a_driver_who_is_not_well_comes_before_the_car():
    assert "medical people" in say_stop(begin("loose off and im getting dizzy").stop)
    assert "medical people" not in say_stop(begin("the track bar came loose").stop)


def test_a_hit_stops_until_it_is_said_that_the_car_was_looked_over_since():
    told = start(demo_case(), load_packs(), "tagged the wall off 4, now its loose off")
    assert told.next_question().id == "contact"
    assert told.stop is not None
    assert told.answer("contact", "not-sure").next_question() is None
    assert told.answer("contact", "not-sure").stop is not None
    looked_over = told.answer("contact", "checked")
    assert looked_over.stop is None
    assert looked_over.next_question().id == "safety"


def test_a_hit_that_was_none_lets_the_talk_go_on_once_the_car_was_looked_over():
    told = start(demo_case(), load_packs(), "slips in the middle of 2 since the wreck").answer("contact", "none")
    assert told.next_question().id == "safety"
    assert told.answer("safety", "not-checked").stop is not None
    assert told.answer("safety", "none").stop is None


@pytest.mark.parametrize("words", ["it shakes since the yellow", "smoking off the rr coming off 2, loose off"])
def test_what_may_come_of_the_tires_stops_unless_the_car_was_looked_over(words):
    told = start(demo_case(), load_packs(), words)
    assert told.next_question().id == "safety"
    assert told.stop is not None
    assert told.answer("safety", "none-noticed").stop is not None
    assert told.answer("safety", "not-checked").stop is not None
    assert told.answer("safety", "yes").stop is not None
    assert told.answer("safety", "none").stop is None


def test_a_tire_worn_to_the_cord_stops():
    told = start(demo_case(), load_packs(), "tight in the middle late").answer("safety", "none")
    assert told.answer("tread_look", "clean").stop is None
    assert "cord" in say_stop(told.answer("tread_look", "cord").stop)


def test_what_may_stop_the_car_is_asked_though_the_pressures_were_not_read_and_a_cause_leads():
    told = reported(
        "tight in the middle late", safety="none", what_changed="front", which_front="parts", was_right="yes"
    )
    told = told.answer("first_laps", "not-sure").answer("pressures_hot", "not-read").answer("rf_edge", "outside")
    assert told.causes[0].chance > 0.55
    assert told.next_question().id == "tread_look"


def test_a_tire_below_its_cold_pressure_is_losing_air():
    told = start(demo_case(), load_packs(), "tight in the middle late").answer("safety", "none")
    assert told.answer("pressures_hot", "usual").stop is None
    assert "a tire losing air" in say_stop(told.answer("pressures_hot", "low").stop)


@pytest.mark.parametrize(("kind", "said"), [("under", "out from under"), ("driver", "medical people")])
def test_people_come_before_the_car_where_a_fault_is_told_of_them(kind, said):
    told = start(demo_case(), load_packs(), "loose off, which rr spring").answer("safety", "yes")
    assert said in say_stop(told.answer("safety_kind", kind).stop).lower()


def test_after_a_change_the_past_is_not_asked_again_and_a_look_is_void():
    pack = load_packs()
    before = start(demo_case(), pack, "loose off late in the run")
    told = (("safety", "none"), ("what_changed", "nothing"), ("stagger_hot", "as-set"), ("watched", "nothing-odd"))
    for qid, choice in told:
        before = before.answer(qid, choice)
    before = before.answer("traffic", "traffic-only")
    now = start(demo_case(), pack, "loose off and in").after_change(before, [("cross_weight", 1)], helped=False)
    assert "traffic" not in now.known
    assert now.known["safety"] == "none"
    assert now.known["what_changed"] == "nothing"
    assert now.known["watched"] == "nothing-odd"
    assert "stagger_hot" not in now.known
    assert now.made == {("cross_weight", 1)}


def test_a_change_that_helped_may_go_on():
    before = start(demo_case(), load_packs(), "loose off")
    assert before.after_change(before, [("cross_weight", 1)], helped=True).made == frozenset()


def chance_of(session, name):
    return next(one.chance for one in session.causes if one.id == name)


def test_a_change_that_did_not_help_speaks_against_what_it_would_have_cured():
    before = start(demo_case(), load_packs(), "loose off")
    tried = before.after_change(before, [("cross_weight", 1)], helped=False)
    assert chance_of(tried, "plain-balance") < chance_of(before, "plain-balance")
    assert chance_of(tried, "throttle-stabbed") > chance_of(before, "throttle-stabbed")
    helped = before.after_change(before, [("cross_weight", 1)], helped=True)
    assert chance_of(helped, "plain-balance") == chance_of(before, "plain-balance")


def test_a_repair_that_did_not_help_speaks_against_its_cause_and_no_other():
    before = start(demo_case(), load_packs(), "loose off late in the run")
    tried = before.after_change(before, [("dry-air-and-bleeder", 0)], helped=False)
    assert chance_of(tried, "rr-builds-too-much") < 0.4 * chance_of(before, "rr-builds-too-much")
    assert chance_of(tried, "plain-balance") > chance_of(before, "plain-balance")


@pytest.mark.parametrize(
    ("corner", "end", "cause"),
    [
        ("rf falls off", "front end falls off", "rf-overheated"),
        ("right rear falls off", "rear falls off", "rr-used-up"),
    ],
)
def test_a_corner_that_is_named_speaks_for_the_causes_of_that_corner(corner, end, cause):
    named, whole = (start(demo_case(), load_packs(), one) for one in (corner, end))
    assert named.complaint.cells == whole.complaint.cells
    assert chance_of(named, cause) > 1.5 * chance_of(whole, cause)
    assert ("inspect", "probe-again") in named.board.call_of
    looks = {sign.kind for one in named.causes if one.id == cause for sign in one.signs_for}
    assert "corner named" in looks


def test_loose_and_tight_together_are_no_coin_toss_where_a_cause_that_levers_cure_leads():
    told = start(replace(demo_case(), answers={}, complaint=""), load_packs(), "tight getting in, loose off")
    for qid, choice in (("safety", "none"), ("how_often", "sometimes"), ("extra_wheel", "yes")):
        told = told.answer(qid, choice)
    assert told.no_telling == "conflict"
    told = told.answer("snap_or_slide", "snap").answer("watched", "wheel")
    assert told.causes[0].id == "tight-middle-snap"
    assert told.no_telling == ""


def test_who_says_that_it_comes_with_laps_is_asked_for_the_readings_before_anything_is_weighed():
    session = start(replace(demo_case(), answers={}, complaint=""), load_packs(), "plows late in the run")
    for qid, choice in (("safety", "none"), ("where", "middle"), ("what_changed", "nothing"), ("first_laps", "fine")):
        session = session.answer(qid, choice)
    assert session.next_question().id == "pressures_hot"
    assert session.answer("pressures_hot", "usual").next_question().id == "rf_edge"
    assert session.answer("pressures_hot", "not-read").next_question().id != "rf_edge"


@pytest.mark.parametrize(
    ("answers", "reason"),
    [
        ({"where": "not-sure", "when_in_run": "not-sure", "what_changed": "nothing"}, "too little"),
        ({"where": "middle", "when_in_run": "always", "what_changed": "nothing"}, ""),
        ({"where": "middle", "when_in_run": "not-sure", "what_changed": "nothing"}, ""),
    ],
)
def test_where_when_and_since_when_unknown_nobody_could_tell(answers, reason):
    session = start(replace(demo_case(), answers={}, complaint=""), load_packs(), "tight").answer("safety", "none")
    for qid, choice in answers.items():
        session = session.answer(qid, choice)
    assert session.no_telling == reason


def test_a_car_from_somebody_else_without_a_sheet_is_measured_first():
    session = start(replace(demo_case(), answers={}, complaint=""), load_packs(), "bought it used. tight. no notes")
    assert session.known["was_right"] == "no-sheet"
    assert session.no_telling == "no sheet"


def test_changes_tried_against_it_are_no_cause_of_it():
    words = "loose everywhere. we put cross in, bar down, stagger out, didnt help"
    session = start(replace(demo_case(), answers={}, complaint=""), load_packs(), words)
    assert "what_changed" not in session.known


def test_where_nothing_is_complained_of_and_no_cause_is_named_it_cannot_be_told():
    session = start(replace(demo_case(), answers={}, complaint=""), load_packs(), "feels great but we are slow")
    for qid, choice in (("safety", "none"), ("complaint", "not-sure"), ("which_slides", "neither")):
        session = session.answer(qid, choice)
    assert session.answer("what_changed", "nothing").no_telling == "nothing read"


def reported(text: str, **answers: str) -> Session:
    return start(replace(demo_case(), answers=answers, complaint=""), load_packs(), text)


def test_who_had_it_right_and_does_not_know_what_was_changed_measures_against_the_last_good_sheet():
    told = reported("loose", safety="none", where="all", when_in_run="always", what_changed="not-sure")
    assert told.next_question().id == "was_right"
    assert told.answer("was_right", "yes").no_telling == "unknown change"
    assert told.answer("was_right", "never").no_telling == ""


def test_after_several_changes_it_goes_back_to_the_sheet_whatever_else_is_not_known():
    told = reported("changed 5 things, loose everywhere", safety="none", when_in_run="not-sure", was_right="not-sure")
    assert told.no_telling == "many changes"


def test_after_several_changes_the_springs_are_asked_about_and_nothing_else():
    told = reported("tight all the way", safety="none", when_in_run="always", what_changed="several", was_right="yes")
    assert told.next_question().id == "springs_read"
    assert told.answer("springs_read", "not-looked").next_question() is None
    assert told.answer("springs_read", "wrong").no_telling == ""


def test_traffic_is_asked_of_who_cannot_say_when_in_the_run_it_comes():
    told = reported("loose in the middle", safety="none")
    assert told.answer("when_in_run", "not-sure").next_question().id == "traffic"
    assert told.answer("when_in_run", "always").next_question().id != "traffic"


def test_who_knows_nothing_of_the_tires_is_asked_to_float_it_in_all_the_same():
    told = reported("loose getting in late in the run", safety="none", what_changed="nothing", first_laps="fine")
    asked = [told.next_question().id]
    while (question := told.next_question()) is not None and len(asked) < 4:
        unsure = next(one.id for one in question.choices if is_unsure(one.id))
        told = told.answer(question.id, unsure)
        asked.append(getattr(told.next_question(), "id", ""))
    assert "float_in" in asked


def test_work_on_the_engine_speaks_for_no_bent_front_end():
    told = reported("tight getting in", safety="none", when_in_run="always", what_changed="front", was_right="yes")
    chances = {
        choice: {one.id: one.chance for one in told.answer("which_front", choice).causes}["rf-camber-not-as-set"]
        for choice in ("engine", "parts")
    }
    assert chances["engine"] < chances["parts"] / 3


def test_the_hands_come_before_the_foot_unless_it_is_the_lift():
    told = reported("loose in the middle", safety="none", when_in_run="always", what_changed="nothing", watched="chops")
    assert ("driving", "roll-out-of-the-gas") not in told.board.call_of
    assert ("driving", "one-smooth-turn") in told.board.call_of
    lift = reported("loose getting in", safety="none", watched="chops", lift_or_brake="lift")
    assert ("driving", "roll-out-of-the-gas") in lift.board.call_of


def test_what_came_from_one_lap_to_the_next_is_no_drift_from_the_sheet():
    told = reported("loose in the middle", safety="none", what_changed="nothing", was_right="yes")
    chance = {one.id: one.chance for one in told.causes}["off-its-sheet"]
    sudden = {one.id: one.chance for one in told.answer("came_on", "suddenly").causes}["off-its-sheet"]
    assert sudden < chance


def test_what_builds_with_laps_explains_no_car_that_gets_better_with_laps():
    fresh, late = (reported(f"loose off {when}") for when in ("on fresh tires, better later", "late in the run"))
    building = {"rr-builds-too-much", "rr-used-up", "stagger-grown"}
    assert building.isdisjoint(one.id for one in fresh.causes)
    assert building <= {one.id for one in late.causes}


def test_a_likely_cause_is_not_given_up_for_two_things_that_are_not_known():
    told = reported("tight in the middle", safety="none", when_in_run="not-sure", was_right="not-sure")
    unknown, alone, traffic = (told.answer("traffic", choice) for choice in ("not-sure", "always", "traffic-only"))
    assert (unknown.no_telling, alone.no_telling, traffic.no_telling) == ("too little", "", "")


@pytest.mark.parametrize(("text", "asked_for"), [("loose off on restarts", True), ("loose off late in the run", False)])
def test_a_stage_of_the_first_laps_is_asked_though_it_was_heard_and_a_late_one_is_not(text, asked_for):
    told = reported(text, safety="none")
    assert (told.next_question().id == "when_in_run") is asked_for


def test_the_answer_about_the_run_outdoes_what_was_heard_of_it():
    told = reported("loose off on restarts", safety="none").answer("when_in_run", "late")
    assert {cell.stage for cell in told.complaint.cells if cell.balance == "loose"} == {"worn"}


def test_of_a_car_that_ran_a_few_laps_only_nobody_can_tell():
    told = reported("felt tight", safety="none", where="middle", when_in_run="fresh", what_changed="nothing")
    assert told.answer("restart_only", "few").no_telling == "few laps"
    assert told.answer("restart_only", "also-later").no_telling == ""


def test_a_foot_that_rests_on_the_brake_makes_it_push():
    told = reported("tight in the middle", safety="none", what_changed="nothing", when_in_run="always")
    assert told.answer("brakes", "with-gas").causes[0].id == "brake-held-with-the-gas"
    assert told.answer("brakes", "off").causes[0].id != "brake-held-with-the-gas"


def test_who_had_it_right_and_touched_nothing_is_asked_whether_it_is_the_track():
    told = reported("tight in the middle", safety="none", what_changed="nothing", when_in_run="always")
    assert told.answer("was_right", "yes").next_question().id == "others"
    assert told.answer("was_right", "never").next_question().id != "others"


def test_a_hit_counts_though_the_car_is_said_to_have_been_always_like_this():
    told = reported("tight", safety="none", where="all", when_in_run="always", what_changed="front", was_right="never")
    assert told.next_question().id == "which_front"
    hit, body = (told.answer("which_front", kind) for kind in ("hit", "body"))
    assert hit.facts["what_changed"] == "front"
    assert "what_changed" not in body.facts
    assert next(cause.chance for cause in hit.causes if cause.id == "bent-by-a-hit") > 0.1


def test_no_change_is_blamed_that_nobody_told_of():
    told = reported("darts on the straight", safety="none")
    blamed = next(cause for cause in told.causes if cause.id == "brake-change-too-far")
    assert [sign.kind for sign in blamed.signs_against] == ["no change told"]
    changed = told.answer("what_changed", "brakes")
    assert all(sign.kind != "no change told" for cause in changed.causes for sign in cause.signs_against)


def test_a_sound_car_that_shakes_has_its_treads_looked_at_first():
    told = reported("it shakes").answer("safety", "none")
    first = told.board.calls[0].option
    assert (first.kind, first.id) == ("inspect", "wheels-and-tread-after-a-shake")


def test_two_likely_causes_that_want_opposite_changes_are_named_with_the_test_that_tells_them_apart():
    told = reported("loose off", safety="none", when_in_run="always", where="exit", what_changed="nothing")
    both = told.answer("extra_wheel", "no").answer("watched", "wheel").answer("tire_heat", "rf").board.torn
    assert both is not None
    assert both[2] == ""
    wheel, none = (told.answer("extra_wheel", choice).board.torn for choice in ("yes", "no"))
    assert none is None
    assert wheel is not None
    assert wheel[0] == "the setup is simply off balance here"
    assert wheel[1].startswith("tight in the middle")
    assert wheel[2].startswith("Watch the front wheels")


def test_a_car_that_was_right_and_that_nobody_touched_is_measured_against_its_sheet_or_the_track_has_changed():
    told = reported("loose in", safety="none", when_in_run="always", what_changed="nothing", came_on="first-lap")
    right, never = (told.answer("was_right", choice) for choice in ("yes", "never"))
    assert {one.id for one in right.causes[:2]} == {"off-its-sheet", "track-going-away"}
    assert never.causes[0].id == "plain-balance"


def test_both_ends_sliding_is_a_complaint_and_neither_asks_what_it_is_then():
    told = start(replace(demo_case(), answers={}, complaint=""), load_packs(), "it is no fun")
    told = told.answer("safety", "none").answer("complaint", "not-sure")
    both, neither = (told.answer("which_slides", choice) for choice in ("both", "neither"))
    assert both.complaint.other == ("no grip at either end",)
    engine = neither.answer("what_changed", "nothing").answer("what_else", "engine")
    assert set(engine.complaint.other) == {"bogs off the corner", "on the limiter"}
    assert {one.id for one in engine.causes} <= {"gear-too-tall", "gear-too-short", "engine-stumbles", "brake-drags"}


def test_an_answer_is_read_once_whoever_asks_what_it_says(monkeypatch):
    session, seen = begin("loose off late in the run"), []
    read_anew = hearing._read
    monkeypatch.setattr(hearing, "_read", lambda text, *others: seen.append(text) or read_anew(text, *others))
    typed = "nothing bent, i had the wheels off for a good look"
    assert session.reply(typed) is not None
    start(session.case, PACK, typed)
    assert seen == [typed]


@pytest.mark.parametrize("text", ["good in clean air but tight behind somebody", "it only pushes behind somebody"])
def test_what_is_so_near_other_cars_alone_is_no_complaint_of_the_car_alone(case, knowledge, text):
    complaint = start(case, knowledge, text).complaint
    assert {cell.balance for cell in complaint.cells} == {"tight"}
    assert {cell.balance for cell in complaint.cells_alone} == {"fine"}


def test_a_hit_told_at_a_later_question_stops_and_is_asked_about_and_nothing_told_before_is_lost():
    at_first = start(demo_case(), load_packs(), "tight in and loose off").answer("safety", "none")
    told = at_first.reply("hit the wall in practice")
    assert told is not None
    assert told.stop is not None
    assert told.stop.signs == ("a hit",)
    assert told.next_question().id == "contact"
    assert {cell.balance for cell in told.complaint.cells} == {"tight", "loose"}
    sound = told.answer("contact", "checked")
    assert sound.stop is None
    assert sound.next_question().id == at_first.next_question().id


def test_two_changes_told_at_once_are_both_kept():
    told = start(demo_case(), load_packs(), "loose off").answer("safety", "none").answer("when_in_run", "always")
    told = told.reply("new tires n raised the rear")
    assert {told.known[qid] for qid in ("what_changed", "tire_set", "which_suspension")} == {
        "tires",
        "fresh",
        "heights",
    }


@pytest.mark.parametrize(
    ("words", "known"),
    [
        ("it's loose in on the first three laps then it comes in", ("fresh", "only-then")),
        ("tight off the first 10 laps then its good", ("fresh", None)),
        ("tight off the first 10 laps", (None, None)),
    ],
)
def test_when_it_is_and_when_it_is_fine_told_together_are_not_asked_again(case, knowledge, words, known):
    session = start(case, knowledge, words)
    assert (session.known.get("when_in_run"), session.known.get("restart_only")) == known


@pytest.mark.parametrize(
    ("words", "how_bad"), [("it pushes in, the right front is 4 pounds over", None), ("pushes in, 4", "4")]
)
def test_a_number_of_pounds_is_not_how_bad_it_is(case, knowledge, words, how_bad):
    assert start(case, knowledge, words).known.get("how_bad") == how_bad


def test_cold_out_is_weather_and_no_part_of_the_corner(case, knowledge):
    session = start(case, knowledge, "loose the first few laps when it's cold out, then it's fine")
    assert "where" not in session.known
    assert session.known["when_in_run"] == "fresh"


@pytest.mark.parametrize(
    ("words", "asked"),
    [("loose off over the bumps, all run long", True), ("loose off at turn 2, all run long", False)],
)
def test_how_it_rides_is_asked_of_who_names_a_bump(words, asked):
    session = start(demo_case(), load_packs(), words).answer("safety", "none")
    assert (session.next_question().id == "ride") is asked


def test_of_tires_nobody_touched_nobody_is_asked_what_the_change_did():
    session = start(demo_case(), load_packs(), "tight in the middle, all run long")
    for qid, choice in (("safety", "none"), ("what_changed", "tires"), ("was_right", "yes")):
        session = session.answer(qid, choice)
    assert session.answer("tire_set", "other-set").makes_sense("last_change")
    assert not session.answer("tire_set", "same").makes_sense("last_change")
    assert not session.answer("tire_set", "same").makes_sense("put_back")


def test_a_track_does_not_change_from_one_lap_to_the_next():
    told = start(demo_case(), load_packs(), "pushes, all run long").answer("what_changed", "nothing")
    sudden = told.answer("came_on", "suddenly")
    assert chance_of(sudden, "track-going-away") < 0.7 * chance_of(told, "track-going-away")


def test_new_rears_are_new_tires_and_a_car_that_rolls_over_rolls_more():
    known = start(demo_case(), load_packs(), "loose everywhere since we put new rears on").known
    assert (known["what_changed"], known["tire_set"]) == ("tires", "fresh")
    assert (
        start(demo_case(), load_packs(), "it rolled over on the right front and pushes").known["roll_seen"]
        == "more-roll"
    )


@pytest.mark.parametrize(
    ("words", "kind", "part"),
    [
        ("after we put the new rear end in it is tight in the middle", "links", ("which_links", "axle")),
        ("bolted a new right rear spring in, loose off", "suspension", ("which_suspension", "rear-springs")),
    ],
)
def test_a_new_part_at_the_rear_is_no_new_tire(words, kind, part):
    known = start(demo_case(), load_packs(), words).known
    assert known["what_changed"] == kind
    assert known[part[0]] == part[1]
