import io

import pytest

from assistant.car.files import read_case
from assistant.car.own_car import QUESTIONS
from assistant.cli import main
from assistant.ground.units import from_unit
from assistant.notebook.book import Notebook
from assistant.notebook.cars import id_in, last_car
from tests.notebook.talks import cut_off_about, cut_off_in, record_in

ANSWERS = ("mine all", "speedy", *[""] * (len(QUESTIONS) - 1))


def test_the_first_words_say_how_many_questions_and_how_to_leave(talk):
    said = talk.type("mine all")
    assert said.startswith(f"{len(QUESTIONS)} questions about your car.")
    assert "Ctrl-C leaves." in said
    assert talk.reply.prompt == "(Enter for a guess: my-car; ? or back)"


def test_a_value_that_cannot_be_read_is_asked_again_with_an_example(talk):
    talk.type("mine all", "speedy")
    assert "for example 2900 lb" in talk.type("heavy")
    assert talk.reply.prompt.startswith("(Enter for a guess: 2900 lb")


def test_a_question_mark_says_how_to_find_out(talk):
    talk.type("mine all", "speedy")
    assert talk.type("?") == "Add the four scales, driver in the seat."


def test_back_asks_the_question_before(talk):
    talk.type("mine all", "speedy", "3000")
    assert talk.type("back").startswith("2 of 13 What does it weigh")


def test_ctrl_c_leaves_the_questions_writes_no_file_and_mine_goes_on_with_the_answers(talk, tmp_path):
    talk.type("mine", "speedy", "2", "paved")
    left = "Left the questions about your car; no file was written. mine goes on with them, answers and all."
    assert talk.leave() == left
    assert not (tmp_path / "own" / "speedy").exists()
    assert talk.reply.prompt.startswith("What is the car doing?")
    assert "4 of 6 Length of the lap" in talk.type("mine")
    talk.leave()
    assert "of 13 What does it weigh" in talk.type("mine all")
    assert "1 of 13" in talk.type("back 9")


def test_the_car_is_kept_in_its_own_folder_and_on_the_bench(talk, tmp_path):
    said = talk.type(*ANSWERS)
    folder = tmp_path / "own" / "speedy"
    assert "halfturn speedy opens it again." in said
    assert talk.state.bench.case.car.name == "speedy"
    assert read_case(folder / "case.yaml").car.name == "speedy"
    assert "I read: loose" in talk.type("loose off")


def test_a_second_car_of_the_same_name_gets_its_own_folder(make_talk, tmp_path):
    make_talk().type(*ANSWERS)
    make_talk().type(*ANSWERS)
    assert sorted(folder.name for folder in (tmp_path / "own").glob("speedy*")) == ["speedy", "speedy-2"]


def test_a_car_that_was_described_has_a_talk_of_its_own_and_is_the_one_used_last(make_talk, tmp_path):
    talk = make_talk(record=record_in(tmp_path))
    talk.type(*ANSWERS, "limits")
    talk.conversation.record.close()
    case = (tmp_path / "own" / "speedy" / "case.yaml").resolve()
    assert cut_off_in(tmp_path) is None
    assert cut_off_about(tmp_path, case).typed == ("limits",)
    car = last_car(Notebook(tmp_path))
    assert (car.name, car.file) == ("speedy", str(case))
    assert id_in(case) == car.id


def test_questions_that_were_cut_off_go_on_where_they_were(make_talk, tmp_path):
    talk = make_talk(record=record_in(tmp_path))
    talk.type(*ANSWERS[:4])
    talk.conversation.record.close()
    again = make_talk(record=record_in(tmp_path), cut_off=cut_off_in(tmp_path))
    assert "5 of 13" in again.type("yes") or "4 of 13" in again.words
    again.conversation.record.close()


@pytest.mark.parametrize("word", ["quit", "exit"])
def test_the_questions_can_be_left_by_quitting(talk, word):
    talk.type("mine", word)
    assert talk.reply.over


@pytest.mark.parametrize("typed", ["about 2850 pounds", "Maybe 2850 lb", "~2850", "I think 2850 lbs"])
def test_about_a_number_is_that_number_guessed(talk, typed):
    said = talk.type("mine all", "speedy", typed)
    assert said.startswith("Taken as: 2850 lb (a guess). 3 of 13")
    given = talk.conversation.asked.interview.given[-1]
    assert given.guessed
    assert given.values[0] == pytest.approx(2850 * 0.45359237, rel=1e-4)


@pytest.mark.parametrize("typed", ["dunno", "no idea", "Not sure.", "idk", "I'll take a guess", "whatever it is"])
def test_who_does_not_know_takes_the_default(talk, typed):
    assert "3 of 13" in talk.type("mine all", "speedy", typed)


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("car 7", "car-7"),
        ("car 12", "car-12"),
        ("Carla", "carla"),
        ("candy", "candy"),
        ("about time", "about-time"),
        ("say when", "say-when"),
        ("~7", "7"),
        ("ca. 1990", "ca-1990"),
    ],
)
def test_a_name_is_taken_as_it_was_typed(talk, typed, name):
    talk.type("mine all", typed)
    assert talk.conversation.asked.interview.given[-1].name == name


def test_a_word_that_only_begins_like_a_guess_is_no_guess(talk):
    assert "'cars'" in talk.type("mine all", "speedy", "cars")


@pytest.mark.parametrize("typed", ["ca. 2850 lb", "ca 2850 lb", "approx. 2850 lb", "say 2850 lb"])
def test_a_short_word_for_about_is_a_guess(talk, typed):
    talk.type("mine all", "speedy", typed)
    given = talk.conversation.asked.interview.given[-1]
    assert given.guessed
    assert given.values[0] == pytest.approx(2850 * 0.45359237, rel=1e-4)


def asked(talk, question):
    """Answer up to a question with the defaults."""
    talk.type("mine all", "speedy")
    while talk.conversation.asked.interview.next_question().id != question:
        talk.type("")


@pytest.mark.parametrize(
    ("question", "typed", "says"),
    [
        (
            "stagger",
            "-1 1/2",
            "it is right rear minus left rear, and for left turns the right one is the larger. Keep -1 1/2 in?",
        ),
        (
            "scales",
            "50.5 44 51",
            (
                "left is LF and LR together, and a car that turns left has more than half of its weight there. "
                "Keep 44.0 %?"
            ),
        ),
        ("scales", "650 800 650 800", "left is LF and LR together, and a car that turns left"),
        ("track", "0.5 mi, -3", "a negative banking falls away to the outside of the turn. Keep -3.0 deg?"),
    ],
)
def test_an_answer_the_wrong_way_round_is_asked_about_once_and_kept(talk, question, typed, says):
    asked(talk, question)
    assert f"That is the other way round than usual: {says}" in talk.type(typed)
    assert talk.reply.prompt == "(Enter or yes keeps it; no asks again; or type what it is)"
    before = len(talk.conversation.asked.interview.given)
    said = talk.type("yes")
    assert said.startswith(f"{before + 2} of {len(QUESTIONS)}")
    talk.type("back")
    assert "other way round" not in talk.type(typed), "once is enough"


def test_a_doubted_answer_can_be_put_right_at_once_or_asked_again(talk):
    asked(talk, "stagger")
    talk.type("-1 1/2")
    assert talk.type("no").startswith("7 of 13 Rear stagger?")
    talk.type("back", "")
    assert talk.type("1 1/2").startswith("8 of 13")
    assert talk.conversation.asked.interview.given[-1].values[0] == pytest.approx(1.5 * 0.0254)


@pytest.mark.parametrize(
    ("question", "typed"),
    [("stagger", "0"), ("air", "24 16 22 16"), ("scales", "50.5 56 48"), ("springs", "400 350 225 200")],
)
def test_what_some_cars_do_is_not_asked_about(talk, question, typed):
    asked(talk, question)
    assert "other way round" not in talk.type(typed)


def test_new_case_asks_the_same_and_the_end_of_the_input_keeps_what_was_typed(monkeypatch, tmp_path, capsys):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO("all\nspeedy\n\n\n\n\n\n-1\n"))
    assert main(["new", "case"]) == 0
    assert "Keep -1 in?" in " ".join(capsys.readouterr().out.split())
    assert read_case(tmp_path / "speedy" / "case.yaml").setup.values["stagger"] == pytest.approx(-0.0254)


def test_show_says_once_that_a_whole_group_is_guessed(talk):
    asked(talk, "bar")
    while talk.conversation.asked is not None:
        talk.type("1 1/8" if talk.conversation.asked.interview.next_question().id == "bar" else "")
    said = talk.type("show")
    assert "air 16.0 psi; camber 2.5 deg; all guessed." in said
    assert "bar 1 1/8 in; bar screw 0 turns guessed; toe" in said  # the bar is known: each of the others says it


SHORT_ANSWERS = ("mine", "car 7", "2", "dirt", "half mile flat", "18 28 17 26", "40")


def test_a_name_and_five_questions_describe_a_car(talk, tmp_path):
    assert talk.type("mine").startswith("A name and five questions about your car; all asks all 13.")
    said = talk.type(*SHORT_ANSWERS[1:])
    assert "Engine, gears and rules in it are those of the invented car" in said
    case = read_case(tmp_path / "own" / "car-7" / "case.yaml")
    assert case.run_laps == 40
    assert case.track.lap_length == pytest.approx(804.672, rel=1e-3)
    assert case.track.ends[0].bank == pytest.approx(0.0349, rel=1e-2)
    assert "bank" in case.track.guessed
    assert case.setup.values["pressure_rf"] == pytest.approx(28 * 6894.757, rel=1e-4)
    assert {"cross_weight", "spring_rr"} <= case.setup.guessed
    assert case.car.mass == pytest.approx(3400 * 0.45359237)
    assert case.rulebook.out("track_bar_right") is not None
    assert "not here, or not to be touched" in talk.type("made track bar right 10")


def test_dirt_and_another_rear_end_are_said_to_be_outside(talk):
    talk.type("mine", "car 7")
    assert "Only solid rear axles are known here" in talk.type("independent")
    assert "Dirt is outside of what is known here" in talk.type("dirt")
    assert "type a number: 1 paved 2 dirt" in " ".join(talk.type("back", "gravel").split())


def test_all_goes_on_with_every_question_from_where_it_is_typed(talk):
    talk.type("mine", "car 7", "1")
    assert talk.type("all").startswith("3 of 13 What does it weigh")


@pytest.mark.parametrize("typed", ["half mile", "1/2 mile", "0.5 mi"])
def test_a_length_alone_takes_the_banking_as_a_guess(talk, typed):
    talk.type("mine", "car 7", "1", "1", typed)
    given = talk.conversation.asked.interview.given[-1]
    assert given.values[0] == pytest.approx(804.672, rel=1e-3)
    assert given.guessed


def test_what_is_measured_later_is_a_guess_no_more_and_no_change_of_the_car(talk, tmp_path):
    talk.type(*SHORT_ANSWERS)
    assert "Taken down: RR spring is 250 lb/in." in talk.type("measured rr spring 250")
    case = read_case(tmp_path / "own" / "car-7" / "case.yaml")
    assert case.setup.values["spring_rr"] == pytest.approx(250 * 175.1268, rel=1e-4)
    assert "spring_rr" not in case.setup.guessed
    assert talk.reply.prompt.startswith("What is the car doing?")
    assert "Taken out: RR spring is 250 lb/in." in talk.type("undo")
    assert "spring_rr" in read_case(tmp_path / "own" / "car-7" / "case.yaml").setup.guessed


def test_gears_of_an_engine_nobody_told_of_are_said_to_be_guessed(talk):
    talk.type(*SHORT_ANSWERS)
    assert "Nobody has said what engine and gearbox the car has: these are guessed." in talk.type("forecast gears")


def test_what_is_none_of_the_kinds_is_refused_with_the_kinds_one_a_line(talk):
    talk.type("mine", "seven", "its a hauler")
    rows = talk.screen.splitlines()
    assert rows[0] == "'its a hauler' is none of them; type a number:"
    assert [row[:3] for row in rows[1:]] == [f"{number}  " for number in range(1, 6)]
    assert talk.type("help coach").startswith("A solid axle is one beam")


@pytest.mark.parametrize(("said", "kept"), [("its a late model", 0), ("leaf springs", 1), ("street car", 1)])
def test_the_kind_of_car_is_read_in_plain_words(talk, said, kept):
    talk.type("mine", "seven", said)
    assert talk.conversation.dialog.interview.value("kind").values == (kept,)


@pytest.mark.parametrize(
    ("said", "psi"),
    [
        ("about thirty", (30, 30, 30, 30)),
        ("around thirty all around", (30, 30, 30, 30)),
        ("thirty on the right and eighteen on the left", (18, 30, 18, 30)),
        ("left 18, right 30 psi", (18, 30, 18, 30)),
        ("fronts 25 rears 20", (25, 25, 20, 20)),
    ],
)
def test_one_pressure_for_all_or_for_a_side_is_a_guess_at_each(talk, said, psi):
    talk.type("mine", "seven", "1", "paved", "half mile, flat", said)
    air = talk.conversation.dialog.interview.value("air")
    assert (tuple(air.values), air.guessed) == (pytest.approx([from_unit(one, "psi") for one in psi]), True)


def test_two_pressures_without_a_side_are_asked_again(talk):
    assert talk.type("mine", "seven", "1", "paved", "half mile, flat", "30 18").startswith("four values are wanted")


@pytest.mark.parametrize(
    ("said", "kept"),
    [("asphalt", 0), ("asphalt, 3/8 mile", 0), ("asphalt i think", 0), ("it's paved", 0), ("clay", 1), ("dirt.", 1)],
)
def test_the_surface_is_read_in_plain_words(talk, said, kept):
    talk.type("mine", "seven", "1", said)
    assert talk.conversation.dialog.interview.value("surface").values == (kept,)


@pytest.mark.parametrize(("said", "miles"), [("about a third of a mile", 1 / 3), ("3/8 mile", 3 / 8)])
def test_a_lap_without_a_banking_is_taken_with_a_guess_and_that_is_said(talk, said, miles):
    told = talk.type("mine", "seven", "1", "paved", said)
    assert told.startswith("The banking was not said: 12.0 deg is taken, as a guess.")
    track = talk.conversation.dialog.interview.value("track")
    assert (track.values[0], track.guessed) == (pytest.approx(from_unit(miles, "mi")), True)
    assert "The banking" not in talk.type("back", f"{said}, 8 deg")


@pytest.mark.parametrize(
    ("said", "laps"),
    [
        ("about thirty", 30),
        ("30 ish", 30),
        ("thirty five or so", 35),
        ("its 30", 30),
        ("forty", 40),
    ],
)
def test_laps_are_read_in_plain_words(talk, said, laps):
    talk.type("mine", "seven", "1", "paved", "half mile, flat", "", said)
    case = talk.state.bench.case
    assert case.run_laps == laps


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("full bodied", 0),
        ("full bodied car track bar", 0),
        ("the second one", 1),
        ("open wheel i think", 2),
        ("independant rear suspension", 3),
        ("something else", 4),
    ],
)
def test_a_kind_of_car_is_known_by_its_place_without_hyphens_and_with_a_slip(talk, said, kept):
    talk.type("mine", "seven", said)
    assert talk.conversation.dialog.interview.value("kind").values == (kept,)


@pytest.mark.parametrize(("said", "kept"), [("asfalt", 0), ("pavd", 0), ("its the second", 1), ("drt", 1)])
def test_a_surface_is_known_with_a_slip(talk, said, kept):
    talk.type("mine", "seven", "1", said)
    assert talk.conversation.dialog.interview.value("surface").values == (kept,)


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("haf mile", "0.500 mi, 12.0 deg (a guess)"),
        ("three eighths, semi banked", "0.375 mi, 8.0 deg (a guess)"),
        ("thre eighths, semi-flat", "0.375 mi, 4.0 deg (a guess)"),
        ("hafl mile flat", "0.500 mi, 2.0 deg (a guess)"),
        ("3/8 mile, pretty flat", "0.375 mi, 2.0 deg (a guess)"),
        ("half mile banked 20", "0.500 mi, 20.0 deg"),
    ],
)
def test_a_track_in_words_is_shown_as_it_was_taken(talk, said, shown):
    assert f"Taken as: {shown}. 5 of 6" in talk.type("mine", "seven", "1", "paved", said)


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("rf is 22 the rest like 12", "12.0 psi, 22.0 psi, 12.0 psi, 12.0 psi (a guess)"),
        ("12 all around but rear right 20", "12.0 psi, 12.0 psi, 12.0 psi, 20.0 psi (a guess)"),
        ("front left 12, front right about 22 lr is 12 rr20", "12.0 psi, 22.0 psi, 12.0 psi, 20.0 psi (a guess)"),
        ("lf 12 rf 22 lr 12 rr20", "12.0 psi, 22.0 psi, 12.0 psi, 20.0 psi"),
    ],
)
def test_pressures_by_corner_are_shown_as_they_were_taken(talk, said, shown):
    assert f"Taken as: {shown}. 6 of 6" in talk.type("mine", "seven", "1", "paved", "half mile, flat", said)


def test_the_one_number_of_an_answer_is_found_behind_what_leads_to_it(talk):
    said = talk.type("mine", "seven", "1", "paved", "half mile, flat", "", "a feature is 50")
    assert said.startswith("Taken as: 50 laps. Your car is on the bench")
    assert talk.state.bench.case.run_laps == 50


@pytest.mark.parametrize("said", ["rf 22 lf 12", "12 all around but 20", "heavy"])
def test_what_is_not_plain_is_not_guessed_at(talk, said):
    assert "Taken as" not in talk.type("mine", "seven", "1", "paved", "half mile, flat", said)


def test_the_second_miss_says_how_to_find_out_and_so_does_who_wavers(talk):
    talk.type("mine", "seven")
    how = "A solid axle is one beam from wheel to wheel"
    assert how not in talk.type("banana")
    assert how in talk.type("banana")
    assert how in talk.type("how do i tell")
