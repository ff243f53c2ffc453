"""The cases are whole, the judging half is the one first committed, and both keep one grammar."""

from hashlib import sha256

import pytest

from tests.diagnosis.__main__ import HALVES, main
from tests.diagnosis.vignettes import FOLDER, Move, read_half, read_move


def test_the_judging_cases_are_those_first_committed():
    told = [line.split() for line in (FOLDER / "judging.sha256").read_text(encoding="utf-8").splitlines()]
    assert {name for _, name in told} == {f"{half}.yaml" for half in HALVES if half not in {"building", "practice"}}
    for digest, name in told:
        assert sha256((FOLDER / name).read_bytes()).hexdigest() == digest


def test_both_halves_keep_one_grammar():
    heads = [
        (FOLDER / f"{half}.yaml").read_text(encoding="utf-8").partition("\n- id")[0] for half in ("building", "judging")
    ]
    grammar = [head.partition("\n")[2] for head in heads]
    assert len(grammar[0]) > 1000
    assert grammar[0] == grammar[1]


@pytest.mark.parametrize("half", HALVES)
def test_every_case_reads_and_no_move_stands_in_two_lists(half):
    cases = read_half(half)
    assert len({case.id for case in cases}) == len(cases) == 60
    assert all(case.accept and case.words and case.facts for case in cases)
    assert {case.twin for case in cases if case.twin} == {case.id for case in cases if case.twin}
    for case in cases:
        moves = [*case.accept, *case.wrong, *case.dangerous]
        assert len(set(moves)) == len(moves)


def test_a_move_is_read_without_its_note():
    assert read_move("adjust: RR pressure down (a little)") == Move("adjust", ("RR pressure",), "down")
    assert read_move("cannot-tell: reports conflict (steady laps)") == Move("cannot-tell", ("reports conflict",))


@pytest.mark.parametrize("text", ["hope: RR pressure", "adjust RR pressure", "adjust:", "adjust: x (open"])
def test_what_is_no_move_is_refused(text):
    with pytest.raises(ValueError, match="no move"):
        read_move(text)


@pytest.mark.parametrize("words", [["--entries"], ["judging", "--entries"]])
def test_cases_of_the_judging_half_are_not_listed(words, capsys):
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "to build on" in err
