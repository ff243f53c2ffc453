import re
from dataclasses import replace
from itertools import combinations, groupby

import pytest

from assistant.advice import offers
from assistant.advice.results import Advice
from assistant.car.files import read_case
from assistant.car.moves import differences
from assistant.ground.understood import StopReason
from assistant.ground.units import from_unit
from assistant.notebook.book import FELT, MADE, SAID, Notebook
from assistant.pages.advice import FIRST_SHOWN, offers_of
from assistant.pages.blocks import Line
from assistant.pages.terminal import render
from assistant.shell import bench as bench_module
from assistant.shell.bench import Bench
from assistant.shell.interview import ask_of_look
from assistant.shell.verbs import VERBS, nearest_verb
from tests.notebook.talks import cut_off_in, record_in

START = ("loose off late in the run", "enough")


def test_the_first_prompt_says_what_can_be_typed(talk):
    assert talk.reply.prompt == "What is the car doing? (your words, help or quit)"


def test_an_empty_line_says_what_can_be_typed(talk):
    assert talk.type("").startswith("Say what the car does, such as: loose off")


def test_a_complaint_is_said_back_and_the_first_question_is_about_safety(talk):
    said = talk.type("loose off late in the run")
    assert "I read: loose" in said
    assert "First, anything loose" in said
    assert re.fullmatch(r"1 to \d, \?, back or enough", talk.reply.prompt)


def test_words_nobody_can_read_get_examples_and_the_way_to_help(talk):
    said = talk.type("xyzzy qwerty")
    assert "I cannot make out 'xyzzy qwerty'." in said
    assert "Type help for the commands." in said


@pytest.mark.parametrize("typed", ["yes", "no", "nope"])
def test_a_yes_or_a_no_is_never_taken_for_a_slip_of_a_command(typed):
    assert nearest_verb(typed) is None
    assert nearest_verb("tyrse") == "tires"


def test_a_word_of_handling_that_is_hardly_spelled_is_asked_back(talk):
    assert "did you mean 'its realy loose in'? yes does it." in talk.type("its realy lewse in")
    assert "I read: loose getting in" in talk.type("yes")


def test_a_slip_in_a_command_is_met_with_the_right_one(talk):
    assert talk.type("hlep") == "I do not know 'hlep'; did you mean 'help'? yes does it."
    assert "help all says" in talk.type("yes")


@pytest.mark.parametrize(("typed", "meant"), [("enuff", "enough"), ("tri 1", "try 1"), ("wy 1", "why 1")])
def test_a_slip_at_a_question_asks_and_never_acts(talk, typed, meant):
    talk.type("loose off late in the run")
    question = talk.state.question
    said = talk.type(typed)
    assert f"did you mean '{meant}'? yes does it." in said
    assert "First, anything loose" in said
    assert talk.state.question is question


def test_slips_in_commands_are_no_misses_at_a_question(talk):
    talk.type("loose off late in the run")
    said = [talk.type(typed) for typed in ("tri 1", "wy 1", "undoo", "blurb")]
    assert all("did you mean" in one and "comes nearest" not in one for one in said[:3])
    assert "How to tell:" not in said[3]


def test_an_empty_line_at_a_question_asks_it_again(talk):
    talk.type("loose off late in the run")
    assert "First, anything loose" in talk.type("")


def test_a_screen_beside_a_question_leaves_the_question_standing_under_it(talk):
    talk.type("loose off late in the run")
    said = talk.type("show")
    assert said.index("stagger 1 7/8 in") < said.index("First, anything loose")


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("what is cross weight", "help cross weight tells all of it."),
        ("what's stagger?", "help stagger tells all of it."),
        ("what is a stager", "help stagger tells all of it."),
        ("what's wheels chocked mean", "help chock tells all of it."),
        ("what are seat beads", "help bead tells all of it."),
        ("what is a flurb", "Nothing is known about 'flurb'; help lists the words that can be explained."),
        ("how do I raise the cross weight", "How to move the cross weight:"),
        ("how to change stagger?", "How to move the rear stagger:"),
        ("where is the track bar", "Track bar, both ends: at the rear."),
        ("why stagger", "help stagger tells all of it."),
        ("tell me about the panhard bar", "help panhard bar tells all of it."),
    ],
)
def test_a_plain_question_about_a_known_word_is_answered(talk, typed, says):
    assert says in talk.type(typed)
    assert talk.state.session is None


def test_how_do_i_do_that_is_about_the_change_that_is_spoken_of(talk):
    talk.type(*START)
    number = lever_number(talk)
    title = talk.state.bench.knowledge.levers[offers_of(talk.state.advice)[number - 1].id].title
    talk.type(f"make {number}")
    assert f"How to move the {title}:" in talk.type("how do I do that?")


def test_a_plain_question_is_answered_while_the_own_car_is_described(talk):
    talk.type("mine all", "speedy", "", "")
    said = talk.type("what is cross weight")
    assert "help cross weight tells all of it." in said
    assert "Nose, left and cross percent?" in said


def test_who_is_in_danger_is_told_out_whatever_is_being_asked(talk):
    talk.type("mine")
    assert "Everybody out from under it now" in talk.type("my kid is under the car on a floor jack")
    assert talk.conversation.dialog is None


def test_danger_in_a_question_is_heard_first(talk):
    assert "Stop and inspect" in talk.type("why is the wheel loose at the right rear")


@pytest.mark.parametrize(
    ("looked", "is_stopped"), [("none noticed", True), ("not checked", True), ("enough", True), ("1", False)]
)
def test_a_shake_stops_unless_somebody_has_looked_the_car_over(talk, looked, is_stopped):
    assert "Was it looked over since?" in talk.type("why is there a vibration in the right rear")
    assert ("Stop and inspect" in talk.type(looked)) == is_stopped


def test_a_number_that_is_no_answer_keeps_the_question(talk):
    talk.type("loose off late in the run")
    question = talk.state.question
    assert "none of the answers" in talk.type("9")
    assert talk.state.question == question


def test_a_question_mark_explains_every_answer(talk):
    talk.type("loose off late in the run")
    said = talk.type("?")
    assert all(choice.says in said for choice in talk.state.question.choices)
    assert "How to tell:" in said


def test_a_sign_of_danger_ends_in_stop_and_inspect(talk):
    said = talk.type("the wheel is coming off and it is loose off")
    assert said.count("Stop and inspect before any adjustment") == 1
    assert talk.state.advice is None
    assert talk.reply.prompt.startswith("When it is mended")


def test_enough_gives_the_advice_now(talk):
    said = talk.type(*START)
    assert " 1 " in f" {said} "
    assert "Chance it cures: about" in said
    assert talk.reply.prompt == "2 or why 2 for more of it, try 2, make 2, more, ask, sheet, help, or new words"


def test_ctrl_c_leaves_the_question_and_gives_the_advice(talk):
    talk.type("loose off late in the run")
    assert talk.leave().startswith("Left the question.")
    assert talk.state.advice is not None


def test_ctrl_c_where_nothing_is_asked_says_how_to_leave(talk):
    assert talk.leave() == "Nothing is being asked. Ctrl-C once more, Ctrl-D or quit leaves."


def test_back_and_the_same_answer_give_the_same_place(talk):
    talk.type("loose off late in the run", "1", "3")
    before = (talk.state.question, talk.state.session.given)
    talk.type("back")
    talk.type("3")
    assert (talk.state.question, talk.state.session.given) == before


def test_back_before_the_first_answer_goes_to_the_start(talk):
    talk.type("loose off late in the run")
    assert talk.type("back") == "Back at the start."
    assert talk.state.session is None


def test_back_with_nothing_behind_says_so(talk):
    assert talk.type("back") == "Nothing to go back to yet."


def test_change_lists_the_answers_and_asks_one_again(talk):
    talk.type("loose off late in the run", "1")
    assert "type change and a number to answer again:" in talk.type("change")
    first = talk.state.session.given[0][0]
    talk.type("change 1")
    assert talk.state.question.id == first


def test_change_beyond_the_answers_says_how_many_there_are(talk):
    talk.type("loose off late in the run", "1")
    said = talk.type("change 7")
    assert said.startswith(
        "The answers go from 1 to 1; type change alone to see them. What is different since it was last right?"
    )


def test_a_new_complaint_in_the_middle_of_a_question_is_taken(talk):
    talk.type("loose off late in the run")
    said = talk.type("no, it pushes in the middle")
    assert "A new complaint" in said
    assert talk.state.session.text == "no, it pushes in the middle"


@pytest.mark.parametrize("word", ["why 1", "try 1", "make 1", "more"])
def test_commands_that_need_advice_say_so_before_there_is_any(talk, word):
    assert (
        talk.type(word) == "There is no advice yet: say what the car does, then answer the questions, or type enough."
    )


def test_why_explains_the_offer_and_why_all_adds_its_place_in_the_list_and_the_sources(talk):
    talk.type(*START)
    said = talk.type("why 2")
    assert "What it does to the balance" in said
    assert "Chance it cures: about" in said
    assert said.endswith("why 2 all adds how it works, its place in the list, and the sources.")
    assert "Its place in the list:" not in said
    said = talk.type("why 2 all")
    assert re.search(r"coming off \d\.\d to \d\.\d tighter", said), "what a change does has its band"
    assert "Its place in the list:" in said
    assert "Sources:" in said


@pytest.mark.parametrize(
    "line",
    ["why 1", "why 2", "why 3", "more", "try 1", "forecast", "corner", "levers", "levers cross_weight", "balance"],
)
def test_what_is_asked_most_fits_a_screen_of_24_rows_with_the_prompt(whole_talk, line):
    whole_talk.type(*START)
    whole_talk.type(line)
    assert len(whole_talk.screen.split("\n")) <= 21, whole_talk.screen


def test_the_list_of_a_car_nobody_checked_fits_a_screen_of_24_rows_with_the_prompt(whole_talk):
    whole_talk.type("tight in", "enough")
    assert len(re.findall(r"(?m)^[123]  ", whole_talk.screen)) == 3
    assert (
        len(whole_talk.screen.split("\n")) + len(render([Line(whole_talk.reply.prompt)], whole_talk.look)) + 2 <= 24
    ), whole_talk.screen


def test_a_list_with_a_long_doubt_shows_fewer_offers_so_that_it_fits_and_more_shows_the_next(whole_talk, monkeypatch):
    doubt = Line("You said this; the numbers have it otherwise. " * 8, mark="caution")
    monkeypatch.setattr("assistant.pages.advice.doubt_blocks", lambda _: [doubt])
    whole_talk.type(*START)
    rows = whole_talk.screen.split("\n")
    assert len(rows) + len(render([Line(whole_talk.reply.prompt)], whole_talk.look)) + 2 <= 24, whole_talk.screen
    shown = [row for row in rows if re.match(r"\d  ", row)]
    assert [row[0] for row in shown] == [str(at) for at in range(1, whole_talk.state.shown + 1)]
    assert whole_talk.state.shown < FIRST_SHOWN
    number = whole_talk.state.shown + 1
    whole_talk.type("more")
    assert re.search(rf"(?m)^{number}  ", whole_talk.screen)


def test_a_bare_number_after_the_advice_is_why(talk):
    talk.type(*START)
    assert talk.type("1") == talk.type("WHY 1?")


def test_why_not_compares_two_by_the_numbers_on_screen(talk):
    talk.type(*START)
    talk.type("why 3, not 2")
    assert re.findall(r"(?m)^(\d)  ", talk.screen) == ["2", "3"]
    pairs = list(combinations(range(1, 1 + min(5, len(talk.state.offers))), 2))
    said = [talk.type(f"why {second} not {first}") for first, second in pairs]
    turned = [f"Number {second} would gain more than number {first} if the chance of" for first, second in pairs]
    assert any(words in text for words, text in zip(turned, said, strict=True))


def test_why_alone_speaks_of_the_cause(talk):
    talk.type(*START)
    assert "To begin with:" in talk.type("why")


def test_try_shows_before_and_after_and_changes_nothing(talk, demo):
    talk.type(*START)
    number = lever_number(talk)
    said = talk.type(f"try {number}")
    assert f"Nothing has been changed; make {number} puts it into the setup." in said
    assert talk.state.bench.case.setup == demo.setup


def test_try_of_what_the_driver_does_says_that_the_setup_stays(talk):
    talk.type("loose off late in the run", "enough")
    offers = offers_of(talk.state.advice)
    number = next(at for at, offer in enumerate(offers, 1) if getattr(offer, "kind", "") == "driving")
    said = talk.type(f"try {number}")
    assert said.endswith("That is no change of the setup: do it, run, and say what the car does then.")
    assert f"make {number}" not in said


@pytest.mark.parametrize("word", ["why 99", "try 99", "make 99"])
def test_a_number_that_is_not_on_the_list_is_told(talk, word):
    talk.type(*START)
    count = len(offers_of(talk.state.advice))
    assert talk.type(word) == f"The numbers go from 1 to {count}."


def lever_number(talk):
    return next(at for at, offer in enumerate(offers_of(talk.state.advice), 1) if getattr(offer, "kind", "") == "lever")


def test_make_on_the_demo_works_on_a_copy_and_says_so(talk, demo, tmp_path):
    talk.type(*START)
    number = lever_number(talk)
    lever = offers_of(talk.state.advice)[number - 1]
    said = talk.type(f"make {number}")
    assert "a copy of it is kept" in said
    kept = read_case(next((tmp_path / "own" / "copies").glob("*/case.yaml")))
    assert kept.setup.values[lever.id] == pytest.approx(lever.finish)
    assert read_case("demo").setup == demo.setup
    assert talk.reply.prompt == "What does it do now? (your words, make another, sheet, undo, show or quit)"


def test_make_shows_every_caution_of_the_change(talk):
    talk.type(*START)
    number = lever_number(talk)
    cautions = offers_of(talk.state.advice)[number - 1].cautions
    said = talk.type(f"make {number}")
    assert cautions
    assert all(" ".join(text.split()) in said for text in cautions)


def test_undo_takes_the_change_out_and_puts_the_advice_back(talk, demo):
    talk.type(*START)
    advice = talk.state.advice
    talk.type(f"make {lever_number(talk)}")
    assert talk.type("undo").startswith("Taken out:")
    assert talk.state.bench.case.setup.values == demo.setup.values
    assert talk.state.advice == advice


def test_undo_with_nothing_said_or_made_says_so(talk):
    assert talk.type("undo") == "Nothing has been said or made yet that could be taken back."


def test_more_goes_on_where_the_screen_stopped_until_all_are_seen(talk):
    talk.type(*START)
    offers = len(offers_of(talk.state.advice))
    for _ in range(offers):
        talk.type("more")
    assert talk.words == "That was all of them."
    assert talk.state.shown == offers


def test_show_gives_every_lever_of_the_setup(talk, demo):
    said = talk.type("show")
    assert "right front: spring 400 lb/in; compression 5 clicks; rebound 5 clicks; air 24.0 psi; camber" in said
    assert "stagger 1 7/8 in" in said
    assert "fuel at green" in said
    assert said.index("left front:") < said.index("right rear:") < said.index("front: bar") < said.index("middle:")


def test_si_units_are_shown_when_asked_for(make_talk):
    assert "kPa" in make_talk(units="si").type("show")


def test_balance_is_a_table_with_what_was_said_and_what_is_not_known(talk):
    said = talk.type("balance")
    assert re.search(r'coming off .*"loose" \d\.\d \+-\d\.\d', said)
    assert re.search(r"in the middle not known", said)
    assert "Getting in:" not in said


def test_balance_is_read_out_in_whole_sentences_where_nobody_sees_a_table(make_talk):
    talk = make_talk(accessible=True)
    talk.type("balance")
    assert "Getting in: " in talk.screen
    assert "entry" not in talk.screen


def test_limits_name_what_comes_before_the_program(talk):
    assert "series rulebook come before anything said here" in talk.type("limits")


def test_help_tells_of_what_a_newcomer_needs_and_names_the_rest_on_one_screen(talk):
    said = talk.type("help")
    assert len(talk.screen.split("\n")) <= 21
    assert "try 2: the balance before and after number 2" in said
    assert "Also: change 2, ask, temps rf 210 205 190, keep, why not stagger, made stagger 2, causes," in said
    assert "help all says what each of them does, help try more about try, help stagger what a word means." in said
    assert all(verb.example in said for verb in VERBS)


def test_help_all_tells_of_every_command(talk):
    said = talk.type("help all")
    assert all(f"{verb.example}: " in said for verb in VERBS)


def test_help_on_a_command_names_its_other_spellings(talk):
    assert talk.type("help quit") == (
        "quit: leave; the next talk offers to go on; exit, q and Ctrl-D do the same. Also: exit, q, :q, bye, stop."
    )


def test_help_on_a_word_of_the_trade_explains_it(talk):
    assert talk.type("help stagger") == talk.type("explain stagger")


def test_help_on_something_else_lists_the_commands(talk):
    assert talk.type("help xyzzy").startswith("There is no help on 'xyzzy'. Type what the car does")


def test_explain_finds_a_word_and_forgives_a_slip(talk):
    assert "circumference" in talk.type("explain stagger")
    assert talk.type("explain stager") == "Nothing is known about 'stager'; did you mean 'stagger'?"


@pytest.mark.parametrize("word", ["quit", "EXIT", "q", ":q"])
def test_every_way_to_leave_leaves(talk, word):
    talk.type(word)
    assert talk.reply.over


def test_yes_to_quit_leaves(talk):
    assert "did you mean 'quit'?" in talk.type("qiut")
    talk.type("yes")
    assert talk.reply.over


def test_the_line_mode_gives_the_same_advice_one_item_a_line(make_talk):
    plain, spoken = make_talk(), make_talk(accessible=True)
    plain.type(*START)
    spoken.type(*START)
    assert plain.state.advice == spoken.state.advice
    assert plain.reply.blocks == spoken.reply.blocks


def test_at_forty_columns_every_screen_wraps(make_talk):
    talk = make_talk(width=40)
    for line in ("loose off late in the run", "?", "enough", "why 1", "try 1", "balance", "show", "help", "limits"):
        talk.type(line)
        assert all(len(row) <= 40 for row in talk.screen.split("\n")), line


def test_completion_knows_commands_before_the_rules_are_read_and_symptoms_after(talk):
    words = talk.conversation.completions()
    assert {"help", "quit", "loose off", "explain stagger"} <= set(words)
    talk.state.bench._loaded = None
    assert "loose off" not in talk.conversation.completions()
    assert "help" in talk.conversation.completions()


def test_nobody_there_gets_the_advice_for_the_complaint_on_file(talk, demo):
    reply = talk.conversation.advise_at_once()
    assert reply.over
    assert talk.state.advice is not None


def cut_off_talk(make_talk, folder, *lines):
    record = record_in(folder)
    talk = make_talk(record=record)
    talk.type(*lines)
    record.close()
    return talk


@pytest.mark.parametrize("yes", ["1", "Sure", "yep"])
def test_a_talk_that_was_killed_is_offered_and_taken_up_where_it_stood(make_talk, tmp_path, yes):
    first = cut_off_talk(make_talk, tmp_path, "loose off late in the run", "1", "3")
    again = make_talk(record=record_in(tmp_path), cut_off=cut_off_in(tmp_path))
    assert "Go on with it?" in again.words
    assert again.type(yes).startswith("Where you left, with all you typed (3 lines).")
    assert (again.state.question, again.state.session.given) == (first.state.question, first.state.session.given)
    again.conversation.record.close()


@pytest.mark.parametrize("more", [("make 2", "better"), ("rr 24.5 hot", "made stagger 1/8 more", "worse")])
def test_a_talk_taken_up_again_believes_the_same_and_comes_to_the_same_list(
    make_talk, tmp_path, advise_once, monkeypatch, more
):
    believed, believe = [], bench_module.believe_told

    def note(case, told, *rest):
        believed.append((case.setup.values, tuple(one.complaint for one in told), case.measured))
        return believe(case, told, *rest)

    monkeypatch.setattr(bench_module, "believe_told", note)
    monkeypatch.setattr(offers, "advise", advise_once)
    talk = cut_off_talk(make_talk, tmp_path, *START, *more)
    last, listed = believed[-1], offers_of(talk.state.advice)
    believed.clear()
    again = make_talk(record=record_in(tmp_path), cut_off=cut_off_in(tmp_path))
    again.type("yes")
    assert offers_of(again.state.advice) == listed
    assert [one for one, _ in groupby(believed)] == [last]  # nothing of what was believed before is worked out again
    again.conversation.record.close()


@pytest.mark.parametrize("made", ["make 1", "made stagger 1/8 more"])
def test_taking_up_a_talk_does_not_make_its_change_twice(make_talk, tmp_path, made):
    first = cut_off_talk(make_talk, tmp_path, *START, made)
    after = first.state.bench.case.setup
    again = make_talk(record=record_in(tmp_path), cut_off=cut_off_in(tmp_path))
    again.type("yes")
    assert again.state.bench.case.setup.values == after.values
    again.conversation.record.close()


def test_the_offer_can_be_turned_down_and_does_not_come_back(make_talk, tmp_path):
    cut_off_talk(make_talk, tmp_path, "loose off late in the run")
    again = make_talk(record=record_in(tmp_path), cut_off=cut_off_in(tmp_path))
    again.type("2")
    assert again.reply.prompt.startswith("What is the car doing?")
    assert cut_off_in(tmp_path) is None


def test_an_offer_that_is_talked_over_is_turned_down(make_talk, tmp_path):
    cut_off_talk(make_talk, tmp_path, "loose off late in the run")
    again = make_talk(record=record_in(tmp_path), cut_off=cut_off_in(tmp_path))
    assert "I read: tight" in again.type("tight in")
    again.conversation.record.close()


def test_what_a_case_file_holds_is_shown_never_sent(make_talk, demo):
    evil = replace(demo, setup=replace(demo.setup, name="a\x1b[2Jb\u202e"))
    assert "a^[[2Jb<U+202E>" in make_talk(evil).type("show")


def test_an_answer_to_another_question_names_it_and_what_a_gauge_says_begins_no_new_complaint(talk):
    talk.type("demo", "loose", "none")
    said = talk.type("yeah it was good before the spring")
    assert "Taken as: Was the car right before? yes, it was good." in " ".join(said.split())
    assert "is none of the answers" in talk.type("rr went up 6")


def test_a_change_told_after_the_list_is_added_to_the_complaint_that_stands(talk):
    talk.type("loose off late", "1", "enough")
    before = talk.state.session
    said = talk.type("oh we put softer rear shocks on it yesterday")
    assert "Added to the complaint that stands: put softer rear shocks." in said
    after = talk.state.session
    assert after.complaint.cells == before.complaint.cells
    assert set(before.given) <= set(after.given)
    assert after.known["which_suspension"] == "shocks"
    talk.type("undo")
    assert talk.state.session == before


def test_words_that_are_none_of_the_answers_are_told_as_what_they_were_taken_for(talk):
    talk.type("loose off late in the run", "1", "4")
    assert "Taken as: no, it was always like this." in talk.type("never was")


def test_a_second_thing_that_was_changed_is_kept_and_said(talk):
    talk.type("loose off late in the run", "none")
    while talk.state.question.id != "what_changed":
        talk.type("not sure")
    said = " ".join(talk.type("new tires and we did the shocks too").split())
    assert "What was done with the tires? new tires; Which of these was it? shocks." in said
    assert "Left out" not in said


def test_an_answer_by_its_number_or_its_own_words_is_not_told_again(talk):
    assert "Taken as" not in talk.type("loose off late in the run", "none")
    assert "Taken as" not in talk.type("3")


def test_fine_with_words_nobody_could_read_is_not_taken_for_fine(talk):
    assert talk.type("its better but blurgy") == (
        "I read: it is fine; not understood: blurgy. Say in other words what it does where it is not, or quit."
    )


def test_a_word_of_the_trade_alone_is_told_where_it_is_explained(talk):
    assert talk.type("Stagger") == (
        "'Stagger' alone says nothing of what the car does. help Stagger tells what it means."
    )
    talk.type("loose off late in the run")
    assert "'stagger' is none of the answers. help stagger tells what it means. First," in talk.type("stagger")


@pytest.mark.parametrize("typed", ["fixed it", "its mended now"])
def test_what_is_mended_is_heard_and_the_car_asked_about(talk, typed):
    assert talk.type(typed).startswith("I cannot make out")
    talk.type("loose off", "yes", "vibration")
    assert talk.type(typed) == "Good. Say what the car does now, in your words; back goes to the question of faults."
    assert "I read: tight getting in" in talk.type("tight in")


def test_a_slide_without_its_end_is_asked_about_with_safety_first(talk):
    said = talk.type("skates in the middle")
    assert "not understood: skates (the nose or the tail?)." in said
    assert "First, anything loose" in said
    assert "it will not turn (tight)" in talk.type("none noticed")
    assert "When in the run" in talk.type("2")  # where is known: in the middle


@pytest.mark.parametrize("line", ["skates in the middle", "feels wierd in 3 and 4", "its all over the place"])
def test_words_that_leave_something_open_lead_to_questions_from_the_list_too_and_undo_brings_the_list_back(talk, line):
    talk.type("loose off late in the run", "enough")
    assert "First, anything loose" in talk.type(line)
    assert "it will not turn (tight)" in talk.type("none noticed")
    assert '"loose off late in the run":' in talk.type("undo", "undo")


@pytest.mark.parametrize("line", ["something else", "neither its just slow", "idk its just slow"])
def test_who_turns_down_the_whole_list_is_asked_what_it_is(talk, line):
    talk.type("loose off late in the run", "enough")
    assert "First, anything loose" in talk.type(line)


@pytest.mark.parametrize("line", ["floaty", "the tail", "banana"])
def test_the_second_line_in_a_row_that_nothing_is_made_of_leads_to_questions(talk, line):
    assert "cannot make out" in talk.type(line)
    talk.type("show")
    assert "cannot make out" in talk.type(line)
    assert "First, anything loose" in talk.type(line)


def test_a_no_at_the_list_is_told_what_can_be_typed_and_wipes_nothing(talk):
    talk.type("loose off late in the run", "enough")
    assert "Type why, try or make with a number" in talk.type("no")
    assert "cannot make out 'nah'" in talk.type("nah")


@pytest.mark.parametrize("line", ["I can't say", "dunno, it just aint right", "she sure was a bear out there tonight"])
def test_words_are_never_required(talk, line):
    assert "First, anything loose" in talk.type(line)
    assert "1 the back steps out (loose) 2 it will not turn (tight) 3 neither" in talk.type("none noticed")
    assert "Where in the corner" in talk.type("1")


@pytest.mark.parametrize("line", ["it is good now", "ok", "perfect"])
def test_a_car_that_is_fine_needs_no_change(talk, line):
    assert talk.type(line) == (
        "I read: it is fine, so there is nothing to change. Say what it does where it is not, or quit."
    )
    assert talk.state.session is None


def offered(make_talk, folder):
    cut_off_talk(make_talk, folder, "loose off late in the run", "1")
    return make_talk(record=record_in(folder), cut_off=cut_off_in(folder))


@pytest.mark.parametrize("line", ["?", "help", "", "xyzzy", "3", "ok"])
def test_the_offer_is_explained_and_stays_open_for_what_is_no_answer(make_talk, tmp_path, line):
    again = offered(make_talk, tmp_path)
    said = again.type(line)
    assert "yes: go on where it stopped; nothing of its 2 lines is typed again." in said
    assert "no: begin a new one; that talk is not offered again." in said
    assert "What the car does or mine begin a new one too; quit leaves it for the next time." in said
    assert again.type("1").startswith("Where you left, with all you typed (2 lines).")
    again.conversation.record.close()


def test_a_screen_leaves_the_offer_open(make_talk, tmp_path):
    again = offered(make_talk, tmp_path)
    said = again.type("show")
    assert "stagger 1 7/8 in" in said
    assert "Go on with it?" in said
    assert cut_off_in(tmp_path) is not None


def test_quitting_at_the_offer_keeps_it_for_the_next_time(make_talk, tmp_path):
    again = offered(make_talk, tmp_path)
    assert again.type("quit") == ("The talk from before is kept; the next talk about this car offers to go on with it.")
    assert cut_off_in(tmp_path).typed == ("loose off late in the run", "1")


@pytest.mark.parametrize("word", ["quit", "exit", "q", ":q"])
def test_every_way_to_leave_says_what_ctrl_d_says(make_talk, tmp_path, word):
    talk = make_talk(record=record_in(tmp_path))
    talk.type("limits")
    ctrl_d = talk.conversation.saved_words()
    assert talk.type(word) == "Saved; the next talk about this car offers to go on here."
    assert talk.reply.blocks == ctrl_d
    talk.conversation.record.close()
    assert cut_off_in(tmp_path).typed == ("limits",)


def test_nothing_typed_is_nothing_saved(talk):
    assert talk.type("quit") == "Good running."


def test_what_could_not_be_written_is_not_called_saved(talk):
    assert talk.type("limits", "quit") == (
        "Good running. Nothing of this talk is saved: your own folder cannot be written to."
    )


def test_going_on_does_not_write_the_page_again(make_talk, tmp_path):
    page = tmp_path / "page.md"
    cut_off_talk(make_talk, tmp_path, *START, f"sheet {page}")
    page.unlink()
    again = make_talk(record=record_in(tmp_path), cut_off=cut_off_in(tmp_path))
    assert again.type("1").startswith("Where you left, with all you typed (3 lines).")
    assert not page.exists()
    again.conversation.record.close()


def test_explain_alone_says_what_can_be_explained(talk, knowledge):
    said = talk.type("explain")
    assert said.startswith("Type explain and one of these, such as explain stagger. Words of the trade:")
    assert all(word in said for word in knowledge.glossary)
    assert f"{len(knowledge.levers)} levers, such as:" in said
    assert f"{len(knowledge.driving)} driving habits, such as:" in said


def test_a_long_paste_nobody_can_read_is_not_said_back_whole(talk):
    assert f"I cannot make out '{'x' * 60} ...'." in talk.type("x" * 3000)


def test_a_stop_found_by_the_advice_itself_offers_nothing_to_make(talk, monkeypatch):
    talk.type("loose off", "1")
    monkeypatch.setattr(
        Bench, "advise", lambda _, session: Advice(session.complaint, stop=StopReason(("a loose wheel",)))
    )
    assert talk.type("enough").startswith("Stop and inspect before any adjustment: a loose wheel.")
    assert "mended" in talk.reply.prompt
    assert talk.type("make 1") == "There is nothing to choose from."


def test_a_change_does_not_make_the_program_forget_what_was_said_elsewhere_in_the_corner(talk):
    talk.type("loose all through the corner late in the run", "1", "3", "1", "enough")
    before = talk.type("balance")
    assert re.search(r'getting in .*"loose" \d\.\d \+-\d\.\d in the middle', " ".join(before.split()))
    talk.type(f"make {lever_number(talk)}", "even looser off late", "1", "enough")
    state = talk.state
    rows = {(row.id, row.terms[0].setup): row for row in state.bench.belief(state.session.complaint).evidence.rows}
    assert rows["entry worn", ""].value < 0.0  # said of the setup before the change
    assert rows["exit worn", "setup 1"].value < 0.0  # and of the one with it
    said = talk.type("balance")
    assert "The setup alone does not tell" in said or "No plausible car does all that is known." in said


@pytest.mark.parametrize("typed", ["what is tight", "what does tight mean?"])
def test_a_plain_question_is_answered_and_puts_no_answers_away(talk, typed):
    talk.type("loose off", "1")
    before = talk.state.session
    assert "The front tires give up first" in talk.type(typed)
    assert talk.state.session is before


def test_the_question_of_faults_is_asked_where_only_a_part_was_understood(talk):
    assert "First, anything loose" in talk.type("my shock feels weird")


def test_after_a_miss_the_whole_question_stands_again(talk):
    talk.type("loose off", "1")
    assert "When in the run is it worst? 1 first laps" in talk.type("qwertz")


def test_a_part_that_came_loose_stops(talk):
    said = talk.type("track bar came loose")
    assert "Stop and inspect" in said
    assert "loose all through the corner" not in said


def test_a_slip_of_a_command_at_a_question_asks_the_question_again_too(talk):
    talk.type("loose off", "1")
    said = talk.type("slow")
    assert "did you mean 'show'?" in said
    assert "When in the run is it worst?" in said


def test_after_a_change_the_list_is_weighed_anew_and_the_change_is_marked(talk, demo):
    talk.type(*START)
    number = lever_number(talk)
    first = offers_of(talk.state.advice)[number - 1]
    said = talk.type(f"make {number}")
    assert "cannot be told apart" not in said
    assert "Weighed anew for the car as it is now" in said
    assert talk.state.advice.case.setup == talk.state.bench.case.setup != demo.setup
    again = [one for one in offers_of(talk.state.advice) if one.id == first.id and one.kind == "lever"]
    assert all(one.change * first.change < 0 for one in again)
    second = offers_of(talk.state.advice)[lever_number(talk) - 1]
    assert "Two changes at once cannot be told apart" in talk.type(f"make {lever_number(talk)}")
    assert set(differences(demo.setup, talk.state.bench.case.setup)) == {first.id, second.id}
    assert talk.type("enough").count("Made already:") == 2
    assert "undo takes it out" in talk.type("back")
    talk.type("undo", "undo")
    assert talk.state.bench.case.setup.values == demo.setup.values
    assert "Made already:" not in talk.type("enough")


def test_the_page_after_a_change_says_that_it_is_made(talk, tmp_path):
    talk.type(*START)
    talk.type(f"make {lever_number(talk)}")
    assert talk.type(f"sheet {tmp_path / 'page.md'}").startswith("Written to")
    assert "Made since: " in (tmp_path / "page.md").read_text()


@pytest.mark.parametrize("line", ["skip 1", "what is tight", "next", "what does loose mean", "make 1 2", "xyzzy", "ok"])
def test_a_stray_line_leaves_the_list_and_the_answers_alone(talk, line):
    talk.type("loose off late in the run", "1", "3", "enough")
    session, advice = talk.state.session, talk.state.advice
    talk.type(line)
    assert talk.state.session is session
    assert talk.state.advice is advice


@pytest.mark.parametrize("line", ["skip 1", "what is tight"])
def test_a_stray_line_leaves_the_question_alone(talk, line):
    talk.type("loose off late in the run", "1")
    session, question = talk.state.session, talk.state.question
    talk.type(line)
    assert (talk.state.session, talk.state.question) == (session, question)


@pytest.mark.parametrize("word", ["undo", "back"])
def test_a_complaint_put_away_comes_back_with_its_answers(talk, word):
    talk.type("loose off late in the run", "1", "3", "enough")
    session, advice = talk.state.session, talk.state.advice
    assert "undo brings them back" in talk.type("actually its tight")
    assert talk.state.session is not session
    assert talk.type(word).startswith("Back to what you said before: loose off late in the run.")
    assert talk.state.session is session
    assert talk.state.advice is advice


def test_a_complaint_put_away_at_a_question_comes_back_at_that_question(talk):
    talk.type("loose off late in the run", "1")
    question = talk.state.question
    talk.type("tight in")
    talk.type("undo")
    assert (talk.state.question, talk.state.session.given) == (question, (("safety", "none"),))


def test_going_back_to_the_start_can_be_undone(talk):
    talk.type("loose off late in the run", "back")
    assert talk.state.session is None
    talk.type("undo")
    assert talk.state.session.text == "loose off late in the run"


def left_after_a_change(make_talk, own, folder):
    """A talk about the user's own car that was left after a change was made."""
    folder.mkdir()
    record = record_in(folder, str(own))
    talk = make_talk(read_case(own), record=record)
    talk.type(*START)
    talk.type(f"make {lever_number(talk)}")
    record.close()
    return talk


def taken_up(make_talk, own, folder):
    again = make_talk(read_case(own), record=record_in(folder, str(own)), cut_off=cut_off_in(folder, str(own)))
    again.type("yes")
    return again


def test_taking_up_a_talk_writes_nothing(make_talk, own, tmp_path):
    first = left_after_a_change(make_talk, own, tmp_path / "talks")
    setup = own.with_name("setup.yaml")
    before, touched = setup.read_text(), setup.stat().st_mtime_ns
    again = taken_up(make_talk, own, tmp_path / "talks")
    assert again.words.startswith("Where you left, with all you typed (3 lines).")
    assert (setup.read_text(), setup.stat().st_mtime_ns) == (before, touched)
    assert again.state.bench.case.setup.values == pytest.approx(dict(first.state.bench.case.setup.values))
    assert again.type("undo").startswith("Taken out:")
    assert read_case(own).setup.values == pytest.approx(dict(read_case("demo").setup.values))
    again.conversation.record.close()


def test_a_setup_changed_by_hand_since_is_said_and_kept_and_the_words_begin_anew(make_talk, own, tmp_path):
    left_after_a_change(make_talk, own, tmp_path / "talks")
    setup = own.with_name("setup.yaml")
    by_hand = setup.read_text().replace("spring: 225 lb/in", "spring: 250 lb/in")
    assert by_hand != setup.read_text()
    setup.write_text(by_hand)
    again = taken_up(make_talk, own, tmp_path / "talks")
    assert "RR spring 225 lb/in, now 250 lb/in" in again.words
    assert "You said then: loose off late in the run." in again.words
    assert setup.read_text() == by_hand
    assert again.state.question is not None
    assert again.state.bench.case.setup.values == read_case(own).setup.values
    again.conversation.record.close()
    assert cut_off_in(tmp_path / "talks", str(own)).typed == ("loose off late in the run",)


@pytest.mark.parametrize("how", ["ended", "another track"])
def test_a_change_that_waits_is_asked_about_although_its_talk_cannot_go_on(make_talk, own, tmp_path, how):
    first = left_after_a_change(make_talk, own, tmp_path / "talks")
    setup = first.state.bench.case.setup
    if how == "ended":
        Notebook(tmp_path / "talks").end_talk(1)
    else:
        track = own.with_name("track.yaml")
        track.write_text(track.read_text().replace("12.5 deg", "12 deg"))
    cut_off = cut_off_in(tmp_path / "talks", str(own))
    assert cut_off.is_over is (how == "ended")
    again = make_talk(read_case(own), record=record_in(tmp_path / "talks", cut_off.car), cut_off=cut_off)
    assert "What did it do?" in again.words
    said = again.type("better")
    assert "You said then: loose off late in the run." in said
    assert "Felt: better. Promised was that it cures" in said
    assert again.state.bench.case.setup.values == pytest.approx(dict(setup.values))
    again.conversation.record.close()
    kinds = [one.kind for one in Notebook(tmp_path / "talks").entries(cut_off.car, (SAID, MADE, FELT))]
    assert kinds == [SAID, MADE, SAID, MADE, FELT]
    assert cut_off_in(tmp_path / "talks", str(own)).made == ""


def test_rules_changed_since_are_said_and_nothing_is_made(make_talk, own, tmp_path):
    left_after_a_change(make_talk, own, tmp_path / "talks")
    before = own.with_name("setup.yaml").read_text()
    rules = own.with_name("rulebook.yaml")
    rules.write_text(re.sub(r"^rulebook: .*$", "rulebook: another", rules.read_text(), flags=re.MULTILINE))
    again = taken_up(make_talk, own, tmp_path / "talks")
    assert "another rulebook" in again.words
    assert own.with_name("setup.yaml").read_text() == before
    again.conversation.record.close()


def test_a_file_changed_while_the_talk_is_open_is_read_again_and_not_overwritten(make_talk, own):
    talk = make_talk(read_case(own))
    talk.type(*START)
    setup = own.with_name("setup.yaml")
    by_hand = setup.read_text().replace("spring: 225 lb/in", "spring: 250 lb/in")
    setup.write_text(by_hand)
    number = lever_number(talk)
    said = talk.type(f"make {number}")
    assert "Not made: the setup file was changed meanwhile (RR spring 225 lb/in, now 250 lb/in)." in said
    assert setup.read_text() == by_hand
    assert talk.type(f"make {lever_number(talk)}").startswith("Made:")
    assert read_case(own).setup.values["spring_rr"] == pytest.approx(from_unit(250, "lb/in", "spring_rate"))
    setup.write_text(setup.read_text().replace("spring: 250 lb/in", "spring: 275 lb/in"))
    assert talk.type("undo").startswith("Not taken out: the setup file was changed meanwhile")
    assert talk.type("undo").startswith("Taken out:")
    assert "spring: 275 lb/in" in setup.read_text()


def test_a_guess_that_was_moved_is_still_shown_as_one(make_talk, own):
    setup = own.with_name("setup.yaml")
    setup.write_text(re.sub(r"(cross weight: 51(?:.0)? %)", r"\1 guessed", setup.read_text()))
    talk = make_talk(read_case(own))
    assert "Made:" in talk.type("made cross weight 0.5 more")
    assert "cross weight: 51.5 % guessed" in setup.read_text()
    assert re.search(r"cross weight 5\d(\.\d+)? % guessed", talk.type("show"))


def test_undo_takes_back_every_step_one_by_one_whatever_it_was(talk, demo):
    talk.type("loose off late in the run", "1")
    first = talk.state.question
    talk.type("3", "enough")
    advice = talk.state.advice
    talk.type(f"make {lever_number(talk)}", "tight in", "skip", "1")
    assert "First, anything loose" in talk.type("undo")
    assert talk.type("undo").startswith("Back to what you said before: loose off late in the run.")
    assert talk.words.count("Made already:") == 1
    assert talk.type("undo").startswith("Taken out:")
    assert talk.state.bench.case.setup.values == demo.setup.values
    assert talk.state.advice is advice
    talk.type("undo")
    assert (talk.state.question, talk.state.advice) == (first, None)
    assert "First, anything loose" in talk.type("undo")
    assert talk.type("undo") == "Back at the start."
    assert talk.type("undo") == "Nothing has been said or made yet that could be taken back."


def test_back_goes_so_many_answers_back_at_once_and_a_changed_answer_counts(talk):
    talk.type("loose off late in the run", "1")
    second = talk.state.question
    talk.type("3")
    third = talk.state.question
    talk.type("change 1", "1", "back", "back")
    assert (talk.state.question, len(talk.state.session.given)) == (third, 2)
    talk.type("back 2")
    assert talk.state.session.given == ()
    assert talk.state.question != second


def test_temperatures_stay_measured_when_an_answer_is_taken_back_and_undo_takes_them_back_too(talk):
    temps = "temps 180 185 170  240 235 220  170 172 168  210 220 205"
    talk.type("loose off late in the run", temps, "1", "undo")
    assert talk.state.session.case.measured.temperatures
    talk.type("undo")
    assert not talk.state.session.case.measured.temperatures
    talk.type("1", temps, "back")
    assert talk.state.session.given == ()
    assert talk.state.session.case.measured.temperatures
    assert "Taken back: temperatures LF 180 185 170" in talk.type("undo")


def test_british_spellings_are_understood_in_a_talk(talk):
    assert talk.type("tyres") == talk.type("tires")
    assert talk.type("forecast tyres") == talk.type("forecast tires")


def test_a_change_in_own_words_is_tried_and_nothing_is_changed(talk, demo):
    talk.type(*START)
    said = talk.type("try track bar right down 1/2")
    assert said.startswith("Lower the right end of the track bar 1/2 in, from 10 1/2 to 10.")
    assert re.search(r"goes the right way in [\w ]+ plausible cars", said)
    assert said.endswith("Nothing has been changed; made track bar right 10 in puts it into the setup.")
    assert talk.state.bench.case.setup == demo.setup
    assert "Soften the right rear spring 25 lb/in" in talk.type("what if I soften the right rear?")


def test_what_is_past_the_rules_or_all_sense_is_said_to_be(talk):
    said = talk.type("try stagger 9")
    assert "Not legal: stagger is 9 in" in said
    assert "Nobody moves that much at once; 1/2 in is the most that is sensible" in said
    assert "is not possible, only 20 % to 80 %" in talk.type("try cross weight up 90 %")


def test_a_change_of_ones_own_is_made_and_undone(talk, demo):
    talk.type(*START)
    assert talk.type("made stagger 2").startswith("Made: Increase the rear stagger 1/8 in, from 1 7/8 to 2: looser")
    assert "Two changes at once" in talk.type("made rr pressure 20")
    moved = differences(demo.setup, talk.state.bench.case.setup)
    assert set(moved) == {"stagger", "pressure_rr"}
    talk.type("undo", "undo")
    assert talk.state.bench.case.setup.values == demo.setup.values
    assert talk.type("made stagger 1 7/8") == "It stands there already."


def test_a_bare_change_is_shown_and_made_only_on_a_yes(talk, demo):
    assert "Lower the right rear pressure 2.0 psi" in talk.type("rr pressure 20")
    assert talk.state.bench.case.setup == demo.setup
    assert "Made: Lower the right rear pressure 2.0 psi" in talk.type("yes")


def test_words_about_the_car_behind_made_or_what_if_are_heard_as_such(talk):
    assert "I read: loose coming off" in talk.type("I made a change and now it is loose off")


def test_why_not_says_where_on_the_list_it_is_or_what_it_would_do(talk):
    talk.type(*START)
    offers = offers_of(talk.state.advice)
    number = lever_number(talk)
    assert f"It is number {number} on the list." in talk.type(f"why not {offers[number - 1].title}")
    listed = {getattr(offer, "id", "") for offer in offers}
    away = next(one for one in ("stagger", "pressure_rf", "nose_tape") if one not in listed)
    said = talk.type(f"why not {away.replace('_', ' ')}")
    assert "Not on the list. The most its usual change does:" in said
    assert talk.type("why not the moon").startswith("No lever of this car is in")


@pytest.mark.parametrize(
    "line",
    [
        "made it stiffer and now the brakes are gone",
        "try again, the steering wheel is loose",
        "measured it, it smells of fuel",
    ],
)
def test_danger_behind_a_command_is_heard_first(talk, line):
    assert "Stop and inspect" in talk.type(line)


@pytest.mark.parametrize("line", ["2", "that's not what I meant", "no, nothing is broken", "nope"])
def test_a_danger_that_was_not_meant_is_taken_back_and_the_car_is_asked_about(talk, line):
    talk.type("sway bar is broke, it pushes")
    assert talk.state.stop
    assert "anything loose, bent, leaking" in talk.type(line)
    assert talk.state.session.next_question().id == "safety"
    assert not talk.state.stop
    talk.type("back")
    assert talk.state.stop


def test_nothing_is_broken_takes_back_a_danger_that_was_answered_and_back_shows_the_stop(talk):
    talk.type("loose off")
    assert "nothing is broken" in talk.type("the brakes are soft")
    assert "Stop and inspect" in talk.type("still soft")
    assert "anything loose, bent, leaking" in talk.type("2")
    assert not talk.state.stop
    said = talk.type("back")
    assert "Stop and inspect" in said
    assert "2 That is not what I meant" in said


def test_none_of_these_leads_out_of_which_fault_it_is(talk):
    talk.type("loose off", "2")
    assert talk.state.question.id == "safety_kind"
    talk.type("none of these")
    assert talk.state.question.id == "safety"
    assert not talk.state.stop


def test_no_to_whether_the_car_was_looked_over_takes_back_no_danger(talk):
    talk.type("NO BRAKES in 3")
    assert talk.state.question.id == "safety"
    talk.type("nothing is broken")
    assert talk.state.session.reading.said.safety


def test_what_should_i_do_and_what_do_you_mean_are_answered_at_a_question(talk):
    talk.type("loose off")
    assert "Answer this, then comes the advice" in talk.type("what should i do")
    assert "Asked because" in talk.type("what do you mean")
    assert "Asked because" in talk.type("why do you ask that")
    assert "Asked because" in talk.type("what do you mean by right?")


def test_whether_to_change_something_is_a_question_and_no_answer(talk):
    talk.type("loose off late in the run", "1")
    for line in ("so do i take air out of the rf or not", "need new shocks", "should i scale it"):
        assert "Taken as" not in talk.type(line)
    assert "How to tell: A good corner stops at once." in talk.type("do i need new shocks")
    talk.type("enough")
    assert "usual change does: lower the right front pressure" in talk.type("so do i take air out of the rf or not")
    assert "How to tell: A good corner stops at once." in talk.type("need new shocks")


def test_a_price_in_tires_is_that_of_an_offer_on_the_screen(talk):
    talk.type("loose off", "enough")
    found = re.match(r"Number (\d+)", talk.type("what does it cost my tires"))
    assert found is not None
    assert int(found[1]) <= talk.state.shown
    talk.state.shown = 0
    assert "Nothing here has a price" in talk.type("what does it cost my tires")


def test_a_danger_that_was_mended_waits_for_what_the_car_does_now(talk):
    talk.type("sway bar is broke, it pushes")
    assert "Say what the car does now" in talk.type("1")
    assert talk.state.stop
    assert "Stop and inspect" in talk.type("no brakes")
    assert "I read: tight" in talk.type("fixed it, still pushes")


def test_why_not_says_that_a_reading_is_missing_and_what_can_be_done_where_nothing_was_read(talk):
    talk.type("tight in", "1", "4", "enough")
    assert "nobody has taken one here yet" in talk.type("why not camber lf")
    talk.type("loose off and tight off", "enough")
    assert "try stagger more shows what it does by itself" in talk.type("why not stagger")


def test_loose_and_tight_of_one_place_are_asked_about_and_move_no_lever(talk):
    said = talk.type("free off and tight off")
    assert said.startswith("I read: loose and tight are both said of one place: which is it, and when in the run.")
    assert "What does the car do?" in talk.type("1")
    talk.type("enough")
    assert {one.kind for one in talk.state.advice.remedies} & {"lever"} == set()
    assert not talk.state.advice.packages


def test_which_of_two_it_is_settles_what_was_said_of_one_place(talk):
    talk.type("loose off and tight off", "1", "2")
    assert {cell.balance for cell in talk.state.session.complaint.cells} == {"tight"}


def test_other_words_do_not_ask_again_whether_the_car_is_sound(talk):
    talk.type("tight in", "1")
    assert "anything loose, bent, leaking" not in talk.type("actually its loose off")
    assert talk.state.session.known["safety"] == "none"
    talk.type("undo")
    assert talk.state.session.text == "tight in"


def test_other_words_ask_whether_the_car_is_sound_where_nobody_has_looked(talk):
    talk.type("tight in", "4")
    assert "anything loose, bent, leaking" in talk.type("no wait, its loose off")


def test_another_car_is_opened_by_its_name_within_a_talk(make_talk, tmp_path):
    first = make_talk()
    first.type("mine", "car 7", *[""] * 5, "open demo")
    assert first.state.bench.case.car.name == "demo-car"
    assert first.type("open Car 7").startswith("Case car-7: car-7 on car-7-track")
    assert "there is no such case file" in first.type("open nothing")
    assert first.state.bench.case.car.name == "car-7"
    assert "No car of yours is on file yet" in first.type("cars")


def test_opening_a_car_begins_as_a_start_does_and_loses_no_talk(make_talk, tmp_path):
    record = record_in(tmp_path)
    talk = make_talk(record=record)
    talk.type("mine", "car 7", *[""] * 5, "loose off late in the run", "made stagger 1/8 less", "open demo", "tight in")
    asked = talk.type("open Car 7")
    assert "What did it do?" in asked
    said = talk.type("better but now tight in")
    assert "Felt: better." in said
    talk.type("open demo")
    assert "Go on with it?" in talk.words
    assert talk.type("yes").startswith("Where you left, with all you typed (2 lines).")
    talk.conversation.record.close()


def test_a_talk_in_which_nothing_was_said_hides_none_before_it(make_talk, tmp_path):
    cut_off_talk(make_talk, tmp_path, "loose off late in the run")
    cut_off_talk(make_talk, tmp_path, "help")
    assert cut_off_in(tmp_path).typed == ("loose off late in the run",)


def test_tab_completes_what_comes_behind_a_command(talk):
    words = talk.conversation.completions()
    assert {"try track bar right", "made stagger", "forecast gears", "levers spring rr", "help cross weight"} <= set(
        words
    )


def test_a_word_of_how_the_car_is_is_taken_for_no_misspelled_command(talk):
    talk.type("loose late in the run", "1")
    assert "Where in the corner" in talk.screen
    said = talk.type("fine")
    assert "'fine' is none of the answers" in said
    assert "did you mean" not in said


@pytest.mark.parametrize(
    "asked", ["where is the dip stick", "what flurbs here", "how do i polish the hood", "why brackets"]
)
def test_a_question_that_is_not_known_asks_and_wipes_nothing(talk, asked):
    talk.type("loose off late", "1", "enough")
    advice = talk.state.advice
    said = talk.type(asked)
    assert said.startswith("I cannot make out")
    assert talk.state.advice is advice
    assert talk.state.session.text == "loose off late"


@pytest.mark.parametrize(
    ("question", "typed", "given"),
    [
        ("what_changed", "tires", "tires"),
        ("put_back", "put back, and no better", "no-better"),
        ("put_back", "2", "no-better"),
    ],
)
def test_a_command_that_begins_a_choice_of_the_open_question_is_an_answer(talk, question, typed, given):
    talk.type("loose off late in the run", "1")
    ask_of_look(talk.state, (question,))
    talk.type(typed)
    assert talk.state.session.given[-1] == (question, given)


def test_a_command_that_begins_two_choices_of_the_open_question_is_neither(talk, demo):
    talk.type("loose off late in the run", "1")
    ask_of_look(talk.state, ("put_back",))
    talk.type("put back")
    assert talk.state.question.id == "put_back"
    assert "not tried" in talk.words


@pytest.mark.parametrize("said", ["wat", "huh", "what?", "?", "come again"])
def test_who_does_not_understand_a_question_has_it_explained(talk, said):
    assert "How to tell:" in talk.type("loose off", said)


@pytest.mark.parametrize("said", ["false alarm", "it was nothing", "that was last week"])
def test_a_stop_that_is_denied_is_taken_back(talk, said):
    assert "Stop and inspect" in talk.type("tight off and something clunks")
    assert "Stop and inspect" not in talk.type(said)


def test_whoever_feels_ill_is_not_told_that_there_is_nothing_to_change(talk):
    talk.type("i feel dizzy")
    assert "Stop and inspect" in talk.type("its fine")


@pytest.mark.parametrize(
    "line",
    ["how do i see that", "How do I check that?", "where do i look", "maybe", "hmm", "kinda", "what do i look at"],
)
@pytest.mark.parametrize("answers", [(), ("none noticed",)])
def test_who_wavers_or_asks_how_is_told_how_to_tell_at_every_question(talk, answers, line):
    talk.type("loose off", *answers)
    asked = talk.state.question
    assert "How to tell:" in talk.type(line)
    assert talk.state.question is asked


def test_at_the_second_miss_a_question_is_put_in_other_words_and_after_that_the_nearest_is_asked_for(talk):
    talk.type("loose off", "none noticed")
    assert "How to tell:" not in talk.type("banana")
    assert "How to tell: Have somebody write every lap time" in talk.type("banana")
    assert "Type the number that comes nearest; 5 where you cannot say." in talk.type("banana")


def test_a_stop_says_where_to_look_and_so_does_who_asks(talk):
    where = "Where to look: Wheel, hub, driveline or tire coming apart. Car on stands, never on the jack alone."
    assert where in talk.type("it shakes")
    assert where in talk.type("what is vibration")
    assert where in talk.type("2")
    assert talk.type("what do i look at").startswith(where)


@pytest.mark.parametrize("line", ["fumes in the cockpit", "the driver feels sick and dizzy"])
def test_where_people_come_first_nobody_is_sent_to_look_at_the_car(talk, line):
    said = talk.type(line)
    assert "Stop and inspect" in said
    assert "Where to look" not in said


def test_a_car_that_was_said_to_be_sound_under_other_words_says_which_these_were(talk):
    talk.type("loose off", "1")
    said = talk.type("tight in the middle")
    assert "looked over and is sound: that is taken to hold" in said
    talk.type("snaps loose getting in")
    assert 'none, and I have looked (said before, of "loose off")' in talk.type("known")
    assert "said before" not in talk.type("undo", "undo", "known")


def test_a_question_at_the_list_puts_nothing_away(talk):
    talk.type("loose off late", "1", "enough", "maybe")
    told = talk.state.session
    assert "put away" not in talk.type("so do i buy a tire")
    assert talk.state.session is told


def test_a_line_nobody_can_read_is_called_no_complaint(talk):
    talk.type("loose off late", "1", "enough", "maybe")
    said = talk.type("he was by himself")
    assert said.startswith("That may be about the car, so it is asked from the beginning; undo brings the old answers")
    assert "A new complaint" not in said


def test_what_was_told_before_is_said_to_count_where_it_is_told_again(talk):
    talk.type("loose off since we put new rear springs in", "1")
    assert "What you told me before counts; this is another question:" in talk.type("rear springs like i said")
    assert talk.state.missed == 0


@pytest.mark.parametrize(
    "again", ["it's loose off", "loose late", "loose off late in the run", "like i said its loose off"]
)
def test_a_complaint_that_is_said_again_at_a_question_puts_nothing_away(talk, again):
    talk.type("loose off late in the run")
    told, asked = talk.state.session, talk.state.question
    assert talk.type(again).startswith("What you told me before counts; this is another question:")
    assert (talk.state.session, talk.state.question) == (told, asked)
    assert "A new complaint" in talk.type("tight off late in the run")


@pytest.mark.parametrize(
    ("told", "look"),
    [
        ("brake pedal goes soft and long late", "Bleed the brakes, and look at fluid, lines, pads, rotors"),
        ("theres smoke coming off the right rear", "Find where it comes from: wipe it dry"),
    ],
)
def test_a_danger_that_was_told_and_not_found_is_looked_for_again_and_nobody_is_sent_out(talk, told, look):
    said = talk.type(told, "1", "3", "neither", "enough")
    assert f"1 {look}" in said
    assert {offer.kind for offer in talk.state.offers} <= {"inspect", "leave", "undo"}
    assert "have somebody who knows that part look at it before the car runs" in talk.type("make 1", "nothing wrong")


def test_beside_a_complaint_a_danger_that_was_not_found_is_looked_for_first(talk):
    talk.type("loose off late, theres smoke coming off the right rear", "1", "enough")
    assert talk.state.offers[0].id == "told-leak"
    assert "lever" in {offer.kind for offer in talk.state.offers}


def test_of_the_end_nobody_spoke_of_the_forecast_says_nothing(talk):
    talk.type("loose getting into three, only that end", "1", "enough")
    said = talk.type("forecast")
    assert 'turns 3-4 getting in "loose"' in said
    assert "turns 1-2 getting in" not in said
    assert "Nothing was said of turns 1-2: how it stands there is not known." in said


def test_a_car_that_is_good_is_shown_so_and_not_by_the_words_of_its_file(talk):
    assert "it is fine" in talk.type("car is good")
    shown = talk.type("forecast")
    assert '"fine"' in shown
    assert '"loose"' not in shown
