import re
from pathlib import Path

from assistant.pages.amounts import cure_words

PAGE = (Path(__file__).parents[2] / "docs" / "first-session.md").read_text(encoding="utf-8")
TYPED = re.findall(r"^> (.+)$", PAGE, flags=re.MULTILINE)
LOST = (
    "I cannot make out",
    "I do not know",
    "There is no advice yet",
    "none of the answers",
    "The numbers go from",
    "No change",
)


def test_everything_the_page_tells_a_novice_to_type_works(talk):
    assert len(TYPED) > 10
    for line in TYPED:
        said = talk.type(line)
        assert not [words for words in LOST if words in said], (line, said)


def test_the_page_names_as_many_questions_about_the_car_as_there_are():
    from assistant.car.own_car import SHORT

    assert len(SHORT) == 6
    assert "A name and five questions" in PAGE


def test_the_headline_the_page_explains_is_worded_as_the_program_words_it():
    assert f'"Tighter, {cure_words(0.5)}" is what it takes away' in PAGE


def test_enough_at_the_question_of_faults_says_that_nobody_has_checked_the_car(talk):
    caution = "Nobody has checked the car yet: walk round it before it moves again."
    assert caution in talk.type("loose off", "enough")
    assert caution not in talk.type("undo", "loose off", "1", "enough")
