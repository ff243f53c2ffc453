import pytest

from assistant.car.files import read_case
from assistant.car.own_car import QUESTIONS
from assistant.shell.record import Record, last_cut_off

ANSWERS = ("mine", "speedy", *[""] * (len(QUESTIONS) - 1))


def test_the_first_words_say_how_many_questions_and_how_to_leave(talk):
    said = talk.type("mine")
    assert said.startswith(f"{len(QUESTIONS)} questions about your car.")
    assert "Ctrl-C leaves." in said
    assert talk.reply.prompt == "(Enter for a guess: my-car; ? or back)"


def test_a_value_that_cannot_be_read_is_asked_again_with_an_example(talk):
    talk.type("mine", "speedy")
    assert "for example 2900 lb" in talk.type("heavy")
    assert talk.reply.prompt.startswith("(Enter for a guess: 2900 lb")


def test_a_question_mark_says_how_to_find_out(talk):
    talk.type("mine", "speedy")
    assert talk.type("?") == "Add the four scales, driver in the seat."


def test_back_asks_the_question_before(talk):
    talk.type("mine", "speedy", "3000")
    assert talk.type("back").startswith("2 of 11 What does it weigh")


def test_ctrl_c_leaves_the_questions_and_saves_nothing(talk, tmp_path):
    talk.type("mine", "speedy")
    assert talk.leave() == "Left the questions about your car; nothing of it was saved."
    assert not (tmp_path / "own" / "speedy").exists()
    assert talk.reply.prompt.startswith("What is the car doing?")


def test_the_car_is_kept_in_its_own_folder_and_on_the_bench(talk, tmp_path):
    said = talk.type(*ANSWERS)
    folder = tmp_path / "own" / "speedy"
    assert f"halfturn talk {folder / 'case.yaml'} opens it again." in said
    assert talk.scene.bench.case.car.name == "speedy"
    assert read_case(folder / "case.yaml").car.name == "speedy"
    assert "I read: loose" in talk.type("loose off")


def test_a_second_car_of_the_same_name_gets_its_own_folder(make_talk, tmp_path):
    make_talk().type(*ANSWERS)
    make_talk().type(*ANSWERS)
    assert sorted(folder.name for folder in (tmp_path / "own").glob("speedy*")) == ["speedy", "speedy-2"]


def test_taking_up_a_talk_does_not_make_the_car_twice(make_talk, tmp_path):
    record = Record("demo", tmp_path)
    make_talk(record=record).type(*ANSWERS, "limits")
    record.close()
    again = make_talk(record=Record("demo", tmp_path), cut_off=last_cut_off("demo", tmp_path))
    again.type("yes")
    assert again.scene.bench.case.car.name == "speedy"
    assert [folder.name for folder in (tmp_path / "own").glob("speedy*")] == ["speedy"]
    again.conversation.record.close()


@pytest.mark.parametrize("word", ["quit", "exit"])
def test_the_questions_can_be_left_by_quitting(talk, word):
    talk.type("mine", word)
    assert talk.reply.over


@pytest.mark.parametrize("typed", ["about 2850 pounds", "Maybe 2850 lb", "~2850", "I think 2850 lbs"])
def test_about_a_number_is_that_number_guessed(talk, typed):
    said = talk.type("mine", "speedy", typed)
    assert said.startswith("3 of 11")
    given = talk.conversation._aside.interview.given[-1]
    assert given.guessed
    assert given.values[0] == pytest.approx(2850 * 0.45359237, rel=1e-4)


@pytest.mark.parametrize("typed", ["dunno", "no idea", "Not sure.", "idk"])
def test_who_does_not_know_takes_the_default(talk, typed):
    assert talk.type("mine", "speedy", typed).startswith("3 of 11")
