"""Every example case of the packs that come with the program, run on the demo cars; one test each."""

import pytest

from assistant.advice.case_runner import run_case
from tests.knowledge.packs import BASE, base_knowledge, team_knowledge


def _ids(loaded):
    file = loaded.origin.file.replace(str(BASE), "base").partition("knowledge/")
    return f"{file[2] or file[0]}::{loaded.case.case}"


BASE_CASES = [one for one in base_knowledge().cases if not one.no_longer]
TEAM_CASES = [one for one in team_knowledge().cases if not one.no_longer and one.origin.pack == "example-team"]
CHANGED = {"loose off", "tight off", "tight in the middle", "loose all the way"}
UNDER_TEAM = [
    one for one in team_knowledge().cases if one.symptom in CHANGED and one.origin.pack == "base" and not one.no_longer
]


def faults(loaded, knowledge, bench):
    return [one.says for one in run_case(loaded, knowledge, bench)]


@pytest.mark.parametrize("loaded", BASE_CASES, ids=_ids)
def test_a_case_of_the_base_pack_holds(loaded, base, bench):
    assert faults(loaded, base, bench) == []


@pytest.mark.parametrize("loaded", TEAM_CASES, ids=_ids)
def test_a_case_of_the_example_team_holds(loaded, team, bench):
    assert faults(loaded, team, bench) == []


@pytest.mark.parametrize("loaded", UNDER_TEAM, ids=_ids)
def test_a_base_case_of_a_changed_symptom_still_holds_for_the_team(loaded, team, bench):
    assert faults(loaded, team, bench) == []


def test_a_case_the_team_retired_does_fail_with_the_teams_changes(team, bench):
    retired = [one for one in team.cases if one.no_longer]
    assert len(retired) == 1
    assert faults(retired[0], team, bench)[0].startswith("axle-square must be among the first three; offered: ")
