"""What every file and every entry of the packs that come with the program must have."""

import json
import re
from collections import Counter

from assistant.ground.names import plain_id
from assistant.pages.amounts import say_sources
from assistant.rules.knowledge import cite
from tests.knowledge.packs import BASE, TEAM, base_knowledge, checked_base, checked_team, files_of

REMEDIES = [
    (f"{owner}: {remedy.name}", remedy)
    for shelf in (base_knowledge().symptoms, base_knowledge().causes)
    for owner, entry in shelf.items()
    for remedy in entry.remedies
]


def test_a_remedy_says_why_what_to_watch_when_to_undo_and_who_says_so():
    for name, remedy in REMEDIES:
        assert len(remedy.because.split()) > 4, name
        assert remedy.watch_for, name
        assert remedy.undo_if, name
        assert remedy.backed_by, name


def test_no_reason_is_given_twice():
    reasons = Counter(" ".join(remedy.because.casefold().split()) for _, remedy in REMEDIES)
    assert [reason for reason, count in reasons.items() if count > 1] == []


def test_a_symptom_has_a_case_that_finds_it_and_a_near_miss(base):
    expected = [(one.symptom, one.case.expect) for one in base.cases]
    assert {symptom for symptom, one in expected if one.found == symptom} == {*base.symptoms}
    assert {symptom for symptom, one in expected if one.not_found == symptom} == {*base.symptoms}


def test_what_is_from_memory_says_so_on_screen(base):
    keys = {key for lever in base.levers.values() for key in lever.backed_by if key.startswith("memory")}
    assert keys
    assert all(text.startswith("from memory") for text in say_sources(cite(sorted(keys), base)))


def test_every_source_says_how_much_of_it_was_read(base):
    assert {source.read for source in base.sources.values()} <= {"whole", "opening only", "quoted", "memory"}
    assert all(not source.where for source in base.sources.values() if source.read == "memory")


def test_a_line_of_the_trade_that_says_depends_is_explained_by_a_dispute(base):
    open_questions = {
        name for name, lever in base.levers.items() for line in lever.trade.values() if line.balance == "depends"
    }
    assert [name for name in open_questions if not base.levers[name].disputed] == []


def test_a_question_is_written_one_way_in_every_condition(team):
    other = [plain_id(qid) for qid in team.questions if "-" in qid]
    named = {name for text in team.conditions for name in re.findall(r"[\w-]+", text)}
    assert len(other) > 10
    assert named.isdisjoint(other)


def test_no_file_of_the_packs_has_a_fault():
    assert [one.text() for one in checked_base().faults] == []
    assert [one.text() for one in (*checked_team().faults, *checked_team().notes)] == []


def test_the_first_line_of_a_file_points_to_the_schema_of_its_kind():
    """So an editor can help."""
    for path in (*files_of(BASE), *files_of(TEAM)):
        text = path.read_text(encoding="utf-8")
        kind = next(line for line in text.splitlines() if line and not line.startswith("#")).partition(":")[0]
        comment, _, place = text.splitlines()[0].partition("$schema=")
        assert comment == "# yaml-language-server: ", path
        schema = (path.parent / place).resolve()
        assert schema.name == f"{kind.replace('_', '-')}.json", path
        assert kind in json.loads(schema.read_text(encoding="utf-8"))["properties"], path
