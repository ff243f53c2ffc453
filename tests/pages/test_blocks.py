from hypothesis import given
from hypothesis import strategies as st

from assistant.pages.blocks import Choices, Line, Table
from assistant.pages.terminal import Look, render, width_of, wrap

GRID = Table(
    ("", "fresh", "worn"), (("entry", "0.2 tight", "even"), ("exit", "even", "0.6 loose")), "Getting in: said."
)


def test_a_line_wraps_under_its_own_text_not_under_its_number():
    rows = render([Line("lower the right end of the track bar", lead="1")], Look(width=24))
    assert rows == ["1  lower the right end", "   of the track bar"]


def test_a_table_that_fits_has_columns_and_then_its_sentence():
    assert render([GRID], Look(width=80)) == [
        "       fresh      worn",
        "entry  0.2 tight  even",
        "exit   even       0.6 loose",
        "Getting in: said.",
    ]


def test_a_table_too_wide_for_the_terminal_stacks_and_loses_nothing():
    assert render([GRID], Look(width=24)) == [
        "entry",
        "  fresh 0.2 tight; worn",
        "  even",
        "exit",
        "  fresh even; worn 0.6",
        "  loose",
        "Getting in: said.",
    ]


def test_the_accessible_table_is_one_item_a_line():
    assert render([GRID], Look(accessible=True)) == [
        "entry: fresh 0.2 tight, worn even",
        "exit: fresh even, worn 0.6 loose",
        "Getting in: said.",
    ]


def test_a_table_with_sentences_for_its_rows_is_read_out_by_them():
    spoken = Table(GRID.head, GRID.rows, "Most: said.", ("Getting in: 0.2 tight, then even.", "Coming off: loose."))
    assert render([spoken], Look(accessible=True)) == [
        "Getting in: 0.2 tight, then even.",
        "Coming off: loose.",
        "Most: said.",
    ]
    assert render([spoken], Look())[-1] == "Most: said."


def test_choices_stand_in_one_row_when_they_fit_and_below_each_other_when_not():
    block = Choices(("none", "yes", "not checked"))
    assert render([block], Look(width=80)) == ["1 none   2 yes   3 not checked"]
    assert render([block], Look(width=24)) == ["1  none", "2  yes", "3  not checked"]
    assert render([block], Look(accessible=True)) == ["1  none", "2  yes", "3  not checked"]


def test_color_comes_after_the_gate_and_ours_alone_is_sent():
    rows = render([Line("\x1b[31mred\x1b[0m", mark="heading")], Look(color=True))
    assert rows == ["\x1b[1m^[[31mred^[[0m\x1b[0m"]


def test_without_color_nothing_is_added():
    assert render([Line("Stop", mark="caution")], Look()) == ["Stop"]


@given(
    st.lists(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="/\\"), max_size=30), max_size=12),
    st.integers(24, 80),
)
def test_no_line_is_wider_than_the_terminal(words, width):
    rows = render(
        [Line(" ".join(words), lead="1", indent=2), Table(("", "a"), (("b", " ".join(words)),), "s")], Look(width=width)
    )
    assert all(width_of(row) <= width for row in rows)


def test_wide_letters_count_as_two_columns():
    assert width_of("速い") == 4
    assert wrap("速い速い", 4) == ["速い", "速い"]


def test_a_path_is_not_cut_so_that_it_can_be_copied():
    assert wrap("saved in /a/long/folder/case.yaml", 12) == ["saved in", "/a/long/folder/case.yaml"]


def test_wrapping_loses_no_word():
    text = "tight in the middle and then it snaps loose off"
    assert " ".join(wrap(text, 11)) == text
