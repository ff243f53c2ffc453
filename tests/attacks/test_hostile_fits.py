"""Fit files beside a case, and what stands where one would be written: huge, of another kind, impossible, no file."""

import os

import numpy as np
import pytest

from assistant.belief.model import read_model
from assistant.car.case import Fit, put_fit
from assistant.car.file_keys import FIT_KEYS
from assistant.car.files import read_case
from assistant.cli import BAD_INPUT, main
from assistant.ground.folders import demo_folder
from assistant.ground.problems import BadInput
from assistant.ground.units import read
from assistant.shell import keep as module
from tests.demo_table import forecast_setups

CASE = "case: mine\ncar: car\ntire: tire\ntrack: track\nrulebook: rulebook\nsetup: setup-demo\nrun: 80 laps\nfit: x\n"
WEAR = "wear:\n  rate: 0.1 mm per MJ\n"
not_windows = pytest.mark.skipif(os.name == "nt", reason="links and pipes are made differently there")


@pytest.fixture
def told(tmp_path, monkeypatch):
    """What the case with this fit is refused with, without the folder's name."""
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path / "own"))
    (tmp_path / "mine.yaml").write_text(CASE, encoding="utf-8")

    def read_it():
        with pytest.raises(BadInput) as refused:
            read_case(tmp_path / "mine.yaml")
        return [problem.text().replace(f"{tmp_path}/", "") for problem in refused.value.problems]

    return read_it


@pytest.mark.parametrize("kind", ["car", "tire", "track", "rulebook"])
def test_a_file_of_another_kind_in_place_of_the_fit_is_one_sentence(tmp_path, told, kind):
    text = (demo_folder() / f"{kind}.yaml").read_text(encoding="utf-8")
    (tmp_path / "x.yaml").write_text(text, encoding="utf-8")
    (only,) = told()
    assert f": this is a {kind} file, a fit file is wanted\n" in only


def test_a_fit_in_place_of_the_tire_is_one_sentence_too(tmp_path, told):
    (tmp_path / "tire.yaml").write_text(f"fit: x\n{WEAR}", encoding="utf-8")
    assert told() == ["tire.yaml:1:1: this is a fit file, a tire file is wanted\n    fit: x"]


def test_the_case_itself_is_no_fit(tmp_path, told):
    (tmp_path / "mine.yaml").write_text(CASE.replace("fit: x", "fit: mine"), encoding="utf-8")
    assert told() == ["mine.yaml:1:1: this is a case file, a fit file is wanted\n    case: mine"]


@not_windows
@pytest.mark.parametrize("make", [os.mkdir, os.mkfifo, lambda path: path.symlink_to("x.yaml")])
def test_what_is_no_ordinary_file_is_named_and_not_opened(tmp_path, told, make):
    make(tmp_path / "x.yaml")
    (only,) = told()
    assert only.split("\n") == [
        "mine.yaml:8:6: the fit file 'x' is no ordinary file that can be read",
        "    fit: x",
        "         ^ a folder, a pipe or a broken link stands there",
    ]


def test_a_huge_fit_is_not_read(tmp_path, told):
    with (tmp_path / "x.yaml").open("wb") as stream:
        stream.truncate(2 * 1024**3)  # takes no room on the disk
    assert told() == ["x.yaml: the file is larger than 1 MB\n    split it into several files"]


def test_a_fit_one_may_not_read_says_so(tmp_path, told, monkeypatch):
    (tmp_path / "x.yaml").write_text(f"fit: x\n{WEAR}", encoding="utf-8")
    opened = type(tmp_path).open

    def refuse(path, *words, **more):
        if path.name == "x.yaml":
            raise PermissionError(13, "Permission denied")
        return opened(path, *words, **more)

    monkeypatch.setattr(type(tmp_path), "open", refuse)
    assert told() == ["x.yaml: the file cannot be opened: Permission denied"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "x.yaml: the file is empty"),
        ("[1, 2]\n", "x.yaml:1:1: this file must be lines of 'name: value'"),
        (f"fit: [a]\n{WEAR}", "x.yaml:1:6: 'fit' must be text, not a list"),
        (f"fit: x\ntire: [1]\n{WEAR}", "x.yaml:2:7: 'tire' must be text, not a list"),
        (f"fit: x\nunits: furlong\n{WEAR}", "x.yaml:2:8: 'furlong' cannot be used for 'units'"),
        ("fit: x\nwear: 3\n", "x.yaml:2:7: 'wear' must be a block of names and values, not 3"),
        ("fit: x\nwear: {rate: 5 psi}\n", "x.yaml:2:14: 'rate': say how much per what"),
        ("fit: x\nwear: {rate: .nan}\n", "x.yaml:2:14: '.nan' is not a number one can compute with"),
        ("fit: x\nwear: {rate: 1e300 mm per MJ}\n", "x.yaml:2:14: 'rate': '1e300 mm' is too large to be meant"),
        (
            "fit: x\nwear: {rate: -1 mm per MJ}\n",
            "x.yaml:2:14: 'rate': -1 mm per MJ is below what is possible, 0 mm per MJ to 10 mm per MJ",
        ),
        (
            "fit: x\ntemperature: {cooling still: 0 W/K, cooling per speed: 0 W/K per m/s}\n",
            "x.yaml:2:30: 'cooling still': 0 W/K is below what is possible, 1 W/K to 500 W/K",
        ),
        (f"fit: x\nfoo: 3\n{WEAR}", "x.yaml:2:1: unknown field 'foo'"),
        ("fit: x\n", "x.yaml:1:1: this fit holds no values"),
        (
            f"fit: x\ntire: other\n{WEAR}",
            "mine.yaml:8:6: this fit was made for the tire 'other', the case uses 'demo-tire'",
        ),
    ],
)
def test_a_fit_that_cannot_be_meant_is_one_problem_with_its_place(tmp_path, told, text, says):
    (tmp_path / "x.yaml").write_text(text, encoding="utf-8")
    (only,) = told()
    assert only.split("\n")[0] == says


def test_bytes_that_are_no_text_are_one_problem(tmp_path, told):
    (tmp_path / "x.yaml").write_bytes(b"\x00\x01\xff")
    assert told() == ["x.yaml:1:1: the file is not UTF-8 text\n    save it as UTF-8"]


@pytest.mark.parametrize("end", ["low", "high"])
@pytest.mark.filterwarnings("error")
def test_every_number_at_the_end_of_its_range_gives_finite_numbers_or_says_there_is_no_steady_state(end):
    demo = read_case("demo")
    values = {one.field: read_end(one, getattr(one, end)) for one in FIT_KEYS}
    (found,) = forecast_setups(read_model(put_fit(demo, Fit("x", "", "", values))), [demo.setup])
    balance = np.array([list(row.values()) for row in found.balance.values()])
    assert np.isfinite(balance).all() or not found.steady


def read_end(key, text):
    """SI value of one end of a key's range."""
    amount, _, per = text.partition(" per ")
    return read(amount, key.kind).value / (read(f"1 {per}", key.per).value if per else 1.0) * key.scale


@not_windows
@pytest.mark.parametrize("make", [os.mkfifo, os.mkdir, lambda path: path.write_text("setup: mine-fit\n")])
def test_calibrating_writes_over_no_other_file(tmp_path, told, capsys, monkeypatch, make):
    (tmp_path / "mine.yaml").write_text(CASE.replace("fit: x\n", ""), encoding="utf-8")
    make(tmp_path / "mine-fit.yaml")
    before = (tmp_path / "mine-fit.yaml").lstat()
    kept, said = module.keep_fit(
        read_case(tmp_path / "mine.yaml"), Fit("mine-fit", "log", "", {"fuel_use": 1e-7}), "si", {}
    )
    place = tmp_path / "mine-fit.yaml"
    assert not kept
    assert said == [f"Not kept: {place} is there already and is no fit; rename it or take it away."]
    after = place.lstat()
    assert (after.st_ino, after.st_mode, after.st_size) == (before.st_ino, before.st_mode, before.st_size)
    assert "fit:" not in (tmp_path / "mine.yaml").read_text(encoding="utf-8")


def test_calibrating_again_mends_a_fit_with_a_fault(tmp_path, told):
    (tmp_path / "mine.yaml").write_text(CASE.replace("fit: x\n", ""), encoding="utf-8")
    (tmp_path / "mine-fit.yaml").write_text("fit: mine-fit\nwear: 3\n", encoding="utf-8")
    kept, said = module.keep_fit(
        read_case(tmp_path / "mine.yaml"), Fit("mine-fit", "log", "", {"fuel_use": 1e-7}), "si", {}
    )
    assert kept
    assert said[0].startswith(f"Kept in {tmp_path / 'mine-fit.yaml'}")
    assert read_case(tmp_path / "mine.yaml").fit.values == {"fuel_use": pytest.approx(1e-7)}


def test_the_command_ends_with_bad_input_and_not_with_a_traceback(tmp_path, told, capsys):
    (tmp_path / "x.yaml").write_text("fit: x\nwear: 3\n", encoding="utf-8")
    assert main(["levers", str(tmp_path / "mine.yaml"), "stagger"]) == BAD_INPUT
    assert "x.yaml:2:7: 'wear' must be a block of names and values, not 3" in capsys.readouterr().err
