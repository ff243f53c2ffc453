"""The base pack and the example team's pack, read once; one table of effects per demo case for all example cases."""

import pytest

from assistant.advice.case_runner import CaseBench
from tests.knowledge.packs import base_knowledge, team_knowledge


@pytest.fixture(scope="session")
def base():
    return base_knowledge()


@pytest.fixture(scope="session")
def team():
    return team_knowledge()


@pytest.fixture(scope="session")
def bench():
    return CaseBench(team_knowledge())
