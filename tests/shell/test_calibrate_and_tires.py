"""`halfturn calibrate` and `halfturn tires` as commands: what they print, write and refuse, with their exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.belief import log_fit as engine
from assistant.car.files import read_case
from assistant.cli import BAD_INPUT, DONE, NO, main
from assistant.ground.folders import demo_folder
from tests.calibrations import FUEL, WEAR_OF_ANOTHER_CAR, calibrate_once

CASE = """case: mine
car: car
tire: tire
track: track
rulebook: rulebook
setup: setup-demo
run: 80 laps   # as in a race
"""
READ = """measured:
  laps: 40
  temperatures:
    rf: [200, 215, 205]
    rr: [205, 196, 185]
  hot pressure: {rf: 31, rr: 34}
  wear: {rf: 2.2 mm, rr: 2.4 mm}
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path / "own"))
    (tmp_path / "mine.yaml").write_text(CASE, encoding="utf-8")
    (tmp_path / "read.yaml").write_text(CASE + READ, encoding="utf-8")
    (tmp_path / "fuel.csv").write_text(FUEL, encoding="utf-8")
    return tmp_path


@pytest.fixture(autouse=True)
def calibrate_each_log_once(monkeypatch):
    monkeypatch.setattr(engine, "calibrate", calibrate_once)


def run(capsys, *words):
    code = main([str(word) for word in words])
    captured = capsys.readouterr()
    return code, " ".join(captured.out.split()), " ".join(captured.err.split())


def test_calibrating_an_own_case_keeps_the_fit_beside_it_and_names_it_in_one_line(folder, capsys):
    code, out, err = run(capsys, "calibrate", folder / "mine.yaml", folder / "fuel.csv")
    assert (code, err) == (DONE, "")
    assert "fuel: 40 laps, 3 readings compared" in out
    assert (
        "This log cannot tell: wear rate, heat from sliding, heat from rolling, cooling, lag of the air inside" in out
    )
    assert "the line 'fit: mine-fit' was added to mine.yaml." in out
    assert "Take the line 'fit: mine-fit' out of mine.yaml to go back to the files as they are." in out
    assert (folder / "mine.yaml").read_text(encoding="utf-8") == CASE + "fit: mine-fit\n"
    fitted, plain = read_case(folder / "mine.yaml"), read_case(folder / "mine.yaml", use_fit=False)
    assert fitted.fit.log == "fuel"
    assert fitted.car.engine.fuel_use > 1.05 * plain.car.engine.fuel_use
    assert fitted.tire == plain.tire
    assert "# well determined; the files say 0.5 lb/hp h" in (folder / "mine-fit.yaml").read_text(encoding="utf-8")


def test_calibrating_again_starts_from_the_files_and_keeps_the_line(folder, capsys):
    run(capsys, "calibrate", folder / "mine.yaml", folder / "fuel.csv")
    first = (folder / "mine-fit.yaml").read_text(encoding="utf-8")
    code, out, _ = run(capsys, "calibrate", folder / "mine.yaml", folder / "fuel.csv")
    assert code == DONE
    assert "which the case already uses." in out
    assert (folder / "mine-fit.yaml").read_text(encoding="utf-8") == first
    assert (folder / "mine.yaml").read_text(encoding="utf-8").count("fit:") == 1


def test_a_case_that_uses_another_fit_keeps_it(folder, capsys):
    (folder / "other.yaml").write_text("fit: other\nwear:\n  rate: 0.1 mm per MJ\n", encoding="utf-8")
    (folder / "mine.yaml").write_text(CASE + "fit: other\n", encoding="utf-8")
    _, out, _ = run(capsys, "calibrate", folder / "mine.yaml", folder / "fuel.csv")
    assert "The case uses another fit, 'other'; write 'fit: mine-fit' there to use this one." in out
    assert read_case(folder / "mine.yaml").tire.wear_rate == pytest.approx(1e-10)


def test_a_dry_run_writes_nothing(folder, capsys):
    before = sorted(path.name for path in folder.iterdir())
    code, out, _ = run(capsys, "calibrate", folder / "mine.yaml", folder / "fuel.csv", "--dry-run")
    assert code == DONE
    assert "Nothing was written (--dry-run)." in out
    assert sorted(path.name for path in folder.iterdir()) == before
    assert (folder / "mine.yaml").read_text(encoding="utf-8") == CASE


def test_a_demo_stays_as_it_is_and_a_copy_uses_the_fit(folder, capsys):
    before = {path.name: path.read_bytes() for path in demo_folder().iterdir()}
    code, out, _ = run(capsys, "calibrate", "demo", folder / "fuel.csv")
    assert code == DONE
    assert "The demo itself stays as it was." in out
    assert {path.name: path.read_bytes() for path in demo_folder().iterdir()} == before
    copy = read_case(folder / "own" / "calibrated" / "demo" / "case.yaml")
    assert copy.fit.name == "demo-fit"
    assert copy.car.engine.fuel_use > 1.05 * read_case("demo").car.engine.fuel_use


def test_a_log_that_tells_nothing_leaves_everything_as_it_was(folder, capsys):
    code, out, _ = run(capsys, "calibrate", folder / "mine.yaml", "run-few-laps")
    assert code == DONE
    assert "This log determines none of these numbers: more laps, and readings of the tires, would." in out
    assert "Nothing to keep." in out
    assert not (folder / "mine-fit.yaml").exists()


def test_a_fit_that_may_not_be_kept_is_the_answer_no(folder, capsys):
    log = folder / "bad.csv"
    log.write_text(WEAR_OF_ANOTHER_CAR, encoding="utf-8")
    code, out, _ = run(capsys, "calibrate", folder / "mine.yaml", log)
    assert code == NO
    assert "Nothing is kept: the model cannot follow the wear of this log: it stays off by" in out
    assert not (folder / "mine-fit.yaml").exists()


def test_the_answer_may_be_json(folder, capsys):
    assert main(["calibrate", str(folder / "mine.yaml"), str(folder / "fuel.csv"), "--dry-run", "--json"]) == DONE
    data = json.loads(capsys.readouterr().out)
    assert data["kept"] is True
    assert data["written"] == ["Nothing was written (--dry-run)."]
    assert next(one for one in data["numbers"] if one["id"] == "fuel")["determined"] == "well determined"


def test_a_bad_log_is_bad_input_with_its_line(folder, capsys):
    (folder / "bad.csv").write_text("lap,lap time (s)\n2,23\n1,23\n3,23\n", encoding="utf-8")
    code, out, err = run(capsys, "calibrate", "demo", folder / "bad.csv")
    assert (code, out) == (BAD_INPUT, "")
    assert "bad.csv:3:1: lap 1 comes after lap 2; laps rise from line to line 1,23 ^ one log holds one run" in err


@pytest.mark.parametrize(
    ("fit", "line", "said"),
    [
        ("fit: other\ntire: some-tire\nwear: {rate: 0.1 mm per MJ}\n", "fit: other", "this fit was made for the tire"),
        ("fit: other\n", "fit: other", "this fit holds no values"),
        ("fit: other\nwear: {rate: 0.1 mm per MJ}\n", "fit: othre", "there is no fit file 'othre'"),
    ],
)
def test_a_fit_that_does_not_belong_to_the_case_is_refused(folder, capsys, fit, line, said):
    (folder / "other.yaml").write_text(fit, encoding="utf-8")
    (folder / "mine.yaml").write_text(CASE + line + "\n", encoding="utf-8")
    code, _, err = run(capsys, "tires", folder / "mine.yaml")
    assert code == BAD_INPUT
    assert said in err


def test_the_tires_are_read_in_steps_of_the_rulebook_with_sources_and_cautions(folder, capsys):
    code, out, err = run(capsys, "tires", folder / "read.yaml")
    assert (code, err) == (DONE, "")
    assert "1 Air. Right front has too much air. Lower the right front pressure 2.0 psi, from 24.0 to 22.0" in out
    assert "(12 F off asks for 5.0 psi, by the band 2.5 to 12.5; 2.0 psi at a time)" in out
    assert "The stricter rule (middle above or below both edges) agrees." in out
    assert "2 Air. Right rear has too little air. Raise the right rear pressure 2.0 psi, from 22.0 to 24.0" in out
    assert "Once the air is right: add negative to the right front camber 0.5 deg, from -3.0 to -3.5" in out
    assert "Not probed: LF, LR." in out
    assert "The RR has lost the most tread, 0.094 in in 40 laps." in out
    assert "Sizes come from 2.5 F a psi (assumption, from memory) and 10.0 F a degree of camber" in out
    assert "Never go below the tire maker's or the series' minimum pressure" in out
    assert "RR 12.0 psi 4.0 psi much" in out


def test_an_earlier_case_measures_the_degrees_per_psi(folder, capsys):
    (folder / "low.yaml").write_text((demo_folder() / "setup-demo.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    setup = (folder / "low.yaml").read_text(encoding="utf-8")
    low = setup.replace("air: 24 psi", "air: 18 psi", 1)
    assert low != setup
    (folder / "low.yaml").write_text(low, encoding="utf-8")
    second = (CASE + READ).replace("setup: setup-demo", "setup: low").replace("[200, 215, 205]", "[203, 199, 202]")
    (folder / "second.yaml").write_text(second, encoding="utf-8")
    code, out, _ = run(capsys, "tires", folder / "read.yaml", folder / "second.yaml")
    assert code == DONE
    assert "F a psi (measured on 1 pair of readings)" in out


def test_an_earlier_case_of_another_tire_is_refused(folder, capsys):
    tire = (demo_folder() / "tire.yaml").read_text(encoding="utf-8").replace("tire: demo-tire", "tire: other-tire")
    (folder / "other-tire.yaml").write_text(tire, encoding="utf-8")
    (folder / "second.yaml").write_text((CASE + READ).replace("tire: tire", "tire: other-tire"), encoding="utf-8")
    code, _, err = run(capsys, "tires", folder / "read.yaml", folder / "second.yaml")
    assert code == BAD_INPUT
    assert "an earlier case has another car or tire; degrees per psi are measured on one and the same" in err


def test_a_case_without_readings_says_what_to_add(folder, capsys):
    code, out, err = run(capsys, "tires", "demo")
    assert (code, out) == (BAD_INPUT, "")
    assert "the case has no readings of its tires: add a block 'measured' with temperatures, inside first" in err


def test_the_tires_as_json(folder, capsys):
    assert main(["tires", str(folder / "read.yaml"), "--json", "--units", "si"]) == DONE
    data = json.loads(capsys.readouterr().out)
    assert data["pressure_unit"] == "kPa"
    assert data["findings"][0]["move"]["change"] == pytest.approx(-13.79, abs=0.01)
    assert Path(folder / "read.yaml").read_text(encoding="utf-8") == CASE + READ


def test_a_fit_that_could_not_be_kept_is_no_success(folder, capsys):
    (folder / "mine-fit.yaml").mkdir()
    assert main(["calibrate", str(folder / "mine.yaml"), "run-practice"]) == BAD_INPUT
    assert "is there already and is no fit" in " ".join(capsys.readouterr().out.split())
