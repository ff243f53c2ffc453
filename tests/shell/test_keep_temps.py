"""Temperatures typed in a talk are offered to be kept, kept with care, and there in the next talk."""

import pytest

from assistant.car.files import read_case
from assistant.car.write import starter
from assistant.ground.folders import user_folder
from assistant.ground.units import from_unit
from assistant.notebook.record import CTRL_C
from assistant.shell import keep
from tests.notebook.talks import cut_off_in, record_in

ALL = "180 185 170 240 235 220 170 172 168 210 220 205"
COMPLAINT = "loose off late in the run"
HERE = "the temperatures count in this talk only."


def kelvin(fahrenheit):
    return from_unit(fahrenheit, "F", "temperature")


@pytest.fixture
def own(tmp_path, monkeypatch):
    """A case of the user's own, comments and all."""
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path / "own"))
    folder = tmp_path / "cars"
    folder.mkdir()
    for kind in ("car", "tire", "track", "rulebook", "setup", "case"):
        text = starter(kind).replace("setup: setup-demo", "setup: setup")
        (folder / f"{kind}.yaml").write_text(text, encoding="utf-8")
    return folder / "case.yaml"


@pytest.fixture
def typed(make_talk, own):
    """A talk about that case in which all temperatures have just been typed."""
    talk = make_talk(read_case(own))
    talk.type(f"temps {ALL}")
    return talk


def test_they_are_asked_for_by_the_name_of_the_file_and_count_meanwhile(typed):
    assert typed.words.endswith("Keep them for the next talk, in case.yaml? 1 yes 2 no, for this talk only")
    assert typed.reply.prompt == "1 to keep them, 2 for this talk only"
    assert typed.conversation.completions() == ("yes", "no")
    assert "RF 240 235 220" in typed.type("tires")
    assert typed.reply.prompt == "1 to keep them, 2 for this talk only"


def test_yes_puts_them_into_the_file_beside_the_file_as_it_was_and_the_next_talk_reads_them(typed, own, make_talk):
    before = own.read_text()
    assert typed.type("yes") == f"Kept in {own}; the file as it was is case.yaml.before-temps beside it."
    assert typed.reply.prompt.startswith("What is the car doing?")
    assert own.with_name("case.yaml.before-temps").read_text() == before
    after = own.read_text()
    assert after.startswith(before)
    assert "    rf: [240 F, 235 F, 220 F]\n" in after
    again = make_talk(read_case(own))
    assert "RF 240 235 220" in again.type("tires")


def test_those_the_file_holds_are_replaced_where_they_stand(typed, own, make_talk):
    typed.type("1")
    held = own.read_text()
    again = make_talk(read_case(own))
    assert again.type(f"temps {ALL}").endswith("They are in case.yaml already.")
    said = again.type("temps 181 185 170 240 235 220 170 172 168 210 220 205")
    assert "Keep them for the next talk, in case.yaml, in place of those it holds?" in said
    again.type("1")
    assert own.read_text() == held.replace("\n    lf: [180 F,", "\n    lf: [181 F,")


@pytest.mark.parametrize(
    ("line", "says"), [("2", "They count in this talk only."), ("no", "They count in this talk only.")]
)
def test_no_leaves_the_file_as_it_is(typed, own, line, says):
    before = own.read_text()
    assert typed.type(line) == says
    assert own.read_text() == before
    assert typed.state.bench.case.measured.temperatures["RF"] == pytest.approx([kelvin(f) for f in (240, 235, 220)])


def test_ctrl_c_leaves_the_question_and_the_talk_goes_on_where_it_was(make_talk, own):
    talk = make_talk(read_case(own))
    talk.type(COMPLAINT, "1", f"temps {ALL}")
    before = own.read_text()
    said = talk.leave()
    assert said.startswith(f"Left the question; {HERE}")
    assert talk.state.question.entry.asks in said
    assert own.read_text() == before
    assert talk.state.session.facts["temperature_rr_middle"] == pytest.approx(kelvin(220))


def test_ctrl_c_while_it_is_written_leaves_the_file_as_it_was(typed, own, monkeypatch):
    def stop(*_, **__):
        raise KeyboardInterrupt

    before = own.read_text()
    monkeypatch.setattr(keep, "read_case", stop)
    assert typed.type("1") == f"Stopped: case.yaml is as it was; {HERE}"
    assert own.read_text() == before


def test_ctrl_c_too_late_says_that_they_are_kept(typed, own, monkeypatch):
    write = keep.replace_own

    def write_and_stop(*given, **more):
        write(*given, **more)
        raise KeyboardInterrupt

    monkeypatch.setattr(keep, "replace_own", write_and_stop)
    assert typed.type("1") == f"Kept in {own}."
    assert read_case(own).measured.temperatures


def test_a_read_only_file_is_left_alone(typed, own):
    own.chmod(0o444)
    before = own.read_text()
    assert typed.type("1") == f"Not kept: {own} cannot be written to (Permission denied); {HERE}"
    assert own.read_text() == before
    assert typed.reply.prompt.startswith("What is the car doing?")


def test_a_file_that_is_gone_is_not_made_anew(typed, own):
    own.unlink()
    assert typed.type("1") == f"Not kept: {own} is not there any more; {HERE}"
    assert not own.exists()


def test_a_file_gone_before_the_question_is_told_at_once(make_talk, own):
    talk = make_talk(read_case(own))
    own.unlink()
    assert talk.type(f"temps {ALL}").endswith(f"Not kept: {own} is not there any more; {HERE}")
    assert talk.reply.prompt.startswith("What is the car doing?")


def test_a_file_changed_meanwhile_is_left_as_it_is_and_asked_about_anew(typed, own):
    theirs = own.read_text() + "# a line of somebody else\n"
    own.write_text(theirs)
    said = typed.type("1")
    assert said.startswith("Not kept: case.yaml was changed meanwhile, and was left as it is now. Keep them ")
    assert own.read_text() == theirs
    assert typed.type("1").startswith("Kept in ")
    assert own.read_text().startswith(theirs)


def test_a_file_that_cannot_be_read_any_more_is_left_alone(typed, own):
    own.write_text("case: [\n")
    said = typed.type("1")
    assert said == (
        "Not kept: case.yaml was changed meanwhile, and was left as it is now. "
        f"Not kept: {own} cannot be read as it is now; {HERE}"
    )
    assert own.read_text() == "case: [\n"


def test_a_block_in_braces_is_edited_too(make_talk, own):
    own.write_text(own.read_text() + "measured: {laps: 20}\n")
    talk = make_talk(read_case(own))
    talk.type(f"temps {ALL}")
    assert talk.type("1").startswith(f"Kept in {own};")
    assert read_case(own).measured.laps == 20


def test_a_block_that_cannot_be_edited_is_left_to_its_owner(make_talk, own, monkeypatch):
    monkeypatch.setattr(keep, "put_treads", lambda *_: None)
    before = own.read_text()
    talk = make_talk(read_case(own))
    talk.type(f"temps {ALL}")
    assert talk.type("1") == (
        f"Not kept: the block 'measured' of {own} is written in a way that cannot be edited without harm; put them in "
        "by hand."
    )
    assert own.read_text() == before


@pytest.mark.parametrize("line", ["", "back", "undo", "3", "help", "?"])
def test_what_is_no_answer_is_told_what_can_be_typed(typed, line):
    assert typed.type(line) == (
        "Type 1 to keep them or 2 for this talk only; commands such as tires or show work here too."
    )
    assert typed.reply.prompt == "1 to keep them, 2 for this talk only"


def test_a_complaint_leaves_the_question_and_is_heard(typed, own):
    before = own.read_text()
    assert typed.type(COMPLAINT).startswith("They count in this talk only. I read: loose coming off")
    assert own.read_text() == before


def test_a_move_of_the_talk_leaves_the_question(make_talk, own):
    talk = make_talk(read_case(own))
    talk.type(COMPLAINT, f"temps {ALL}")
    assert talk.type("enough").startswith(f"Left the question; {HERE}")
    assert talk.state.advice is not None


def test_temps_typed_again_begins_them_anew(typed):
    assert typed.type("temps").startswith("Twelve numbers in F:") or "Twelve numbers in F:" in typed.words
    assert typed.reply.prompt.startswith("left front:")


def test_a_case_that_came_with_the_program_gets_a_copy_that_holds_them(talk, tmp_path):
    assert talk.type(f"temps {ALL}").endswith(
        "Keep them for the next talk, in a copy of this case? 1 yes 2 no, for this talk only"
    )
    place = tmp_path / "own" / "copies" / talk.state.name / "case.yaml"
    assert talk.type("1") == (
        f"The car here came with the program, so a copy of it holds them; halfturn talk {place} opens it."
    )
    assert read_case(place).measured.temperatures["RF"] == pytest.approx([kelvin(f) for f in (240, 235, 220)])
    talk.type(f"temps {ALL}")
    assert talk.type("1") == "Kept in the copy."


def test_where_nothing_can_be_written_that_is_told(talk, tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path / "file"))
    talk.type(f"temps {ALL}")
    assert talk.type("1") == f"Not kept: your own folder cannot be written to; {HERE}"


def test_a_talk_taken_up_again_writes_nothing_a_second_time(make_talk, own):
    first = make_talk(read_case(own), record=record_in(user_folder(), str(own)))
    first.type(f"temps {ALL}", "1", COMPLAINT)
    first.conversation.record.close()
    kept = own.read_text()
    own.write_text(kept.replace("\n    lf: [180 F,", "\n    lf: [181 F,"))
    again = make_talk(read_case(own), cut_off=cut_off_in(user_folder(), str(own)))
    again.type("1")
    assert again.state.question is not None
    assert "\n    lf: [181 F," in own.read_text()
    assert again.state.bench.case.measured.temperatures["LF"][0] == pytest.approx(kelvin(180))
    again.conversation.record.close()


def test_a_talk_taken_up_again_leaves_what_was_left_with_ctrl_c(make_talk, own):
    first = make_talk(read_case(own), record=record_in(user_folder(), str(own)))
    first.type(COMPLAINT, "temps", "180 185 170")
    first.leave()
    first.type("1", f"temps {ALL}")
    first.leave()
    asked = first.state.question
    first.conversation.record.close()
    cut_off = cut_off_in(user_folder(), str(own))
    assert cut_off.typed.count(CTRL_C) == 2
    again = make_talk(read_case(own), cut_off=cut_off)
    again.type("1")
    assert again.state.question == asked
    assert again.state.session.given == first.state.session.given
    again.conversation.record.close()
    assert cut_off_in(user_folder(), str(own)).typed == cut_off.typed


@pytest.mark.parametrize(("answer", "kept"), [("1", True), ("2", False)])
def test_a_copy_made_for_a_change_holds_them_only_when_they_were_kept(talk, tmp_path, answer, kept):
    talk.type(f"temps {ALL}", answer, COMPLAINT, "1", "enough")
    number = next(at for at, one in enumerate(talk.state.advice.remedies, 1) if one.kind == "lever")
    talk.type(f"make {number}")
    copy = read_case(tmp_path / "own" / "copies" / talk.state.name / "case.yaml")
    assert bool(copy.measured.temperatures) is kept
    assert dict(copy.setup.values) == pytest.approx(dict(talk.state.bench.case.setup.values))


@pytest.mark.parametrize("is_link", [True, False])
def test_what_is_called_like_the_file_as_it_was_is_left_alone(typed, own, tmp_path, is_link):
    mine, there = tmp_path / "precious.txt", own.with_name("case.yaml.before-temps")
    mine.write_text("mine")
    if is_link:
        there.symlink_to(mine)
    else:
        there.write_text("mine")
    before = own.read_text()
    assert "the file as it was is case.yaml.before-temps-2 beside it." in typed.type("yes")
    assert (there.read_text(), mine.read_text()) == ("mine", "mine")
    assert own.with_name("case.yaml.before-temps-2").read_text() == before
