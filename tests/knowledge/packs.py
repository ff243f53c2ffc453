"""The packs that come with the program: their folders, files and knowledge, each read once."""

from functools import cache
from pathlib import Path

from assistant.ground.folders import knowledge_folder
from assistant.rules.pack import check_packs

BASE = knowledge_folder() / "base"
TEAM = knowledge_folder() / "example-team"


@cache
def checked_base():
    return check_packs([BASE])


@cache
def checked_team():
    return check_packs([BASE, TEAM])


def base_knowledge():
    assert checked_base().knowledge is not None, [one.text() for one in checked_base().faults]
    return checked_base().knowledge


def team_knowledge():
    assert checked_team().knowledge is not None, [one.text() for one in checked_team().faults]
    return checked_team().knowledge


def files_of(folder: Path):
    return sorted(folder.rglob("*.yaml"))
