"""What a driver says of a change."""

import pytest

from assistant.diagnosis.verdict import read_verdict


@pytest.mark.parametrize(
    ("text", "word", "rest"),
    [
        ("better, but now it pushes in the middle", "better", "pushes in the middle"),
        ("I did that, it's better but now tight in", "better", "tight in"),
        ("worse, even looser off late", "worse", "even looser off late"),
        ("WORSE", "worse", ""),
        ("no change", "same", ""),
        ("same as before", "same", ""),
        ("that fixed it", "fixed", ""),
        ("it's good now", "fixed", ""),
        ("its better", "better", ""),
        ("didn't help", "same", ""),
        ("it did not help at all", "same", "at all"),
        ("not any better", "same", ""),
        ("much better", "much better", ""),
        ("a little better, still loose off", "a little better", "still loose off"),
        ("kinda better but now its loose off", "a little better", "loose off"),
        ("yeah i think its some better", "a little better", ""),
        ("half of it", "half", ""),
        ("a lot worse", "much worse", ""),
        ("way too much, tight now", "overdone", "tight now"),
        ("beter", "better", ""),
        ("alot better", "much better", ""),
        ("allot beter, still loose off", "much better", "still loose off"),
        ("bout the same", "same", ""),
        ("wurse", "worse", ""),
        ("better, but the same off", "better", "the same off"),
        ("that was the wrong way", "worse", ""),
        ("bout half better", "half", ""),
        ("about half of it gone", "half", ""),
        ("better on the brakes but now it pushes", "better", "pushes"),
        ("fixed the entry but it still pushes off", "fixed", "still pushes off"),
        ("that did it", "fixed", ""),
        ("it went away", "fixed", ""),
        ("night and day", "much better", ""),
        ("about 80 percent there", "much better", ""),
        ("50% better", "half", ""),
        ("picked up two tenths", "better", "two tenths"),
        ("not as loose but still loose off", "better", "still loose off"),
        ("did the opposite", "worse", ""),
        ("still does it but later, now at lap 8 it snaps off 2", "same", "later, now at lap 8 it snaps off 2"),
    ],
)
def test_a_line_is_read_as_a_word_and_the_rest_of_it(text, word, rest):
    found = read_verdict(text)
    assert (found.id, found.rest) == (word, rest)


@pytest.mark.parametrize(
    "text",
    [
        "loose off late",
        "gets worse late",
        "it gets worse and worse",
        "pushes worse in the middle",
        "good in, loose off",
        "worse over the run",
        "fine in, tight in the middle",
        "",
        "3",
        "better" + "x" * 5000,
    ],
)
def test_what_the_car_does_is_no_word_of_a_change(text):
    assert read_verdict(text) is None


@pytest.mark.parametrize(
    ("text", "balance", "verdict"),
    [
        ("even looser", "loose", "worse"),
        ("now its a little looser off", "loose", "worse"),
        ("way looser", "loose", "much worse"),
        ("its tighter now", "loose", "better"),
        ("a bit freer", "tight", "better"),
        ("still loose off", "loose", "same"),
        ("it still pushes in the middle", "tight", "same"),
        ("more tight", "tight", "worse"),
    ],
)
def test_looser_and_tighter_are_held_against_what_was_complained_of(text, balance, verdict):
    found = read_verdict(text, balance)
    assert found is not None
    assert found.id == verdict


@pytest.mark.parametrize("text", ["even looser", "still loose", "tighter"])
def test_looser_says_nothing_of_a_change_where_both_were_complained_of(text):
    assert read_verdict(text) is None


def test_what_a_car_does_now_besides_is_kept():
    found = read_verdict("even looser off, and tight in", "loose")
    assert found is not None
    assert found.rest == "tight in"
