"""What is told of the car in a line of its own: what it has not, the time there is, readings; and all of it known."""

import re

import pytest

from assistant.car.files import read_case
from assistant.car.moves import limit_of
from assistant.ground.units import from_unit
from assistant.notebook.book import Notebook
from assistant.pages import sayings
from assistant.pages.balance import NOT_BELIEVED
from assistant.shell.verbs import Typed, read_line
from tests.notebook.talks import cut_off_in, record_in

START = ("loose off late in the run", "1", "3", "enough")


@pytest.fixture
def own(make_talk, tmp_path):
    """A talk about a car of the user's own, and its case file."""
    talk = make_talk(record=record_in(tmp_path))
    talk.type("mine", "seven", *[""] * 5)
    return talk, tmp_path / "own" / "seven" / "case.yaml"


def out(talk):
    return {one.lever for one in talk.state.bench.case.rulebook.not_here}


@pytest.mark.parametrize(
    ("said", "levers"),
    [
        ("I have no track bar", {"track_bar"}),
        ("I don't have a panhard bar", {"track_bar"}),
        ("there's no spoiler on this car", {"rear_spoiler"}),
        ("track bar is not legal", {"track_bar"}),
        ("the spoiler is fixed in our class", {"rear_spoiler"}),
        ("we can't touch stagger", {"stagger"}),
        ("i cant change the rear springs", {"spring_lr", "spring_rr"}),
        ("no track bar and no spoiler", {"track_bar", "rear_spoiler"}),
        ("no track bar or spoiler", {"track_bar", "rear_spoiler"}),
        ("the rules don't allow sway bars", {"front_bar"}),
        ("leave the brake bias alone", {"brake_bias"}),
        ("I have no brake bias", {"brake_bias"}),
        ("i dont have a bias adjuster", {"brake_bias"}),
        ("no weight jackers on this car", {"cross_weight"}),
    ],
)
def test_what_the_car_has_not_is_left_out_in_many_words(talk, said, levers):
    talk.type(said)
    assert out(talk) == levers


@pytest.mark.parametrize(
    "said", ["no grip", "no right rear", "no air in the right rear", "no wedge", "nothing is legal", "no"]
)
def test_what_is_no_lever_is_left_to_the_reader_of_complaints(talk, said):
    talk.type(said)
    assert out(talk) == set()


@pytest.mark.parametrize("said", ["we have no brakes", "we have no front brake"])
def test_no_brakes_is_a_stop_and_no_lever_left_out(talk, said):
    assert "Stop and inspect" in talk.type(said)
    assert out(talk) == set()


def test_what_the_car_has_no_adjuster_of_is_told_at_a_question_too_and_that_stays_open(talk):
    asked = talk.type("loose in", "3", "always", "8")
    told = talk.type("i have no brake bias adjuster")
    assert out(talk) == {"brake_bias"}
    assert told.startswith("Left out from now on: brake bias.")
    assert told.endswith(asked)


def test_a_part_that_is_not_there_is_left_out_of_the_list_of_parts(whole_talk):
    whole_talk.type("no 225 lb springs")
    case = whole_talk.state.bench.case
    for lever in ("spring_lr", "spring_rr"):
        parts = limit_of(case.rulebook, case.car, lever).parts
        assert from_unit(225, "lb/in") not in [pytest.approx(part) for part in parts]
        assert len(parts) == len(case.rulebook.limits[lever].parts) - 1
    whole_talk.type("no rr springs over 300")
    high = limit_of(whole_talk.state.bench.case.rulebook, case.car, "spring_rr").high
    assert high == pytest.approx(from_unit(300, "lb/in"))
    assert "No list of parts has 999 lb springs in it." in whole_talk.type("no 999 lb springs")


def test_a_name_of_several_kinds_and_a_lever_there_may_be_none_of_are_asked_about(talk):
    assert "Which one: " in talk.type("I have no bar")
    assert "Type measured stagger 0, or we can't touch stagger." in talk.type("I have no stagger")
    assert out(talk) == set()


def test_it_is_written_into_the_case_file_and_undo_takes_it_out_again(own):
    talk, file = own
    file.write_text(file.read_text() + "# my own remark\nnot here: [spoiler]  # banned in May\n")
    talk.type("open seven")
    said = talk.type("I have no track bar").replace(" ", "")
    assert f"Savedin{file}." in said
    assert "not here: [spoiler, track bar] # banned in May" in file.read_text()
    assert "# my own remark" in file.read_text()
    case = read_case(file)
    assert limit_of(case.rulebook, case.car, "track_bar_left") is None
    assert "Taken back: not here: track bar." in talk.type("undo")
    assert "not here: [spoiler] # banned in May" in " ".join(file.read_text().split())


def test_the_demo_is_not_changed_and_that_is_said(talk):
    assert "For this talk only" in talk.type("I have no track bar")
    assert read_case("demo").rulebook.not_here == ()


def test_what_is_left_out_is_in_no_advice_and_the_reason_is_the_own_word(talk):
    talk.type(*START)
    said = talk.type("I have no track bar")
    assert "Left out from now on: track bar." in said
    assert "track bar" not in " ".join(str(one.id) for one in talk.state.advice.remedies)
    assert "Not here, or not to be touched" in talk.type("show")
    assert "Not on this car, or not to be touched, as you said" in talk.type("why not track bar")


def test_at_a_question_it_is_heard_and_the_question_is_asked_again(talk):
    talk.type("loose off late in the run")
    said = talk.type("I have no track bar")
    assert "Left out from now on" in said
    assert "1 none, and I have looked" in said


def test_pit_only_leaves_what_a_stop_has_time_for_names_it_and_is_not_written(own):
    talk, file = own
    text = file.read_text()
    said = talk.type("pit stop only")
    assert "Left are air, nose tape, " in said
    assert "stagger" in out(talk)
    assert talk.state.bench.case.at_hand == "pit stop"
    assert file.read_text() == text
    talk.type("undo")
    assert talk.state.bench.case.at_hand == "shop"
    assert out(talk) == set()


def test_what_was_said_in_a_talk_is_taken_up_with_it_and_can_still_be_undone(own, make_talk, tmp_path):
    talk, file = own
    talk.type("I have no track bar", "loose off late in the run")
    talk.conversation.record.close()
    car = Notebook(tmp_path).cars()[0].id
    again = make_talk(read_case(file), record=record_in(tmp_path, car), cut_off=cut_off_in(tmp_path, car))
    again.type("yes")
    assert out(again) == {"track_bar"}
    again.type("undo", "undo")
    assert "not here" not in file.read_text()
    again.conversation.record.close()


@pytest.mark.parametrize(
    ("typed", "field", "value"),
    [
        ("rr 24.5 hot", "hot_pressure", {"RR": from_unit(24.5, "psi", "pressure")}),
        (
            "hot lf 18 rf 27",
            "hot_pressure",
            {"LF": from_unit(18, "psi", "pressure"), "RF": from_unit(27, "psi", "pressure")},
        ),
        (
            "temps rf 210 205 190",
            "temperatures",
            {"RF": tuple(from_unit(one, "F", "temperature") for one in (210, 205, 190))},
        ),
        (
            "right front 99 96 88 C",
            "temperatures",
            {"RF": tuple(from_unit(one, "C", "temperature") for one in (99, 96, 88))},
        ),
        ("stagger hot 2 3/8", "hot_stagger", from_unit(2.375, "in")),
        ("lap times 15.6 15.7 15.9", "lap_times", (15.6, 15.7, 15.9)),
        ("rpm 6800", "rpm_max", from_unit(6800, "rpm")),
    ],
)
def test_a_reading_in_a_line_of_its_own_is_taken_down_and_undone(talk, typed, field, value):
    assert "Taken down: " in talk.type(typed)
    found = getattr(talk.state.bench.case.measured, field)
    pairs = [(found[key], value[key]) for key in value] if isinstance(value, dict) else [(found, value)]
    assert all(one == pytest.approx(other) for one, other in pairs)
    talk.type("undo")
    assert not getattr(talk.state.bench.case.measured, field)


def test_laps_of_the_reading_are_taken_too(talk):
    talk.type("rr 24.5 hot after 20 laps")
    assert talk.state.bench.case.measured.laps == 20


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("rf 85 90 95", "95 F is hardly warmer than the air"),
        ("rr 170 hot", "say it when it is in kPa or bar; a tread is told inside, middle and outside"),
        ("stagger hot 60", "is it in mm?"),
        ("cross 0.52", "0.5 means half a percent here"),
        ("temps rf 210 205", "three numbers are wanted for each tire"),
        ("lap times 900", "an oval lap takes 10 to 90 s"),
    ],
)
def test_what_looks_like_another_unit_is_asked_and_not_believed(talk, typed, says):
    before = talk.state.bench.case.measured
    assert says in talk.type(typed)
    assert talk.state.bench.case.measured == before


@pytest.mark.parametrize(
    ("line", "field"),
    [("measured rr hot pressure 27", "hot_pressure"), ("measured rr temps 140 145 150", "temperatures")],
)
def test_a_reading_behind_measured_is_a_reading_and_no_setting(talk, line, field):
    talk.type("loose off late in the run")
    before = talk.state.bench.case.setup
    talk.type(line)
    assert getattr(talk.state.bench.case_as_read.measured, field)
    assert talk.state.bench.case.setup == before


def test_a_hot_pressure_below_the_cold_one_stops_with_its_unit_and_without(talk):
    before = talk.state.bench.case.measured
    assert "Stop and inspect before any adjustment: a tire losing air" in talk.type("rr 12 hot")
    assert talk.state.bench.case.measured == before


def test_with_its_unit_it_is_taken(talk):
    assert "Stop and inspect before any adjustment: a tire losing air" in talk.type("rf 85 90 95 C", "rr 12 psi hot")
    measured = talk.state.bench.case.measured
    assert measured.temperatures["RF"][0] == pytest.approx(from_unit(85, "C", "temperature"))
    assert measured.hot_pressure["RR"] == pytest.approx(from_unit(12, "psi", "pressure"))


def test_what_a_scale_says_is_what_the_car_has_and_earlier_readings_stay(talk):
    talk.type("rr 24.5 hot")
    said = talk.type("cross 52.3")
    assert "Taken down: cross weight is 52.3 %." in said
    assert "If it was changed to that: undo, and made cross weight 52.3 %." in said
    assert talk.state.bench.case.setup.values["cross_weight"] == pytest.approx(0.523)
    assert talk.state.bench.case_as_read.measured.hot_pressure
    talk.type("rr 20 cold")
    assert talk.state.bench.case.setup.values["pressure_rr"] == pytest.approx(from_unit(20, "psi", "pressure"))


def test_a_bare_cold_pressure_is_in_the_units_of_the_talk(talk):
    talk.state.system = "si"
    talk.type("rr 150 cold")
    assert talk.state.bench.case.setup.values["pressure_rr"] == pytest.approx(from_unit(150, "kPa", "pressure"))
    talk.type("rr 20 psi cold")
    assert talk.state.bench.case.setup.values["pressure_rr"] == pytest.approx(from_unit(20, "psi", "pressure"))


def cells(before, after):
    return [(before[phase][stage], after[phase][stage]) for phase in before for stage in before[phase]]


def test_a_reading_changes_what_is_believed_and_the_notebook_has_it(make_talk, tmp_path):
    talk = make_talk(record=record_in(tmp_path))
    talk.type(*START)
    before = talk.state.bench.picture(talk.state.session.complaint).value
    talk.type("temps rf 215 210 205")
    after = talk.state.bench.picture(talk.state.session.complaint).value
    assert any(abs(one - other) > 0.001 for one, other in cells(before, after))
    entry = Notebook(tmp_path).entries("demo", ("measured",))[-1]
    assert entry.text == "temperatures RF 215 210 205 F"
    assert entry.data["readings"] == {
        "temperatures": {"RF": pytest.approx([from_unit(one, "F", "temperature") for one in (215, 210, 205)])}
    }


def test_a_reading_no_plausible_car_has_is_said_at_once(talk):
    talk.type(*START)
    assert NOT_BELIEVED in talk.type("rf hot 60 psi")
    assert NOT_BELIEVED not in talk.type("rf hot 28 psi")


def test_known_lists_all_that_was_told_in_one_screen(talk):
    talk.type("rr 24.5 hot", "cross 52.3", "I have no track bar", "loose off late in the run", "1")
    said = talk.type("what have you got?")
    for part in ("you said: loose off late", "you answered: ", "read: hot pressure RR 24.5 psi", "not here: track bar"):
        assert part in said
    assert "measured: cross weight is 52.3 %" in said
    assert len(talk.screen.splitlines()) <= 22
    assert sayings.NOTHING_KNOWN not in said


def test_a_change_told_as_made_is_taken_although_there_was_no_time_for_it(talk):
    talk.type("pit only")
    said = talk.type("made stagger 2")
    assert "Made: Increase the rear stagger" in said
    assert "It was left out for this talk; it is taken as made all the same." in said
    assert "Not legal" not in said
    talk.type("undo", "undo", "we can't touch stagger")
    said = talk.type("made stagger 2")
    assert "Not legal: stagger is not here, or not to be touched; the case file says so." in said


def test_levers_says_of_what_is_left_out_that_it_cannot_be_moved_and_why(talk):
    talk.type("we can't touch stagger")
    assert "It cannot be moved: not here, or not to be touched." in talk.type("levers stagger")


@pytest.mark.parametrize(
    "line",
    [
        "loose off after 20 laps, pit stop only",
        "loose off after 20 laps pit stop only",
        "pit stop only, loose off after 20 laps",
        "loose off after 20 laps, no track bar, but only pit stops",
    ],
)
def test_beside_a_complaint_it_counts_as_it_does_alone(talk, line):
    said = talk.type(line)
    assert "I read: loose coming off, from the settled laps on" in said
    assert "not understood" not in said
    assert talk.state.bench.case.at_hand == talk.state.session.case.at_hand == "pit stop"
    assert said.count("1 none, and I have looked") == 1
    assert "Taken back: pit stop only" in talk.type("undo")
    assert ("track_bar" in out(talk)) is ("track bar" in line)
    assert talk.state.session.text.endswith("20 laps")


def test_plain_questions_of_a_novice_are_answered(talk):
    assert "There is no advice yet" in talk.type("what should I do")
    assert "Yours, by the setup in use: stagger 1 7/8 in. Stagger Right rear tire" in talk.type("whats my stagger")
    assert "First, anything loose" in talk.type("loose off late in the run", "what should I do")
    talk.type("1", "3", "enough")
    assert 'demo-car, "loose off late in the run":' in talk.type("so what do I do now?")
    assert talk.type("what do tires cost me") == (
        "Nothing here has a price in tires that is computed; more shows what else there is."
    )
    talk.type("more")
    price = r"Number \d, \w.*\. Over the run: .*laps.* Lap time at the end: "
    assert re.search(price, talk.type("what do tires cost me"))
    number = next(at for at, one in enumerate(talk.state.advice.offers, 1) if one.run is not None)
    assert talk.type(f"tire cost of {number}").startswith(f"Number {number}, ")
    assert "Nothing here has a price in tires" in talk.type("tire cost of 99")
    assert talk.type("how do I do 1") == talk.type("why 1")


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("ok ill do 1", Typed("make", "1")),
        ("OK, I'll do number 2.", Typed("make", "2")),
        ("do one", Typed("make", "1")),
        ("i did 1", Typed("make", "1")),
        ("how do i do 1", Typed("why", "1")),
        ("it will do 1", None),
    ],
)
def test_doing_a_number_is_making_it(said, meant):
    assert read_line(said) == meant


TIRES = r"(?:Tires[^:]*: \d+ laps? (?:less|more)[^.]*|No tire cost)\."


def test_a_pit_stop_has_a_price_in_tires_for_every_change_and_the_list_goes_on_from_the_car_as_it_is(talk):
    listed = talk.type("loose off after 20 laps, pit stop only", "1", "enough")
    levers = [one for one in talk.state.advice.remedies if one.kind == "lever"]
    assert levers
    assert all(one.run is not None for one in levers)
    assert re.search(TIRES, listed)
    first = talk.type("made cross weight 51.5")
    assert re.search(rf"Made: Raise the cross weight .*? {TIRES}", first)
    assert "Two changes at once" not in first
    assert "Weighed anew for the car as it is now" in first
    second = talk.type("made stagger 2")
    assert re.search(rf"Made: Increase the rear stagger .*? {TIRES}", second)
    assert "Two changes at once cannot be told apart" in second
    assert "takes longer than there is time for (between runs); pit stop only was said" in talk.type(
        "why not track bar"
    )
    assert talk.type("pit stop only") == "That is known already."
    assert "Two changes at once" not in talk.type("made rr pressure 20")
    assert "Of what was changed" in talk.type("undo", "worse")
    assert '"loose off after 20 laps", then "worse"' in talk.words


def test_the_setup_of_a_pit_stop_says_of_no_part_that_it_is_not_there(talk):
    talk.type("pit only")
    assert "Not here" not in talk.type("show")
    talk.type("i have no track bar")
    assert "Not here, or not to be touched: left end of the track bar" in talk.type("show")


def test_what_a_probe_reads_outdoes_what_was_answered_before(talk):
    talk.type("tight all the way, all run", "1", "enough")
    talk.state.session = talk.state.session.answer("rf_edge", "inside").answer("was_right", "never")
    talk.type("temps rf 200 210 240")
    known = talk.state.session.known
    assert (known["rf_edge"], known["was_right"]) == ("outside", "never")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("pushes late in the run, rf 240 235 220", "temperatures RF 240 235 220 F"),
        ("loose off late, rr 30 hot", "hot pressure RR 30.0 psi"),
    ],
)
def test_a_reading_behind_the_opening_words_is_taken_down_too(talk, line, said):
    first = talk.type(line)
    assert f"Taken down: {said}" in first
    assert "I read: " in first
    assert "not understood" not in first


@pytest.mark.parametrize(
    "line",
    [
        "it's good now, was loose off before we changed the stagger",
        "fine now, was tight before",
        "used to push, now it's good",
    ],
)
def test_a_car_that_is_good_now_is_not_what_it_was(talk, line):
    assert talk.type(line).startswith("I read: it is fine")


def test_air_told_by_sides_is_no_weight_on_the_scales(talk):
    before = talk.state.bench.case.setup.values
    assert "left-side weight" not in talk.type("i run 14 on the lefts and 22 on the rights")
    assert talk.state.bench.case.setup.values == before
