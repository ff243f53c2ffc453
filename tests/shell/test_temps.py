"""Tire temperatures typed in the conversation: forgiving, told when they cannot be, and heard by the causes."""

import pytest

from assistant.ground.units import from_unit
from assistant.shell.temps_dialog import ANEW, WANTED, TempsDialog

ALL = "180 185 170  240 235 220  170 172 168  210 220 205"


def kelvin(fahrenheit):
    return from_unit(fahrenheit, "F", "temperature")


def entered(*lines, system="trade"):
    temps = TempsDialog(system)
    said = [temps.say(line) for line in lines]
    return temps, said


def test_twelve_numbers_in_one_line_are_enough():
    temps, _ = entered(ALL)
    assert temps.treads["RF"] == pytest.approx((kelvin(240), kelvin(235), kelvin(220)))
    assert list(temps.treads) == ["LF", "RF", "LR", "RR"]


@pytest.mark.parametrize(
    "line", ["180, 185, 170", "180/185/170", "180F 185F 170F", "in 180 mid 185 out 170", "180;185;170"]
)
def test_numbers_may_be_parted_by_anything(line):
    temps, _ = entered(line, "240 235 220", "170 172 168 210 220 205")
    assert temps.treads["LF"] == pytest.approx((kelvin(180), kelvin(185), kelvin(170)))


def test_a_unit_behind_a_number_counts_for_its_line():
    temps, _ = entered("82 C 85 C 77 C", "240 235 220 170 172 168 210 220 205")
    assert temps.treads["LF"][0] == pytest.approx(273.15 + 82)


def test_si_talks_read_celsius():
    temps, _ = entered("82 85 77 115 113 104 77 78 75 99 104 96", system="si")
    assert temps.treads["RR"][1] == pytest.approx(273.15 + 104)


def test_the_prompt_names_the_tire_that_comes_next_and_back_takes_the_last_one_back():
    temps, _ = entered("180 185 170")
    assert temps.prompt == "right front: its numbers (back, or Ctrl-C to leave)"
    temps.say("240")
    assert temps.prompt == "right front, from its middle: its numbers (back, or Ctrl-C to leave)"
    temps.say("back")
    temps.say("back")
    assert temps.prompt == "left front: its numbers (back, or Ctrl-C to leave)"


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("hot", "Type numbers, such as 205 208 198; back takes a tire back, and leaves where none is entered."),
        ("180 1850 170", "1850 is no temperature of a tread (-1 F to 404 F); nothing of that line is kept."),
        (
            ALL + " 99",
            f"Those are 13 numbers, but only 12 are missing; nothing of that line is kept. {ANEW}",
        ),
        (
            "RF 240 235",
            "Write each tire before its three numbers, such as RF 205 208 198; nothing of that line is kept.",
        ),
        (
            "180 185 170 LF, 240 235 220 RF",
            "Write each tire before its three numbers, such as RF 205 208 198; nothing of that line is kept.",
        ),
    ],
)
def test_what_cannot_be_is_told_and_nothing_of_its_line_is_kept(line, says):
    temps, [[told]] = entered(line)
    assert told.text == says
    assert temps.prompt.startswith("left front:")


@pytest.mark.parametrize(
    "line",
    [
        "RF 240 235 220, LF 180 185 170, RR 210 220 205, LR 170 172 168",
        "rf: 240 235 220; lf: 180 185 170; rr: 210 220 205; lr: 170 172 168",
        "right front 240 235 220 left front 180 185 170 rear right 210 220 205 left-rear 170 172 168",
        "rr=210/220/205 rl=170/172/168 fr=240/235/220 fl=180/185/170",
    ],
)
def test_a_tire_named_before_its_numbers_is_that_tire_in_any_order(line):
    named, _ = entered(line)
    assert named.treads == entered(ALL)[0].treads


def test_a_tire_named_again_is_entered_anew_and_the_others_are_still_missing():
    temps, said = entered("188 180 170", "LF 180 185 170", "rr 210 220 205")
    assert [told.text for [told] in said] == ["9 numbers to go.", "9 numbers to go.", "6 numbers to go."]
    assert temps.prompt.startswith("right front:")
    temps.say("240 235 220 170 172 168")
    assert temps.treads == entered(ALL)[0].treads


def test_the_way_out_of_too_many_numbers_is_told():
    assert ANEW == "A tire with its name before it is entered anew."


def test_a_whole_car_with_names_may_follow_a_line_that_was_wrong():
    temps, _ = entered("188 180 170 99", "RF 240 235 220 LF 180 185 170 RR 210 220 205 LR 170 172 168")
    assert temps.treads == entered(ALL)[0].treads


@pytest.mark.parametrize("word", ["back", "undo"])
def test_back_and_undo_take_back_the_tire_entered_last(word):
    temps, _ = entered("RR 210 220 205", "LF 180 185 170", word)
    assert temps.say("170 172 168")[0].text == "6 numbers to go."
    assert temps.prompt.startswith("right front:")


def test_what_is_wanted_says_that_names_are_read(talk):
    assert "in another order with their names: RF 205 208 198." in " ".join(talk.type("temps").split())


@pytest.mark.parametrize("command", ["temps", "temperatures", "tire temps"])
def test_the_command_takes_numbers_with_names(talk, command):
    talk.type(f"{command} RF 240 235 220, LF 180 185 170, RR 210 220 205, LR 170 172 168", "2")
    assert "RF 240 235 220" in talk.type("tires")


def test_temps_go_into_what_was_measured_and_the_talk_goes_on(talk):
    talk.type("loose off late in the run", "1")
    question = talk.state.question
    said = talk.type("temps")
    assert "inside is the edge toward the middle of the car" in said
    assert "9 numbers to go." in talk.type("180 185 170")
    assert "Keep them for the next talk, in a copy of this case?" in talk.type("240 235 220 170 172 168 210 220 205")
    talk.type("2")
    assert talk.state.bench.case.measured.temperatures["LF"] == pytest.approx((kelvin(180), kelvin(185), kelvin(170)))
    assert talk.state.session.facts["temperature_rr_middle"] == pytest.approx(kelvin(220))
    assert talk.state.question == question


def test_temps_in_the_line_of_the_command_are_taken_at_once_and_tires_reads_them(talk):
    assert talk.type("tires") == "No tire has been read yet: type temps to enter the temperatures."
    talk.type(f"temps {ALL}", "2")
    assert talk.reply.prompt.startswith("What is the car doing?")
    assert "RF 240 235 220" in talk.type("tires")


def test_temps_after_the_advice_weigh_the_causes_anew(talk):
    talk.type("loose off late in the run", "enough")
    before = [cause.chance for cause in talk.state.session.causes]
    talk.type("temps 180 180 180 180 180 180 180 180 180 230 280 230", "2")
    assert talk.state.advice is not None
    assert [cause.chance for cause in talk.state.session.causes] != before


def test_ctrl_c_leaves_the_temperatures_and_shows_the_question_again(talk):
    talk.type("loose off late in the run", "temps", "180 185 170")
    said = talk.leave()
    assert said.startswith("Left the temperatures; nothing of them was kept.")
    assert talk.state.question.entry.asks in said
    assert not talk.state.bench.case.measured.temperatures


def test_words_about_temperature_are_still_a_complaint(talk):
    talk.type("temps are high, loose off")
    assert talk.state.session is not None


def test_an_empty_line_among_numbers_leaves_nothing_behind():
    temps, [_, [told]] = entered("180 185 170", "")
    assert told.text == WANTED
    assert not temps.is_left
    assert temps.prompt.startswith("right front:")


@pytest.mark.parametrize("line", ["", "back", "back 2", "undo"])
def test_an_empty_line_or_back_before_the_first_number_leaves(talk, line):
    talk.type("temps")
    assert talk.type(line) == "Left the temperatures; nothing of them was kept."
    assert talk.reply.prompt.startswith("What is the car doing?")


@pytest.mark.parametrize("line", ["help", "?"])
def test_help_among_the_temperatures_says_what_can_be_typed(talk, line):
    talk.type("temps", "180 185 170")
    assert "Commands such as show or forecast work here too; enough and quit leave the temperatures." in talk.type(line)
    assert talk.reply.prompt.startswith("right front:")


@pytest.mark.parametrize(
    ("line", "says"), [("show", "stagger 1 7/8 in"), ("forecast", "air or all."), ("limits", "rulebook")]
)
def test_a_screen_among_the_temperatures_keeps_them(talk, line, says):
    talk.type("temps", "180 185 170")
    assert says in talk.type(line)
    assert talk.reply.prompt.startswith("right front:")


def test_enough_among_the_temperatures_leaves_them_for_the_advice(talk):
    talk.type("loose off late in the run", "temps")
    assert talk.type("enough").startswith("Left the temperatures; nothing of them was kept.")
    assert talk.state.advice is not None


def test_quit_among_the_temperatures_quits(talk):
    talk.type("temps", "quit")
    assert talk.reply.over
