"""What `check --coverage` counts, and the holes it names."""

from dataclasses import replace

from assistant.pages.packs import say_hole
from assistant.rules.knowledge import find_coverage


def said(knowledge):
    return [say_hole(hole) for hole in find_coverage(knowledge).holes]


def test_every_kind_of_complaint_is_counted(base):
    cells = find_coverage(base).cells
    assert len(cells) == 2 * 3 * 3
    (cell,) = (one for one in cells if (one.balance, one.phase, one.stage) == ("loose", "exit", "worn"))
    assert "loose off" in cell.own
    assert set(cell.own) < set(cell.symptoms)
    assert cell.remedies >= 9
    assert cell.cases >= 1
    assert cell.sources > 5


def test_the_base_pack_has_symptoms_remedies_and_cases_for_every_kind_of_complaint(base):
    assert find_coverage(base).holes == ()


def test_symptoms_without_a_balance_are_listed_with_their_cases(base):
    others = dict(find_coverage(base).others)
    assert others["wheelspin"] >= 1
    assert "loose off" not in others


def test_a_hole_is_named(base):
    kept = {name: one for name, one in base.symptoms.items() if (one.balance, one.phase) != ("tight", "exit")}
    cases = tuple(one for one in base.cases if one.symptom != "loose in")
    holes = said(replace(base, symptoms=kept, cases=cases))
    assert "tight, exit, fresh: no symptom of its own" in holes
    assert "loose in: no case finds it" in holes
    assert "loose in: no near miss" in holes


def test_too_few_remedies_and_an_unused_lever_are_holes(base):
    one = base.symptoms["loose off"].model_copy(update={"remedies": base.symptoms["loose off"].remedies[:1]})
    holes = said(replace(base, symptoms={"loose off": one}, causes={}))
    assert "loose, exit, worn: fewer than 3 remedies" in holes
    assert "tight, entry, fresh: no case" in holes
    assert f"{base.levers['stagger'].title}: no remedy moves it" in holes


def test_a_lever_left_out_with_a_reason_is_no_hole(base):
    left = base.levers["stagger"].model_copy(update={"why_no_remedy": "Nobody knows."})
    found = find_coverage(replace(base, symptoms={}, causes={}, levers={"stagger": left}))
    assert ("rear stagger", "Nobody knows.") in found.left_out
    assert not [hole for hole in found.holes if hole.of == "rear stagger"]


def test_the_base_pack_has_no_hole_and_gives_a_reason_for_the_one_lever_no_remedy_moves(base):
    found = find_coverage(base)
    assert found.holes == ()
    ((title, why),) = found.left_out
    assert title == "front roll center height"
    assert why.startswith("The sources point both ways and none settles it for ovals: ")
    moved = {remedy.lever for symptom in base.symptoms.values() for remedy in symptom.remedies}
    assert [name for name, lever in base.levers.items() if lever.why_no_remedy and name in moved] == []
