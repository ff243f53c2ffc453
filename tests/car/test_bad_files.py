"""Every mistake a person can make in a file of the car: what is said, and where."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from assistant.car.files import read_car, read_case, read_rulebook, read_setup, read_tire, read_track
from assistant.ground.problems import BadInput
from tests.car.samples import changed, complaints, demo_text, written

MISTAKES = yaml.safe_load((Path(__file__).parent / "mistakes.yaml").read_text(encoding="utf-8"))
READ = {
    "setup": ("setup-demo", read_setup),
    "setup of this car": ("setup-demo", lambda file: read_setup(file, read_case("demo").car)),
    "car": ("car", read_car),
    "tire": ("tire", read_tire),
    "track": ("track", read_track),
    "rulebook": ("rulebook", read_rulebook),
    "case": ("demo", read_case),
}
"""The file of the demo, and who reads it."""


@pytest.mark.parametrize(("kind", "what"), [(kind, what) for kind, rows in MISTAKES.items() for what in rows])
def test_a_file_with_a_mistake_is_refused_in_words_that_help(tmp_path, kind, what):
    (name, reader), row = READ[kind], MISTAKES[kind][what]
    text = row.get("text", changed(name, *row.get("change", {}).items()) + row.get("added", ""))
    says = row["says"] if isinstance(row["says"], list) else [row["says"]]
    assert complaints(reader, written(tmp_path, text)) == says


def test_a_missing_group_is_asked_for(tmp_path):
    text = re.sub(r"\nrear:.*?(?=\nmiddle:)", "", demo_text("setup-demo"), flags=re.DOTALL)
    assert complaints(read_setup, written(tmp_path, text)) == [
        "setup: 'rear' is missing in this file / add a line 'rear: ...'"
    ]


def test_the_mistakes_of_all_files_of_a_case_are_told_at_once(tmp_path):
    written(tmp_path, changed("car", ("2900 lb", "2900 psi")), "car")
    written(tmp_path, changed("tire", ("peak: 1.04", "peak: 11")), "tire")
    case = written(tmp_path, changed("demo", ("track: track", "track: nowhere-at-all")))
    said = complaints(read_case, case)
    assert len(said) == 3
    assert said[0].startswith("on the scales: 'on the scales'")


def test_a_bar_thinner_than_its_bore_is_refused(tmp_path):
    car = read_car(written(tmp_path, changed("car", ("bar bore: 0 in", "bar bore: 1.5 in")), "car"))
    path = written(tmp_path, demo_text("setup-demo"))
    assert complaints(lambda file: read_setup(file, car), path) == [
        (
            "bar: the front bar's outside diameter is not more than its bore, 1.50 in / bore:"
            " front end: bar bore of the car file"
        )
    ]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("demoo", "-: there is no such case file / did you mean 'demo'?"),
        ("nothing at all", "-: there is no such case file / allowed: demo, demo-tight, demo-snap"),
    ],
)
def test_a_case_nobody_knows_is_refused_with_the_names_there_are(monkeypatch, tmp_path, name, expected):
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path))
    assert complaints(read_case, name) == [expected]


def test_a_folder_is_not_a_case(tmp_path):
    assert complaints(read_case, tmp_path) == [
        "-: this is a folder, a case file is wanted / or one of: demo, demo-tight, demo-snap"
    ]


def test_a_problem_says_file_line_and_column_and_points_at_the_value(tmp_path):
    path = written(tmp_path, "setup: short\nright rear:\n  spring: 225 psi\n")
    with pytest.raises(BadInput) as bad:
        read_setup(path)
    found = next(one for one in bad.value.problems if one.says.startswith("'spring'"))
    assert found.text() == (
        f"{path}:3:11: 'spring': psi is a pressure, a spring rate is wanted\n"
        "      spring: 225 psi\n"
        "              ^ for example lb/in or N/mm"
    )
