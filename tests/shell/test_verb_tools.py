"""Commands of the conversation that work out a screen of their own."""

import re
from dataclasses import replace

import pytest

from assistant.advice.results import Advice, Worth
from assistant.ground.names import stands_out
from assistant.ground.understood import Complaint
from assistant.pages.advice import advice_screen
from tests.advice.round_numbers import remedy

START = ("loose off late in the run", "enough")


@pytest.fixture
def talk(whole_talk):
    """Screens fit with all the levers of the car."""
    return whole_talk


def test_the_first_screen_tells_three_offers_in_brief_and_fits_with_the_prompt(talk):
    talk.type(*START)
    rows = talk.screen.split("\n")
    heads = [at for at, row in enumerate(rows) if row[:3] in {"1  ", "2  ", "3  "}]
    assert len(heads) == 3
    assert "Chance it cures: about" in talk.words
    offers = ["\n".join(rows[at:end]) for at, end in zip(heads, [*heads[1:], None], strict=True)]
    assert all("Costs:" in one or "A look, no change." in one or "A repair." in one for one in offers)
    assert len(rows) - heads[0] <= 24 - 3  # with the prompt under it


def test_more_tells_the_next_ones_whole(talk):
    talk.type(*START)
    assert "Chance it cures, every cause weighed: about" in talk.type("more")


def test_more_says_so_where_nothing_that_is_left_is_worth_the_time(talk, monkeypatch):
    talk.type(*START)
    assert "Nothing that is left" not in talk.type("more")
    left = talk.state.offers
    poor = Worth(sure=0.001)
    monkeypatch.setattr("assistant.shell.talk_state.offers_of", lambda _: [replace(one, worth=poor) for one in left])
    assert talk.type("more").startswith("Nothing that is left is worth your time")


def test_each_sentence_of_a_question_begins_a_line(talk):
    talk.type("loose off late in the run")
    assert "losing air?\nA bad pedal, throttle or wheel, you unwell, anybody under it?" in talk.screen


def test_an_offer_told_in_two_lines_keeps_its_caution_and_its_doubt():
    worth = Worth(sure=0.42)
    made = [("one", 0.99), ("two", 0.99), ("three", 0.6)]
    remedies = [
        remedy(name, cautions=(f"{name} bites.",), removes=0.5, direction="tighter", confidence=sure, worth=worth)
        for name, sure in made
    ]
    blocks = advice_screen(Advice(Complaint(""), offers=tuple(remedies)), {}, "trade", whole=1)
    said = [block.text for block in blocks]
    assert "One bites." in said
    at = said.index("Two: tighter, cures about half of it. Between runs.")
    costs = "Costs: nothing that can be felt. Chance it cures: about 4 in 10."
    assert said[at + 1 :] == [
        costs,
        "Three: tighter, cures about half of it. Between runs.",
        f"{costs} Goes the right way in 6 of 10 plausible cars; size not sure.",
        "2: Two bites. 3: Three bites.",
    ]


def test_a_short_line_leaves_out_from_where_to_where(talk):
    talk.type(*START)
    rows = talk.screen.split("\n")
    short = "\n".join(rows[next(at for at, row in enumerate(rows) if row.startswith("2  ")) :])
    assert not re.search(r", from [\d(]", short)
    assert "Purge the right rear and check its bleeder. A repair." in short
    assert "Costs: not known." not in short


def test_no_cause_that_stands_out_is_one_plain_line(talk):
    said = talk.type(*START)
    top = talk.state.advice.causes[0]
    assert not stands_out(top.chance)
    assert "No cause stands out (likeliest, about" in said
    assert f": {top.title})" in said
    assert "depends (" not in said


def test_a_cause_that_leads_is_told_with_its_chance_and_the_strongest_signs_on_both_sides(talk):
    said = talk.type("tight only behind other cars", "1", "enough")
    top = talk.state.advice.causes[0]
    assert stands_out(top.chance)
    assert f"{top.title[1:]}: {top.word} (about" in said
    assert f"For it: {top.signs_for[0].text}" in said
    assert ("Against it:" in said) is bool(top.signs_against)


def test_the_sum_of_any_cause_is_shown_by_its_name_and_an_unknown_name_only_asks(talk):
    talk.type("loose off", "1")
    asked = talk.state.question
    assert "Which one? Type causes and its name:" in talk.type("causes sway bar")
    assert "The sway bar is not hooked up" in talk.words
    assert "Together: " in talk.type("causes the sway bar is not hooked up")
    assert "Did you mean causes the sway bar is not hooked up?" in talk.type("causes the swai bar is not hooked")
    assert "No cause is called 'gremlins'." in talk.type("causes gremlins")
    assert talk.state.question == asked
    assert talk.state.session is not None


@pytest.mark.parametrize("word", ["causes", "why cause", "cause"])
def test_causes_shows_each_sum_and_what_more_questions_would_bring(talk, word):
    assert talk.type(word) == "Say what the car does first; then causes can be weighed."
    talk.type("loose off late in the run", "1", "2", "1", "2", "2")
    said = talk.type(word)
    assert said.count("To begin with:") == 3
    assert "depends (" not in said
    assert "The next question is expected to make the list better by" in said


def test_an_answer_a_cause_has_no_sign_for_is_told_as_what_was_said(talk):
    talk.type("loose off late in the run", "1", "2", "1", "2", "enough")
    assert "'springs, shocks, heights, weight or scales' was told (What is different since" in talk.type("causes")


def test_ask_goes_on_with_questions_and_enough_ends_them(talk):
    assert talk.type("ask").startswith("There is no advice yet")
    talk.type(*START)
    talk.type("more questions")
    assert talk.state.question is not None
    assert talk.state.session.eager
    talk.type("enough")
    assert talk.state.advice is not None


def test_ask_where_nothing_is_left_to_ask_says_so(talk):
    talk.type("wheel hop", "1")
    for _ in talk.state.bench.knowledge.questions:
        talk.type("not sure", "ask")
    assert talk.type("ask") == "There is nothing more to ask that would tell the causes apart."


def test_ask_on_a_car_that_must_be_inspected_asks_nothing(talk):
    talk.type("vibration and loose off")
    assert talk.type("ask").startswith("Stop and inspect before any adjustment")


def test_severity_shows_how_one_to_five_are_measured_on_this_car(talk):
    talk.type(*START)
    said = talk.type("severity")
    assert said.startswith("How bad, in percent of grip: 1 is 0.2, 2 is 0.4")
    assert "this driver's measure is" in said


def test_levers_shows_all_or_one_and_a_slip_gets_the_nearest(talk):
    talk.type(*START)
    said = talk.type("levers")
    assert "one step" in said
    assert "levers all adds 29 that do less or are not computed." in said
    assert "caster split" not in said
    said = talk.type("levers all")
    assert "caster split" in said
    assert "Book: by the rules, not computed." in said
    assert "The trade says of more:" in talk.type("levers Rear Stagger")
    assert talk.type("levers stager") == "There is no lever 'stager'; did you mean 'stagger'?"
    assert talk.type("levers foo") == "There is no lever 'foo'; levers all lists them."


@pytest.mark.parametrize(
    ("typed", "meant"), [("forecast gear", "forecast gears"), ("corner wrn", "corner worn"), ("forcast", "forecast")]
)
def test_a_slip_in_a_part_of_a_screen_gets_the_nearest(talk, typed, meant):
    assert f"did you mean '{meant}'?" in talk.type(typed)


def test_forecast_is_short_unless_all_is_asked_for(talk):
    said = talk.type("forecast")
    assert said.startswith("The run ahead:")
    assert "gone by" in said
    assert said.endswith("More: forecast ends, drift, tires, wear, steering, gears, brakes, air or all.")
    assert "Never go below the tire maker's or the series' minimum pressure" in said
    assert "Trust differences, not absolute balance" in said
    assert "gears" in talk.type("forecast all").lower()


@pytest.mark.parametrize(
    ("part", "says"),
    [
        ("ends", "Balance at each end, in percent of grip:"),
        ("drift", "Balance through the run"),
        ("tires", "Tread temperature, inside / middle / outside:"),
        ("wear", "Tread used through the run"),
        ("steering", "Steering, share of what the front can take"),
        ("gears", "8 slower pairs are left out here."),
        ("brakes", "A soft, long or pulling pedal is a fault"),
        ("air", "Never go below the tire maker's"),
    ],
)
def test_each_part_of_the_run_ahead_fits_a_screen(talk, part, says):
    assert says in talk.type(f"forecast {part}")
    assert len(talk.screen.split("\n")) <= 21


def test_corner_shows_loads_slip_and_steering_at_a_stage(talk):
    said = talk.type("corner fresh")
    assert said.startswith("The car at its limit on fresh tires:")
    assert said.endswith("only how they differ counts. More: corner loads, steering, circle or all.")
    assert "front slip" in talk.type("corner fresh steering")
    assert "No wheel is off the ground." in talk.type("corner loads")
    assert "critical speed" in talk.type("corner circle")
    said = talk.type("corner fresh all")
    assert all(words in said for words in ("on fresh tires:", "front slip", "No wheel", "critical speed"))


@pytest.mark.parametrize(
    "line", ["corner entry is loose", "tires are gone and it pushes", "forecast says rain, loose off"]
)
def test_a_complaint_that_begins_like_a_command_is_a_complaint(talk, line):
    talk.type(line)
    assert talk.state.session is not None


def test_sheet_writes_a_page_and_never_over_one_that_is_there(talk, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert talk.type("sheet") == "There is nothing to put on a page yet: say what the car does first."
    talk.type(*START)
    assert f"Written to {tmp_path / 'demo-sheet.html'}; any browser opens it, and it prints." in talk.type("sheet")
    talk.type("sheet")
    assert (tmp_path / "demo-sheet-2.html").is_file()
    assert "it reads as it is, and any Markdown reader shows it." in talk.type("sheet Run One.md")
    assert (tmp_path / "Run One.md").is_file()
    said = talk.type("sheet Run One.md")
    assert "is there already; name a page that is not there yet and ends in .html or .md" in said
    assert "--force" not in said


def test_sheet_refuses_an_ending_that_tells_no_format(talk, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    talk.type(*START)
    assert "its ending '.pdf' tells no format; name a page" in talk.type("sheet page.pdf")


def test_help_groups_the_commands(talk):
    said = talk.type("help all")
    groups = ("The questions:", "The advice:", "The car:", "Looking up and leaving:")
    assert [said.index(group) for group in groups] == sorted(said.index(group) for group in groups)


def test_tab_knows_the_commands(talk):
    wanted = {"sheet", "forecast", "tires", "levers", "temps", "causes", "limits", "severity", "corner", "ask"}
    assert wanted <= set(talk.conversation.completions())


@pytest.mark.parametrize("name", ["~nosuchuser/q.html", "\0.html", "a\0b.html"])
def test_a_name_no_file_can_have_does_not_end_the_talk(talk, name):
    talk.type("loose off late in the run", "enough")
    assert talk.type(f"sheet {name}").startswith("No file can be called")
