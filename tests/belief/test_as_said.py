"""Whether the believed car is the one the driver speaks of; every screen and every JSON says when there is none."""

import json
from dataclasses import replace

import numpy as np
import pytest

from assistant.belief.believe import weigh_belief
from assistant.belief.cures import want
from assistant.belief.garage import Garage
from assistant.belief.known import Known, rows_of_complaint, usual_rows
from assistant.belief.look_ahead import look_ahead
from assistant.belief.model import COLD
from assistant.belief.picture import Picture, Told, believe_told, gather, read_picture
from assistant.car.files import read_case
from assistant.cli import main
from assistant.diagnosis.hearing import complaint_of, read
from assistant.ground.folders import demo_folder
from assistant.ground.names import PHASES, STAGES, Grid
from assistant.ground.understood import Cell, Complaint
from assistant.pages.balance import (
    BANDS,
    NOT_BELIEVED,
    NOT_WHERE_SAID,
    basis_words,
    believed_table,
    doubts_of,
    picture_data,
)
from assistant.pages.forecast import part_screen
from tests.conftest import DRIVEN

SHUT = "No plausible car does all that is known."
LEVEL = Grid.level(dict.fromkeys(PHASES, 0.0))


def picture(said, **exits):
    row = {"fresh": 0.0, "settled": 0.0, "worn": 0.0} | exits
    value = Grid.of({"entry": dict(LEVEL["entry"]), "middle": dict(LEVEL["middle"]), "exit": row})
    return Picture(value, value, value, said=said)


def test_a_balance_that_goes_another_way_than_the_words_is_told():
    turned = picture({("exit", "fresh"): "loose", ("exit", "worn"): "loose"}, fresh=0.4, worn=-0.8)
    assert doubts_of(turned) == (
        "You said loose coming off fresh; the numbers have it 0.4 tight coming off fresh: the sizes are less sure.",
    )


@pytest.mark.parametrize(
    "said", [{("exit", "worn"): "loose"}, {("exit", "worn"): "loose", ("exit", "fresh"): "fine"}, {}]
)
def test_a_balance_that_goes_the_way_of_the_words_is_not(said):
    assert doubts_of(picture(said, fresh=-0.3, worn=-0.8)) == ()


def test_gauges_that_are_not_believed_are_told():
    with_gauges = Picture(LEVEL, LEVEL, LEVEL, left_out=("tread RF at 40",))
    assert doubts_of(with_gauges) == (NOT_BELIEVED,)


@pytest.mark.parametrize(
    ("rows", "named"),
    [
        (("exit worn change", "exit settled change"), "what the change did coming off"),
        (("exit worn", "tread RF at 40"), "your word for coming off; tread RF at 40"),
        (
            ("entry fresh implied", "exit worn unsaid"),
            "that nothing is wrong getting in; that nothing is wrong coming off",
        ),
    ],
)
def test_what_stands_in_the_way_is_named_once_each(rows, named):
    shut = Picture(LEVEL, LEVEL, LEVEL, shut=True, against=rows)
    assert f"Most in the way: {named}. So no number" in doubts_of(shut)[0]


@pytest.fixture(scope="module")
def too_hot(tmp_path_factory):
    """The demo on steep banking, with a tire that keeps all its heat and whose grip goes with it."""
    folder = tmp_path_factory.mktemp("hot")
    changes = {
        "track: track": "track: track-steep",
        "heat share: 50 %": "heat share: 100 %",
        "lost 20 F off: 0.4 %": "lost 20 F off: 2 %",
    }
    for one in demo_folder().glob("*.yaml"):
        text = one.read_text(encoding="utf-8")
        for line, instead in changes.items() if one.stem in {"demo", "tire"} else ():
            text = text.replace(line, instead)
        (folder / one.name).write_text(text, encoding="utf-8")
    return str(folder / "demo.yaml")


COMMANDS = {
    "advise": ["advise", "CASE"],
    "levers": ["levers", "CASE"],
    "one lever": ["levers", "CASE", "stagger"],
    "forecast": ["forecast", "CASE"],
    "a part of the forecast": ["forecast", "CASE", "drift"],
    "the whole forecast": ["forecast", "CASE", "all"],
    "try": ["try", "CASE", "stagger+=1/8in"],
    "corner": ["corner", "CASE"],
    "the page": ["sheet", "CASE", "-o", "-", "--format", "markdown"],
}


@pytest.mark.parametrize("words", COMMANDS.values(), ids=COMMANDS.keys())
def test_every_command_that_shows_numbers_says_so(too_hot, capsys, words):
    assert main([too_hot if word == "CASE" else word for word in words]) == 0
    assert SHUT in " ".join(capsys.readouterr().out.split())
    main(["demo" if word == "CASE" else word for word in words])
    assert SHUT not in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize("words", [COMMANDS[name] for name in ("advise", "levers", "forecast", "try", "corner")])
def test_and_so_does_their_json(too_hot, capsys, words):
    main([*(too_hot if word == "CASE" else word for word in words), "--json"])
    data = json.loads(capsys.readouterr().out)["as_said"]
    assert data["holds"] is False
    assert SHUT in data["doubts"][0]


def test_where_no_plausible_car_does_what_is_known_no_number_of_the_balance_is_shown(too_hot, capsys):
    main(["levers", too_hot, "stagger", "cross_weight", "--json"])
    found = json.loads(capsys.readouterr().out)["levers"]
    assert {one["effect"] for one in found.values()} == {None}
    main(["corner", too_hot, "--json"])
    assert '"balance": null' in capsys.readouterr().out
    assert main(["advise", too_hot, "--json"]) == 0
    remedies = json.loads(capsys.readouterr().out)["remedies"]
    assert remedies
    assert all(one["removes"] is one["effect"] is one["confidence"] is None for one in remedies)


def test_words_of_cold_tires_and_restarts_have_the_first_two_laps_shown(knowledge):
    case = read_case("demo")
    garage = Garage(case, folder=DRIVEN, size=32)
    for words, cold in (
        ("loose off on cold tires", True),
        ("tight in on the restarts", True),
        ("loose off late", False),
    ):
        complaint = complaint_of(read(words, knowledge, case.run_laps))
        shown = read_picture(
            weigh_belief(garage, *gather(case, [Told(case.setup, complaint)], case.setup, (), case.setup))
        )
        assert bool(shown.cold) is cold, words
        assert ("Computed on cold tires, laps 1 and 2: " in believed_table(shown).sentence) is cold
        assert ("cold" in picture_data(shown)["exit"]) is cold


def test_cold_tires_are_computed_apart_from_the_laps_after_them():
    garage = Garage(read_case("demo"), folder=DRIVEN, size=32)
    belief = weigh_belief(garage, Known(usual_rows()), "")
    cold, fresh = (belief.read("tread RF", stage) for stage in (COLD, "fresh"))
    assert (cold < fresh - 5.0).all()
    assert not np.allclose(belief.read("balance exit", COLD), belief.read("balance exit", "fresh"), atol=0.05)


def test_words_of_cold_tires_are_evidence_of_those_laps_alone(knowledge):
    case = read_case("demo")
    complaint = complaint_of(read("tight in on cold tires the first laps", knowledge, case.run_laps))
    rows = {row.id: row for row in rows_of_complaint(complaint)}
    assert rows["entry cold"].terms[0].at == COLD
    assert rows["entry fresh unsaid"].kind == "unsaid"
    belief = believe_told(case, [Told(case.setup, complaint)], Garage(case, folder=DRIVEN))
    assert belief.mean(belief.read("balance entry", COLD)) > 0.2
    shown = read_picture(belief)
    assert shown.said == {("entry", COLD): "tight"}
    assert 'laps 1 and 2: "tight" ' in believed_table(shown).sentence
    assert picture_data(shown)["entry"]["cold"]["said"] == "tight"
    wanted = want(belief, complaint)
    (place,) = np.flatnonzero(wanted.wrong)
    assert wanted.before[place] == pytest.approx(belief.read("balance entry", COLD))


def test_words_of_each_end_stand_with_that_end(knowledge):
    case = read_case("demo")
    ways = zip(("tight", "loose"), (end.id for end in case.track.ends), strict=True)
    cells = [Cell("exit", stage, way, 3.0, False, end) for way, end in ways for stage in STAGES]
    complaint = Complaint("tight off in turns 1 and 2, loose off in 3 and 4", tuple(cells))
    ahead = look_ahead(
        case, believe=lambda one: believe_told(one, [Told(one.setup, complaint)], Garage(one, folder=DRIVEN))
    )
    first, second = ahead.ends.values()
    assert first.said["exit", "worn"] == "tight"
    assert second.said["exit", "worn"] == "loose"
    assert first.value["exit"]["worn"] > 0.2 > -0.2 > second.value["exit"]["worn"]
    said = shown_text(part_screen("", ahead, knowledge, "trade", lambda *_: None))
    assert "Balance at each end" in said
    assert '"tight" ' in said
    assert "mean of both ends" not in said
    assert "It stands where the driver says" in said


def test_ends_that_are_alike_cannot_stand_apart_and_that_is_said():
    there = {"turns 1-2": picture({("exit", "worn"): "loose"}, worn=0.2), "turns 3-4": picture({}, worn=0.2)}
    apart = replace(picture({}, worn=0.2), ends=there, told=True, spoken=True)
    numbers = "the numbers have it 0.2 tight coming off late, turns 1-2: the sizes are less sure."
    assert doubts_of(apart) == (f"You said loose coming off late, turns 1-2; {numbers}",)
    assert basis_words(apart) == (NOT_WHERE_SAID,)
    assert basis_words(replace(apart, ends={})) == (BANDS,)


def shown_text(blocks):
    parts = [one.text if hasattr(one, "text") else " ".join([one.caption, *map(" ".join, one.rows)]) for one in blocks]
    return " ".join(parts)


@pytest.mark.parametrize(
    ("said", "kind", "left_open"),
    [("loose off", "some time", False), ("loose off all run long", "cell", False), ("loose late", "contrast", True)],
)
def test_a_row_knows_whether_where_and_when_were_said(said, kind, left_open, knowledge):
    rows = rows_of_complaint(complaint_of(read(said, knowledge)))
    assert {(row.kind, row.left_open) for row in rows if row.kind not in {"unsaid", "implied"}} == {(kind, left_open)}
