"""Tire temperatures typed in a talk: forgiving, told when they cannot be, heard by the causes, kept on demand."""

import pytest

from assistant.car.files import read_case
from assistant.ground.folders import user_folder
from assistant.ground.units import from_unit
from tests.notebook.talks import cut_off_in, record_in

ALL = "180 185 170  240 235 220  170 172 168  210 220 205"
COMPLAINT = "loose off late in the run"


def kelvin(fahrenheit):
    return from_unit(fahrenheit, "F", "temperature")


WHOLE = {
    "LF": (180, 185, 170),
    "RF": (240, 235, 220),
    "LR": (170, 172, 168),
    "RR": (210, 220, 205),
}


def treads(talk):
    return {tire: [*zones] for tire, zones in talk.state.bench.case.measured.temperatures.items()}


def is_whole(talk):
    return all(treads(talk)[tire] == pytest.approx([*map(kelvin, zones)]) for tire, zones in WHOLE.items())


@pytest.mark.parametrize(
    "line",
    [
        f"temps {ALL}",
        "temps 180, 185, 170, 240, 235, 220, 170, 172, 168, 210, 220, 205",
        "tire temps RF 240 235 220, LF 180 185 170, RR 210 220 205, LR 170 172 168",
        "temperatures rf: 240 235 220; lf: 180 185 170; rr: 210 220 205; lr: 170 172 168",
        "right front 240 235 220 left front 180 185 170 rear right 210 220 205 left-rear 170 172 168",
        "temps rr=210/220/205 rl=170/172/168 fr=240/235/220 fl=180/185/170",
        "temps lf 180F 185F 170F rf 240F 235F 220F lr 170F 172F 168F rr 210F 220F 205F",
    ],
)
def test_twelve_numbers_are_read_in_many_ways(talk, line):
    talk.type(line)
    assert is_whole(talk)


def test_tires_may_come_one_in_a_line_and_one_named_again_is_entered_anew(talk):
    talk.type("lf 188 180 170", "rf 240 235 220", "rr 210 220 205", "lr 170 172 168", "lf 180 185 170")
    assert is_whole(talk)


def test_si_talks_read_celsius(make_talk):
    talk = make_talk(units="si")
    talk.type("temps 82 85 77 115 113 104 77 78 75 99 104 96")
    assert treads(talk)["RR"][1] == pytest.approx(273.15 + 104)


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("temps", "Type a tire and its inside, middle and outside: temps rf 210 205 190"),
        ("temps 180 185 170", "Type a tire and its inside, middle and outside"),
        (f"temps {ALL} 99", "Type a tire and its inside, middle and outside"),
        ("temps rf 240 235", "three numbers are wanted for each tire"),
        ("temps 180 185 170 lf", "three numbers are wanted for each tire"),
        ("temps rf 180 1850 170", "1850 is above what is possible"),
    ],
)
def test_what_cannot_be_is_told_and_nothing_of_it_is_kept(talk, line, says):
    assert says in talk.type(line)
    assert not treads(talk)


def test_temps_at_a_question_count_and_it_is_asked_again(talk):
    talk.type(COMPLAINT, "1")
    question = talk.state.question
    assert question.entry.asks in talk.type(f"temps {ALL}")
    assert talk.state.session.facts["temperature_rr_middle"] == pytest.approx(kelvin(220))
    assert talk.state.question == question


def test_tires_says_what_they_mean(talk):
    assert talk.type("tires") == "No tire has been read yet: type temps for how."
    talk.type(f"temps {ALL}")
    assert "RF 240 235 220" in talk.type("tires")


def test_temps_after_the_advice_weigh_the_causes_anew(talk):
    talk.type(COMPLAINT, "enough")
    before = [cause.chance for cause in talk.state.session.causes]
    talk.type("temps 180 180 180 180 180 180 180 180 180 230 280 230")
    assert talk.state.advice is not None
    assert [cause.chance for cause in talk.state.session.causes] != before


def test_words_about_temperature_are_still_a_complaint(talk):
    talk.type("temps are high, loose off")
    assert talk.state.session is not None


def test_keep_writes_what_was_read_into_the_own_file_and_leaves_the_rest(make_talk, own):
    talk = make_talk(read_case(own))
    assert talk.type("keep") == "Nothing was read yet: type temps for how."
    before = own.read_text().splitlines()
    talk.type(f"temps {ALL}", "rr 24.5 hot", "stagger hot 2 3/8 after 20 laps", "lap times 15.6 15.7", "used 3 gal")
    assert talk.type("keep").replace(" ", "") == f"Keptin{own}."
    after = own.read_text().splitlines()
    assert [line for line in before if line not in after and "measured" not in line] == []
    held, told = read_case(own).measured, talk.state.bench.case.measured
    assert {tire: [*zones] for tire, zones in held.temperatures.items()} == {
        tire: pytest.approx([*zones]) for tire, zones in told.temperatures.items()
    }
    assert held.hot_pressure == pytest.approx(told.hot_pressure)
    assert (held.hot_stagger, held.laps, held.fuel_used) == pytest.approx((told.hot_stagger, 20, told.fuel_used))
    assert held.lap_times == pytest.approx(told.lap_times)


def test_a_block_in_braces_is_edited_too_and_one_of_something_else_is_left_to_its_owner(make_talk, own):
    plain = own.read_text()
    own.write_text(plain + "measured: {laps: 20}\n")
    talk = make_talk(read_case(own))
    talk.type(f"temps {ALL}")
    assert talk.type("keep").startswith("Kept in")
    assert len(read_case(own).measured.temperatures) == 4
    own.write_text(plain + "measured: 3\n")
    assert talk.type("keep").startswith("Not kept: the block 'measured' of")
    assert own.read_text() == plain + "measured: 3\n"


def test_a_file_that_is_gone_is_not_made_anew(make_talk, own):
    talk = make_talk(read_case(own))
    talk.type(f"temps {ALL}")
    own.unlink()
    assert talk.type("keep").startswith("Not kept")
    assert not own.exists()


def test_a_case_that_came_with_the_program_gets_a_copy_that_holds_them(talk, tmp_path):
    talk.type(f"temps {ALL}")
    place = tmp_path / "own" / "copies" / talk.state.name / "case.yaml"
    assert "a copy of it is kept" in talk.type("keep")
    assert read_case(place).measured.temperatures["RF"] == pytest.approx([kelvin(f) for f in (240, 235, 220)])
    assert talk.type("keep") == "Kept in the copy."


def test_where_nothing_can_be_written_that_is_told(talk, tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path / "file"))
    talk.type(f"temps {ALL}")
    assert talk.type("keep").startswith("Not saved: your own folder cannot be written to")


def test_a_talk_taken_up_again_writes_nothing_a_second_time(make_talk, own):
    first = make_talk(read_case(own), record=record_in(user_folder(), str(own)))
    first.type(f"temps {ALL}", "keep", COMPLAINT)
    first.conversation.record.close()
    kept = own.read_text()
    own.write_text(kept.replace("180 F,", "181 F,"))
    again = make_talk(read_case(own), cut_off=cut_off_in(user_folder(), str(own)))
    again.type("1")
    assert again.state.question is not None
    assert own.read_text() == kept.replace("180 F,", "181 F,")
    assert treads(again)["LF"][0] == pytest.approx(kelvin(180))
    again.conversation.record.close()


@pytest.mark.parametrize("kept", [True, False])
def test_a_copy_made_for_a_change_holds_them_only_when_they_were_kept(talk, tmp_path, kept):
    talk.type(f"temps {ALL}", *(["keep"] if kept else []), COMPLAINT, "1", "enough")
    number = next(at for at, one in enumerate(talk.state.advice.remedies, 1) if one.kind == "lever")
    talk.type(f"make {number}")
    copy = read_case(tmp_path / "own" / "copies" / talk.state.name / "case.yaml")
    assert bool(copy.measured.temperatures) is kept
    assert dict(copy.setup.values) == pytest.approx(dict(talk.state.bench.case.setup.values))
