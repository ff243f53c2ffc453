"""What does not belong together is said in a sentence; nothing is saved and nothing is lost.

Words and gauges that no plausible car does together: `test_as_said`. Logs of another car: `test_log_fit`.
"""

import re
from pathlib import Path

import numpy as np
import pytest

from assistant.belief import log_fit
from assistant.belief.garage import Garage
from assistant.belief.model import LOOK_AGAIN, PLAN_SHORTER
from assistant.car.files import read_case
from assistant.cli import main
from assistant.ground.folders import demo_folder
from assistant.pages.balance import NEVER_DRIVEN, NOT_BELIEVED
from tests.calibrations import calibrate_once
from tests.notebook.talks import leave_few_levers

CELSIUS = {"rf": 95, "lf": 55, "rr": 92, "lr": 56}
"""Tread temperatures of a warm run in degrees Celsius, which are written with the wrong letter behind them."""


@pytest.fixture
def demo(tmp_path):
    """A copy of the demo whose files may be changed."""
    for one in demo_folder().iterdir():
        (tmp_path / one.name).write_bytes(one.read_bytes())
    leave_few_levers(tmp_path / "demo.yaml")
    return tmp_path / "demo.yaml"


def change(file: Path, pattern: str, instead: str) -> None:
    text, count = re.subn(pattern, instead, file.read_text(encoding="utf-8"))
    assert count
    file.write_text(text, encoding="utf-8")


def files_in(folder: Path) -> dict[Path, bytes]:
    return {one: one.read_bytes() for one in sorted(folder.rglob("*")) if one.is_file()}


def say(capsys, *words):
    code = main([str(word) for word in words])
    out, err = capsys.readouterr()
    assert "Traceback" not in err
    return code, " ".join((out + err).split())


def test_gauges_in_another_unit_are_left_out_and_the_words_stand(demo, capsys):
    _, without = say(capsys, "forecast", demo)
    read = ", ".join(f"{corner}: [{warm} F, {warm} F, {warm} F]" for corner, warm in CELSIUS.items())
    demo.write_text(demo.read_text(encoding="utf-8") + f"measured: {{temperatures: {{{read}}}}}\n", encoding="utf-8")
    code, said = say(capsys, "forecast", demo)
    assert code == 0
    assert NOT_BELIEVED in said
    assert '"loose"' in said
    tires = [re.findall(r"lap \d+|[\d.]+ psi", one) for one in (without, said)]
    assert tires[0] == tires[1]


@pytest.mark.parametrize("words", [("advise",), ("forecast",), ("corner",), ("levers",), ("try", "stagger 2")])
def test_a_car_that_cannot_be_driven_is_said_before_any_number(demo, capsys, words):
    change(demo.parent / "track.yaml", r"grip: [\d.]+ %", "grip: 200 %")
    change(demo.parent / "tire.yaml", r"rate: 0.09 mm", "rate: 0.9 mm")
    change(demo.parent / "tire.yaml", r"heat share: 50 %", "heat share: 100 %")
    before = files_in(demo.parent)
    code, said = say(capsys, words[0], demo, *words[1:])
    assert code == 2
    assert "the car has no steady state on this track: nothing can be computed for it" in said
    assert any(hint in said for hint in (PLAN_SHORTER.format(laps=80), LOOK_AGAIN))
    assert "psi" not in said
    assert files_in(demo.parent) == before


def test_a_run_no_set_of_tires_lasts_is_told_as_far_as_it_goes(demo, capsys):
    change(demo, r"run: 80 laps", "run: 300 laps")
    change(demo.parent / "tire.yaml", r"rate: 0.09 mm", "rate: 0.3 mm")
    code, said = say(capsys, "forecast", demo)
    laps = re.search(r"Of the 300 laps (\d+) can be told of", said)
    assert code == 0
    assert laps is not None
    assert 50 < int(laps[1]) < 150
    code, said = say(capsys, "advise", demo)
    assert code == 0
    assert NEVER_DRIVEN in said
    assert "cures about" not in said
    change(demo, r"run: 300 laps", f"run: {laps[1]} laps")
    assert NEVER_DRIVEN not in say(capsys, "advise", demo)[1]


def test_steep_banks_are_driven_as_others_are(demo, capsys):
    change(demo.parent / "track.yaml", r"bank: [\d.]+ deg", "bank: 26 deg")
    code, said = say(capsys, "forecast", demo)
    assert code == 0
    assert '"loose"' in said
    assert "80 laps can be driven" in said
    assert not re.search(r"\bnan\b|out of reach|comes from nowhere", said)
    code, said = say(capsys, "corner", demo)
    assert code == 0
    side = [float(one) for one in re.findall(r"([\d.]+) g ", said)]
    assert 1.3 < max(side) < 2.0


def test_a_log_of_another_car_keeps_nothing_and_loses_no_fit(demo, capsys, monkeypatch):
    monkeypatch.setattr(log_fit, "calibrate", calibrate_once)
    assert say(capsys, "calibrate", demo, demo_folder() / "run-practice.csv")[0] == 0
    before = files_in(demo.parent)
    log = demo.parent.parent / "theirs.csv"
    log.write_text("lap,RF hot pressure (psi)\n1,8\n2,8.2\n3,8.1\n", encoding="utf-8")
    code, said = say(capsys, "calibrate", demo, log)
    assert code != 0
    assert "RF" in said
    assert files_in(demo.parent) == before


def test_a_damaged_store_of_driven_cars_is_driven_anew(tmp_path):
    case, store = read_case("demo"), tmp_path / "driven"

    def drive():
        garage = Garage(case, folder=store, size=16)
        return garage.drive().values, garage.move({"stagger": 0.003}).after

    good, kept = drive(), files_in(store)
    for place, one in enumerate(kept):
        one.write_bytes((b"", b"nonsense", kept[one][:1000])[place % 3])
    for again, first in zip(drive(), good, strict=True):
        np.testing.assert_allclose(again, first)
    assert files_in(store).keys() == kept.keys()
    assert all(len(now) > 1000 for now in files_in(store).values())
