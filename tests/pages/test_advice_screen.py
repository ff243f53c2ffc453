"""The list of offers: two costs at most, each caution once and short, what must be checked again under its own line."""

import re
from dataclasses import replace

import pytest

from assistant.advice.results import FROM_PACK, Advice, Cost, Note, PackageMove, PassedOver, Treats, Worth
from assistant.belief.believe import Shown
from assistant.belief.model import read_model
from assistant.belief.outcome import RunAfter
from assistant.car.files import read_case
from assistant.ground.understood import CauseFound, Complaint, Sign
from assistant.pages.advice import (
    LOOK_FIRST,
    advice_screen,
    cause_words,
    costs_words,
    first_offers,
    headline,
    how_sure,
    short_caution,
)
from assistant.pages.advice_words import say_beside
from assistant.pages.amounts import say_tires
from assistant.pages.blocks import Line
from assistant.pages.why import why_screen
from tests.advice.round_numbers import remedy, together

STANDS = "Car on stands, wheels chocked; never reach under a car on a jack alone."


def offer(name, **values):
    return remedy(name, ("relief", 0.5), removes=0.5, **values)


def texts(blocks):
    return [block.text for block in blocks if isinstance(block, Line)]


def screen(*remedies):
    return texts(advice_screen(Advice(Complaint(""), offers=remedies), {}, "trade"))


@pytest.mark.parametrize(
    ("text", "short"),
    [
        (STANDS, "Car on stands, wheels chocked."),
        ("A soft pedal is a fault: stop. Then test.", "A soft pedal is a fault: stop."),
        ("Leave 1.5 diameters of thread.", "Leave 1.5 diameters of thread."),
    ],
)
def test_a_caution_is_cut_at_its_first_half(text, short):
    assert short_caution(text) == short


LIFE = Cost("tire life", 4.0, "RF", after=200.0)


@pytest.mark.parametrize(
    ("band", "said"),
    [
        (Shown(-4.2, -7.3, -1.6), "Tires: 4 laps less (2 to 7)."),
        (Shown(1.2, 0.6, 2.4), "Tires: 1 lap more (1 to 2)."),
        (Shown(-2.0, -7.0, 3.0), "Tires: 7 laps less to 3 more."),
        (Shown(-0.1, -0.3, 0.2), "No tire cost."),
        (None, ""),
    ],
)
def test_a_price_in_tires_is_said_with_its_band_where_the_band_can_tell_it(band, said):
    assert say_tires(RunAfter({}, {}, first_tire=band)) == said


@pytest.mark.parametrize("whole", [0, 1])
def test_every_offer_says_its_worst_harm_and_its_price_in_tires_once(whole):
    run = RunAfter({}, {}, first_tire=Shown(-4.2, -7.3, -1.6))
    one = offer("stagger", costs=(LIFE, Cost("pace", 0.02)), run=run)
    said = " ".join(texts(advice_screen(Advice(Complaint(""), offers=(one,)), {}, "trade", whole=whole)))
    assert "Costs: 0.02 s a lap slower. Tires: 4 laps less (2 to 7)." in said
    assert "lasts" not in said


def test_a_run_cut_short_is_no_price_among_others():
    short, run = replace(LIFE, short=True), RunAfter({}, {}, first_tire=Shown(-4.2, -7.3, -1.6))
    said = " ".join(screen(offer("stagger", costs=(short,), run=run)))
    assert "the right front would be done 4 laps before the end" in said


def test_a_change_of_cross_weight_says_the_turns_of_the_bolt():
    model = read_model(read_case("demo"))
    advice = Advice(Complaint(""), offers=(offer("cross_weight", change=0.01, when="pit stop"),))
    said = " ".join(texts(advice_screen(advice, {}, "trade", whole=0, model=model)))
    assert re.search(r"Pit stop\. LR jack bolt about \d\.\d turns in\.", said)


def test_each_caution_stands_once_where_it_is_first_needed():
    said = screen(offer("stagger", cautions=(STANDS,)), offer("spring_rr", cautions=(STANDS,)))
    assert said.count("Car on stands, wheels chocked.") == 1


LOCATED = "Support the axle housing before a link comes off; it can roll."


@pytest.mark.parametrize("whole", [0, 1])
def test_the_list_shows_the_two_gravest_cautions_of_an_offer(whole):
    one = offer("link", kind="repair", cautions=(STANDS, LOCATED, "Third."))
    said = " ".join(texts(advice_screen(Advice(Complaint(""), offers=(one,)), {}, "trade", whole=whole)))
    assert "Car on stands, wheels chocked. Support the axle housing before a link comes off." in said
    assert "Third." not in said


@pytest.mark.parametrize("kind", ["lever", "repair", "inspect", "package"])
@pytest.mark.parametrize("whole", [False, True])
def test_why_shows_every_caution_in_full(kind, whole):
    one = offer("link", kind=kind, cautions=(STANDS, LOCATED, "Third."))
    said = " ".join(texts(why_screen(1, one, {}, "trade", whole=whole)))
    assert all(text in said for text in one.cautions)


def test_two_costs_are_listed_and_the_others_counted():
    costs = tuple(Cost("pace", amount) for amount in (0.04, 0.03, 0.02, 0.01))
    first = "0.04 s a lap slower; 0.03 s a lap slower"
    assert costs_words(offer("stagger", costs=costs), "trade") == f"Costs: {first}; 2 smaller, see why."
    assert costs_words(offer("stagger", costs=costs[:2]), "trade") == f"Costs: {first}."


def test_a_member_of_a_package_says_what_it_does_alone_or_that_it_spoils_more():
    moves = (PackageMove("a", "one", 2, 0.0, 1.0, 0.24), PackageMove("b", "two", 1, 0.0, 1.0, 0.1, (), 0.35))
    package = together(moves, removes=0.5, effect={}, order=("a", "b"))
    said = " ".join(texts(advice_screen(Advice(Complaint(""), offers=(package,)), {}, "trade")))
    assert "One (alone it cures about a quarter of the complaint)." in said
    assert "Two (alone it spoils more than it cures)." in said
    assert "In this order, with a run between if there is time." in said


def test_what_must_be_checked_again_is_no_cost_and_has_a_line_of_its_own():
    checked = offer("stagger", check_again=("cross weight", "toe"))
    assert costs_words(checked, "trade") == "Costs: nothing that can be felt."
    assert "Check again once it is made: cross weight; toe." in texts(why_screen(1, checked, {}, "trade"))


@pytest.mark.parametrize(("way", "is_told"), [(0.95, False), (0.7, True)])
def test_the_list_speaks_of_the_way_only_where_it_is_in_doubt(way, is_told):
    sure = offer("stagger", confidence=way, cures=0.5)
    assert ("oes the right way in" in how_sure(sure)) is is_told
    assert "oes the right way in" in how_sure(sure, whole=True)


@pytest.mark.parametrize("whole", [0, 1])
def test_a_line_of_a_teams_pack_bears_its_name_and_no_other_does(whole):
    own = offer("spring_rr", notes=(Note(FROM_PACK, ("ours",)),), rank=1)
    advice = Advice(Complaint(""), offers=(own, offer("stagger", rank=2)))
    blocks = advice_screen(advice, {}, "trade", count=2, whole=whole)
    first, second = (one.text for one in blocks if isinstance(one, Line) and one.lead)
    assert first.endswith("From ours.")
    assert "From" not in second


def test_of_leaving_the_car_alone_is_said_how_likely_it_is_that_nothing_needs_doing():
    alone = replace(offer("leave"), kind="leave", basis="unknown", confidence=None)
    assert how_sure(alone).startswith("Chance that nothing needs doing: ")
    assert "cures" not in how_sure(alone, brief=True)


@pytest.mark.parametrize(("chance", "is_told"), [(0.05, True), (0.3, False)])
def test_why_a_look_for_what_is_not_likeliest_comes_first_is_said(chance, is_told):
    worth = Worth((Treats("camber", chance, 0.0),), looks=True)
    look = replace(offer("gauge", kind="inspect"), worth=worth)
    advice = Advice(Complaint(""), causes=(CauseFound("heat", "heat", 0.3, "likely"),), offers=(look,))
    assert (LOOK_FIRST in texts(advice_screen(advice, {}, "trade"))) is is_told


def test_a_change_that_goes_past_the_mark_says_so_with_what_it_cures():
    past = Cost("balance", 0.4, phases=("exit",), stages=("worn",), past=True)
    assert headline(offer("stagger", costs=(past,)), {}, "trade").endswith(", and goes past it in places")


def test_of_a_change_that_was_told_is_said_that_what_came_with_it_goes_with_it():
    told = replace(offer("springs", kind="undo"), title="put the old springs back", direction="tighter")
    said = "what came with it goes with it; computed alone it cures about half of the complaint"
    assert headline(told, {}, "trade") == f"put the old springs back: tighter, {said}"


def test_what_cures_less_than_once_in_a_hundred_waits_behind_number_one():
    likely, look, hopeless = Worth(sure=0.3), Worth(looks=True), Worth(sure=0.004)
    worths = {"spring_rr": hopeless, "stagger": look, "bar": likely, "toe": hopeless}
    row = [offer(name, worth=worth) for name, worth in worths.items()]
    assert list(first_offers(row)) == row[:3]
    assert list(first_offers([row[2], row[0], row[1]])) == [row[2]]


def test_what_was_seen_or_measured_is_named_before_what_a_choice_of_a_list_told():
    told, seen = Sign("brakes or gear", 2.0, "answer", "What is different?"), Sign("Floated in it is gone.", 1.5)
    found = CauseFound("brakes", "the brakes", 0.9, "", (told, seen), ())
    assert cause_words([found], "")[1] == "For it: Floated in it is gone."


@pytest.mark.parametrize(("treated", "told"), [("the axle", True), ("mere balance", False)])
def test_number_1_says_what_it_is_for_where_that_is_not_the_likeliest_cause(treated, told):
    likeliest = CauseFound("plain", "mere balance", 0.5, "", (), ())
    first = offer("spring_rr", worth=Worth((Treats(treated, 0.3, 0.5),), 0.2), rank=1)
    shown = texts(advice_screen(Advice(Complaint(""), causes=(likeliest,), offers=(first,)), {}, "trade", whole=0))
    assert ("Meant for: the axle (about 3 in 10)." in shown) is told


def test_a_lever_that_is_on_the_list_is_not_said_to_cost_more_than_it_gives():
    back = remedy("undo-suspension", kind="undo", moves=(PackageMove("spring_rr", "a spring", 1, 0.0, 1.0, 0.0, 0.0),))
    passed = tuple(PassedOver(name, name, "run") for name in ("spring_rr", "spring_lr"))
    said = say_beside(Advice(Complaint(""), offers=(back,), passed=passed))
    assert said == ("In the trade's list, but it costs more over the run here than it gives: spring_lr.",)
