import pytest

from assistant.ground.choosing import asks_how, place_of, without_slip

TIRES = [("usual", "all as usual"), ("rr-high", "right rear 4 psi or more over"), ("rf-high", "right front over")]
SURFACES = [("paved", "paved asphalt blacktop"), ("dirt", "dirt clay")]


@pytest.mark.parametrize(
    ("typed", "place"),
    [
        ("2", 1),
        ("the second one", 1),
        ("b", 1),
        ("last", 2),
        ("rr-high", 1),
        ("rr high", 1),
        ("rr", 1),
        ("rear right", 1),
        ("back right", 1),
        ("the right rear one", 1),
        ("right rear is way up", 1),
        ("rear right keeps going", 1),
    ],
)
def test_a_choice_is_known_by_its_number_its_place_its_words_and_its_corner(typed, place):
    assert place_of(typed, TIRES) == place


@pytest.mark.parametrize(
    "typed",
    ["", "4", "9999", "right rear is fine", "not the right rear", "right rear and right front", "left rear", "banana"],
)
def test_what_means_no_single_choice_is_none(typed):
    assert place_of(typed, TIRES) is None


@pytest.mark.parametrize(("typed", "place"), [("asfalt", 0), ("its asphalt i think", 0), ("pavd", 0), ("drit", 1)])
def test_a_slip_in_a_word_is_seen_past(typed, place):
    assert place_of(typed, SURFACES) == place


def test_only_what_stands_there_is_taken_where_likeness_is_not_wanted():
    assert place_of("paved", SURFACES, alike=False) == 0
    assert place_of("pavd", SURFACES, alike=False) is None


def test_a_slip_begins_as_the_word_does():
    assert without_slip("tight", ["right"]) == "tight"
    assert without_slip("rihgt", ["right"]) == "right"


@pytest.mark.parametrize("typed", ["hmm", "Maybe...", "how do I see that?", "ok where do i look", "what sheet"])
def test_who_wavers_or_asks_how_is_known(typed):
    assert asks_how(typed)


@pytest.mark.parametrize("typed", ["maybe 3", "kinda loose", "how do i measure stagger", "what stagger"])
def test_who_tells_or_asks_of_something_else_does_not_waver(typed):
    assert not asks_how(typed)
