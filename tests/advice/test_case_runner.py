"""The example cases of the packs are run, and each kind of expectation can fail."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from assistant.advice import case_runner
from assistant.advice.audit import mean_of
from assistant.advice.case_runner import CaseBench, run_cases, say_name
from assistant.belief.garage import Garage, open_garage
from assistant.car.files import read_case
from assistant.diagnosis.session import start
from assistant.ground.problems import BadInput
from assistant.rules.knowledge import Knowledge, Origin
from assistant.rules.models_symptom import Expect
from assistant.rules.pack import load_packs
from tests.advice.screening import both_lists
from tests.conftest import DRIVEN


@cache
def base() -> Knowledge:
    return load_packs()


@cache
def bench() -> CaseBench:
    return CaseBench(load_packs())


def planted(says: str = "loose off late in the run", on: str = "demo", **expect: object) -> Knowledge:
    """The base pack with one case only, of the symptom "loose off", that expects this."""
    loaded = next(one for one in base().cases if one.symptom == "loose off")
    case = loaded.case.model_copy(update={"driver_says": says, "on": on, "answers": {}, "expect": Expect(**expect)})
    return replace(base(), cases=(replace(loaded, case=case, no_longer=None),))


def test_every_symptom_of_the_base_pack_is_found_by_its_cases_and_not_by_its_near_misses():
    assert [problem.text() for problem in run_cases(base(), bench(), compute=False)] == []


def test_each_symptom_has_a_case_that_finds_it_and_one_that_must_not():
    for name, symptom in base().symptoms.items():
        if not symptom.retired:
            expects = [one.case.expect for one in base().cases if one.symptom == name]
            assert any(expect.found == name for expect in expects), name
            assert any(expect.not_found == name for expect in expects), name


@pytest.mark.parametrize(
    ("expect", "says"),
    [
        ({"found": "tight in"}, "'loose off late in the run' is read as loose off, "),
        ({"not_found": "loose off"}, "and loose off must not be among what fits"),
    ],
)
def test_a_case_that_finds_the_wrong_symptom_is_a_problem_with_its_place(expect, says):
    problems = run_cases(planted(**expect), bench(), compute=False)
    assert len(problems) == 1
    assert says in problems[0].says
    assert problems[0].file.endswith("loose-off.cases.yaml")
    assert problems[0].line > 1


@pytest.mark.parametrize(
    ("expect", "says"),
    [
        ({"first": "stagger more"}, "the first remedy must be stagger more; offered: "),
        ({"in_top_three": ["cross_weight less"]}, "cross_weight less must be among the first three; offered: "),
        ({"moves": {"stagger less": "looser"}}, "stagger less must make the car looser; computed: +"),
    ],
)
def test_a_case_that_ranks_or_moves_wrongly_is_a_problem(expect, says):
    problems = run_cases(planted(**expect), bench())
    assert [problem.says for problem in problems if problem.says.startswith(says)]


def test_a_remedy_that_must_never_be_offered_is_a_problem_when_it_is():
    first = run_cases(planted(first="stagger more"), bench())[0].says.split("offered: ")[1].split(", ")[0]
    assert run_cases(planted(first=first), bench()) == []
    problems = run_cases(planted(never=[first]), bench())
    assert [problem.says for problem in problems] == [f"{first} must never be offered, and is number 1"]


def test_what_needs_the_model_is_left_out_on_request():
    assert run_cases(planted(first="stagger more"), bench(), compute=False) == []


def test_only_the_cases_of_one_symptom_are_run_on_request():
    assert run_cases(planted(found="tight in"), bench(), only="tight in", compute=False) == []


def retired(**expect: object) -> Knowledge:
    """The base pack with one case, that a line of a team's file means to fail."""
    knowledge = planted(**expect)
    named = Origin("ours", "loose-off.changes.yaml", 17)
    return replace(knowledge, cases=(replace(knowledge.cases[0], no_longer=named),))


def test_a_case_a_later_pack_means_to_fail_may_fail():
    assert run_cases(retired(found="tight in"), bench()) == []


def test_a_case_meant_to_fail_that_holds_is_told_where_the_pack_names_it():
    (problem,) = run_cases(retired(found="loose off"), bench())
    assert (problem.file, problem.line) == ("loose-off.changes.yaml", 17)
    assert problem.says.endswith("still holds, so nothing makes it fail")
    assert problem.hint == "take it out of no_longer"


def test_without_the_model_nothing_is_said_of_a_case_meant_to_fail():
    assert run_cases(retired(found="loose off"), bench(), compute=False) == []


def test_a_case_on_an_unknown_car_says_so():
    with pytest.raises(BadInput):
        read_case("no such case")
    problems = run_cases(planted(on="no such case", found="loose off"), bench(), compute=False)
    assert problems[0].says.startswith("the case 'no such case' cannot be read: ")


def test_names_of_remedies_are_read_and_written_alike():
    for text in ("stagger less", "track_bar_right down", "pressure_rr more", "squeeze-later"):
        assert say_name(base().read_remedy(text), base()) == text
    with pytest.raises(KeyError):
        base().read_remedy("stagger sideways")


def test_the_mean_effect_is_over_the_cells_of_the_symptom():
    grid = {"entry": {"fresh": 1.0, "worn": 2.0}, "exit": {"fresh": 3.0, "worn": 5.0}}
    assert mean_of(grid, ("exit",), ["worn"]) == 5.0
    assert mean_of(grid, (*grid,), ["fresh", "worn"]) == 2.75


@pytest.mark.parametrize(
    ("name", "found"),
    [("demo", "loose off"), ("demo-tight", "tight in the middle"), ("demo-snap", "tight middle snaps loose")],
)
def test_the_demo_cases_are_read_as_what_they_show(name, found):
    from assistant.diagnosis.session import start

    session = start(read_case(name), base())
    assert session.symptoms[0].symptom == found
    assert session.next_question().id == "safety"


def test_quiet_hands_or_busy_hands_decide_between_a_loose_exit_and_a_tight_middle():
    from assistant.diagnosis.session import start

    session = start(read_case("demo-snap"), base()).answer("safety", "none")
    busy = session.answer("extra_wheel", "yes").causes[0]
    assert busy.id == "tight-middle-snap"
    assert busy.word == "likely"
    assert busy.instead == "tight middle snaps loose"
    quiet = start(read_case("demo"), base()).answer("extra_wheel", "no")
    assert quiet.causes[0].id != "tight-middle-snap"


def test_what_must_never_be_offered_is_looked_at_alone_first(monkeypatch):
    asked = []
    advise = case_runner.advise

    def noted(*args, among=None, **more):
        asked.append(among)
        return advise(*args, among=among, **more)

    monkeypatch.setattr(case_runner, "advise", noted)
    assert run_cases(planted(on="demo-tight", never=["stagger more"]), bench()) == []
    assert asked == [{"stagger"}]
    run_cases(planted(first="stagger less"), bench())
    assert asked[1:] == [None]


def test_a_remedy_that_must_never_be_offered_has_the_number_it_has_among_all_the_others():
    says = "loose off late in the run"
    names = run_cases(planted(says, "demo-tight", first="stagger more"), bench())[0].says.split("offered: ")[1]
    second = names.split(", ")[1]
    problems = run_cases(planted(says, "demo-tight", never=[second, "stagger more"]), bench())
    assert [problem.says for problem in problems] == [f"{second} must never be offered, and is number 2"]


def test_the_cars_of_a_case_are_made_once_for_all_that_is_said_of_them(monkeypatch):
    made = []

    def garage_of(case):
        made.append(case.name)
        return open_garage(case)

    monkeypatch.setattr("assistant.advice.case_runner.open_garage", garage_of)
    some = CaseBench(base())
    said = start(read_case("demo"), base(), "tight in the middle").complaint
    assert some.belief("demo").garage is some.belief("demo", said).garage
    assert len(made) == 1


# A list made by way of a few cars is the one that all cars make; `python -m tests.advice.screening` asks for more.


@pytest.fixture(scope="module")
def garage():
    return Garage(read_case("demo"), folder=DRIVEN, size=64)


@pytest.mark.parametrize("words", ["loose off late", "a little tight in", "loose on entry and tight in the middle"])
def test_what_is_shown_is_what_is_shown_with_everything_driven_on_all_cars(garage, words):
    quick, full = both_lists("demo", words, garage)
    assert len(quick) >= 5
    assert [one[:2] for one in quick] == [one[:2] for one in full]  # of sizes about as good either may be chosen
