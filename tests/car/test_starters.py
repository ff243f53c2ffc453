"""Starter files: every key is in them with its meaning, and they load as they are."""

from __future__ import annotations

import re

import pytest

from assistant.car import files
from assistant.car.file_keys import END_KEYS, LAP_TIME_KEY, MEASURED_KEYS, TREAD_KEY
from assistant.car.files import FILE_KINDS, read_case
from assistant.car.keys import PLACES, SETUP_KEYS, limit_paths
from assistant.car.write import starter
from assistant.ground.yaml_file import parse_yaml
from tests.car.samples import TABLES

KEYS = {kind: TABLES.get(kind, ()) for kind in FILE_KINDS}


@pytest.mark.parametrize("kind", FILE_KINDS)
@pytest.mark.parametrize("system", ["trade", "si"])
def test_a_starter_loads_as_it_is(tmp_path, kind, system):
    path = tmp_path / f"{kind}.yaml"
    path.write_text(starter(kind, system), encoding="utf-8")
    assert getattr(files, f"read_{kind}")(path)


@pytest.mark.parametrize("kind", FILE_KINDS)
def test_a_starter_holds_and_explains_every_key(kind):
    text = starter(kind)
    document = parse_yaml(text, kind)
    for key in KEYS[kind]:
        asleep = key.unknown and f"# {key.path[-1]}:" in text  # not known on the demo: shown without a number
        assert key.path in document.places or asleep, key.words
        assert f"# {key.meaning}" in text
    if kind == "rulebook":
        assert all(document.places.keys() & set(limit_paths(row)) for row in SETUP_KEYS)
    if kind == "track":
        assert all(("ends", 0, key.path[-1]) in document.places and f"# {key.meaning}" in text for key in END_KEYS)


def test_the_sleeping_lines_of_the_case_starter_load_when_woken(tmp_path):
    head, sleeping = starter("case").split("# answers:")
    woken = "".join(line.removeprefix("# ") + "\n" for line in f"# answers:{sleeping}".splitlines())
    path = tmp_path / "case.yaml"
    path.write_text(head + woken, encoding="utf-8")
    case = read_case(path)
    assert case.answers == {"where": "exit"}
    assert set(case.measured.temperatures) == {"LF", "RF", "LR", "RR"}
    assert None not in (case.measured.laps, case.measured.fuel_used, case.measured.steering, case.measured.rpm_max)
    for key in (TREAD_KEY, LAP_TIME_KEY, *MEASURED_KEYS):
        assert f"# {key.meaning}" in starter("case")


def test_the_corner_weights_a_setup_starter_speaks_of_can_be_used(tmp_path):
    text = starter("setup")
    weights = [f"{number} lb" for number in re.findall(r"(\d+) lb(?! *in|/)", text.split("\nsetup:")[0])]
    assert len(weights) == 4
    for place, weight in zip(PLACES, weights, strict=False):
        text = text.replace(f"\n{place}:\n", f"\n{place}:\n  weight: {weight}\n")
    path = tmp_path / "setup.yaml"
    path.write_text(re.sub(r"\n  (nose|left|cross) weight: [^\n]*", "", text), encoding="utf-8")
    assert files.read_setup(path, read_case("demo").car).values["cross_weight"] == pytest.approx(0.51, abs=0.001)


def test_a_starter_of_nothing_is_our_own_mistake():
    with pytest.raises(ValueError, match="no file is called 'engine'"):
        starter("engine")
