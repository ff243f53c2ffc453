"""What words become: rows with the right terms, sizes and doubts."""

import pytest

from assistant.belief.known import (
    FINE_OFF,
    IMPLIED_OFF,
    SIZE,
    UNSAID_OFF,
    Known,
    change_row,
    rows_of_complaint,
    size_of,
)
from assistant.ground.understood import Cell, Complaint


def said(*cells):
    return Complaint("", tuple(cells))


def cell(phase, stage, balance, severity=3.0, given=True, end=None):
    return Cell(phase, stage, balance, severity, given, end)


LATE = cell("exit", "worn", "loose")


def by_id(rows):
    return {row.id: row for row in rows}


def test_late_is_a_contrast_and_takes_fresh_tires_to_be_fine():
    rows = by_id(rows_of_complaint(said(LATE)))
    late = rows["exit worn"]
    assert late.kind == "contrast"
    assert [(term.at, term.factor) for term in late.terms] == [("worn", 1.0), ("fresh", -1.0)]
    assert late.value == -SIZE[3]
    assert rows["exit fresh implied"].value == 0.0


def test_early_takes_worn_tires_to_be_about_fine_where_nothing_was_said_of_them():
    early, fine = cell("exit", "fresh", "loose"), cell("exit", "worn", "fine", 0.0)
    worn = by_id(rows_of_complaint(said(early)))["exit worn implied"]
    assert (worn.value, worn.terms[0].at) == (0.0, "worn")
    assert worn.off > IMPLIED_OFF  # no worse is sure, and not how much better
    assert "exit worn implied" not in by_id(rows_of_complaint(said(early, fine)))
    assert "exit worn implied" not in by_id(rows_of_complaint(said(early, cell("exit", "worn", "loose"))))
    on_cold = Complaint("", (early,), moments=("cold tires",))
    assert "exit worn implied" not in by_id(rows_of_complaint(on_cold))


def test_what_is_gone_after_the_cold_laps_is_fine_once_the_tires_came_in():
    early, then = cell("exit", "fresh", "loose"), cell("exit", "settled", "fine", 0.0)
    rows = by_id(rows_of_complaint(Complaint("", (early, then), moments=("cold tires",))))
    assert (rows["exit cold"].terms[0].at, rows["exit cold"].value < 0.0) == ("cold", True)
    assert (rows["exit fresh"].terms[0].at, rows["exit fresh"].value) == ("fresh", 0.0)
    assert "exit fresh" not in by_id(rows_of_complaint(Complaint("", (early,), moments=("cold tires",))))


def test_what_is_so_near_other_cars_alone_is_fine_in_clean_air():
    near = Complaint("", (cell("exit", "worn", "tight"),), only_near_others=True)
    rows = by_id(rows_of_complaint(near))
    assert (rows["exit worn"].value, rows["exit worn"].sized) == (0.0, False)
    assert "exit fresh implied" not in rows


def test_loose_all_along_is_no_contrast_and_not_three_times_the_evidence():
    rows = rows_of_complaint(said(*(cell("exit", stage, "loose") for stage in ("fresh", "settled", "worn"))))
    levels = [row for row in rows if row.kind == "cell"]
    assert len(levels) == 3
    one = rows_of_complaint(said(cell("exit", "fresh", "loose")))[0]
    assert sum(row.off**-2 for row in levels) == pytest.approx(one.off**-2)


def test_fine_is_neutral_in_nobodys_measure():
    row = rows_of_complaint(said(cell("entry", "fresh", "fine", 0.0)))[0]
    assert (row.value, row.off, row.sized) == (0.0, FINE_OFF, False)


def test_what_was_not_said_after_a_run_counts_as_one_row_together():
    rows = [row for row in rows_of_complaint(said(LATE)) if row.kind == "unsaid"]
    assert {row.id for row in rows}.isdisjoint({"exit worn unsaid", "exit fresh unsaid"})
    elsewhere = [row for row in rows if not row.id.startswith("exit")]
    assert sum(row.off**-2 for row in elsewhere) == pytest.approx(UNSAID_OFF**-2 * len(elsewhere) / len(rows))


def test_beside_what_was_told_of_a_phase_its_other_stages_may_be_anything_no_worse():
    told = {size: by_id(rows_of_complaint(said(cell("exit", "worn", "loose", size)))) for size in (1.0, 4.0)}
    for name, least in (("exit settled unsaid", UNSAID_OFF * 7**0.5), ("exit fresh implied", IMPLIED_OFF)):
        doubts = [told[size][name].off for size in (1.0, 4.0)]
        assert least < doubts[0] < doubts[1]
        assert doubts[0] == pytest.approx(least, rel=0.05)
    assert told[1.0]["entry worn unsaid"].off == told[4.0]["entry worn unsaid"].off


def test_before_a_run_silence_says_nothing():
    assert not [row for row in rows_of_complaint(said(LATE), felt=False) if row.kind == "unsaid"]


def test_an_end_of_the_track_is_a_cell_of_its_own():
    row = rows_of_complaint(said(cell("exit", "fresh", "tight", end="one")))[0]
    assert row.terms[0].quantity == "balance exit one"


def test_a_half_severity_lies_between():
    assert size_of(cell("exit", "fresh", "tight", 3.5)) == pytest.approx((SIZE[3] + SIZE[4]) / 2)
    assert size_of(cell("exit", "fresh", "loose", 9.0)) == -SIZE[5]


def test_a_change_that_was_felt_is_a_difference_of_setups():
    row = change_row("exit", "worn", -0.4, before="", after="b")
    assert {term.setup: term.factor for term in row.terms} == {"b": 1.0, "": -1.0}


def test_a_new_word_about_the_same_run_takes_the_place_of_the_old_one_and_an_older_run_stays():
    first = Known(rows_of_complaint(said(LATE)))
    again = first.plus(rows_of_complaint(said(cell("exit", "worn", "loose", 5.0))))
    assert len(again.rows) == len(first.rows)
    assert by_id(again.rows)["exit worn"].value == -SIZE[5]
    assert len(again.plus(rows_of_complaint(said(LATE), when=1)).rows) == 2 * len(first.rows)


def test_what_is_taken_back_is_gone():
    assert "exit worn" not in by_id(Known(rows_of_complaint(said(LATE))).minus(["exit worn"]).rows)


def test_the_words_that_count_are_those_of_the_last_run_anybody_spoke_of():
    first = Known(rows_of_complaint(said(LATE)))
    later = first.plus(rows_of_complaint(said(cell("middle", "settled", "tight")), when=1))
    assert set(first.words()) == {("exit", "worn")}
    assert set(later.words()) == {("middle", "settled")}
