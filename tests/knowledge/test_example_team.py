"""The example team's pack shows every way to change the base: each change is there, with its reason and its place."""

from assistant.advice.trade import gather_candidates
from assistant.diagnosis.calls import Call
from assistant.diagnosis.plan import Option
from tests.knowledge.packs import TEAM


def origin(team, symptom, remedy):
    return team.origin("symptom", symptom, remedy)


def test_a_remedy_is_added_behind_the_one_it_names(team):
    names = [one.name for one in team.symptoms["loose off"].remedies]
    assert names.index("rear_packers fewer") == names.index("track_bar_right down") + 1
    place = origin(team, "loose off", "rear_packers fewer")
    assert (place.pack, place.line) == ("example-team", 8)
    assert place.note.startswith("added: Our car stands on its right rear bump rubber")


def test_a_remedy_is_dropped(base, team):
    assert "spring_rf softer" in [one.name for one in base.symptoms["tight in the middle"].remedies]
    assert "spring_rf softer" not in [one.name for one in team.symptoms["tight in the middle"].remedies]
    place = team.dropped["tight in the middle", "spring_rf softer"]
    assert (place.pack, place.note) == ("example-team", "Our series hands out one right front spring for everybody.")


def test_a_remedy_is_moved(base, team):
    assert base.symptoms["loose all the way"].remedies[0].name == "axle-square"
    assert team.symptoms["loose all the way"].remedies[-1].name == "axle-square"
    note = origin(team, "loose all the way", "axle-square").note
    assert note.startswith("moved by example-team: Our axle goes through the jig")


def test_a_remedy_is_reworded_and_keeps_the_rest(base, team):
    before, after = (
        next(one for one in pack.symptoms["tight off"].remedies if one.name == "stagger more") for pack in (base, team)
    )
    assert before.because != after.because
    assert after.watch_for == ["stagger measured hot as well as cold"]
    assert (before.undo_if, before.backed_by) == (after.undo_if, after.backed_by)
    assert origin(team, "tight off", "stagger more").pack == "example-team"


def test_a_reworded_reason_is_said_before_that_of_a_cause_of_the_first_pack(team):
    reworded = next(one for one in team.symptoms["tight off"].remedies if one.name == "stagger more")
    of_cause = next(
        one for cause in team.causes.values() for one in cause.remedies if one.lever == "stagger" and one.move == "more"
    )
    call = Call(Option("lever", "stagger +", ()), (("a cause", of_cause),))
    found = gather_candidates([team.symptoms["tight off"]], [call], (), team, lambda _: True)
    stagger = next(one for one in found if one.id == "stagger")
    assert [one.entry for one in stagger.mentions][:2] == [reworded, of_cause]


def test_the_team_has_its_own_lever_phrases_and_weights(base, team):
    assert "rear_packers" not in base.levers
    assert team.levers["rear_packers"].by_the_book is not None
    assert any("se va de cola" in one.says for one in team.phrases.phrases)
    assert (base.ranking.severity_unsaid, team.ranking.severity_unsaid) == (3, 2)
    assert (base.ranking.not_in_time, team.ranking.not_in_time) == (0.3, 0.1)


def test_every_file_of_changes_says_why_and_over_which_edition():
    files = sorted(TEAM.rglob("*.changes.yaml"))
    assert len(files) == 4
    for path in files:
        text = path.read_text(encoding="utf-8")
        assert "\nwhy: " in text
        assert "\nwritten_for: base 2026.2\n" in text
