"""From a model's complaints to plain words: one mistake one problem, and no word of pydantic ever gets out."""

import re
from typing import Annotated, ClassVar, Literal, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BeforeValidator, Field
from pydantic_core.core_schema import ErrorType

from assistant.ground.problems import BadInput
from assistant.ground.read_model import (
    _SENTENCES,
    FileBlock,
    NumberOrText,
    Text,
    build,
    fields_at,
    say_error,
)
from assistant.ground.units import UnitProblem, read
from assistant.ground.yaml_file import parse_yaml
from assistant.rules.pack_files import KINDS


class Spring(FileBlock):
    corner: Literal["LF", "RF"]
    rate: Annotated[float, BeforeValidator(lambda text: read(text, "spring_rate").value)]
    note: Text | None = None


class Axle(FileBlock):
    as_written: ClassVar[tuple[str, ...]] = ("edition",)

    axle: Text
    edition: Text
    springs: list[Spring] = Field(min_length=1)
    sizes: dict[str, NumberOrText] = Field(default={})
    count: int = 1


GOOD = "axle: rear\nedition: 2026.10\nsprings:\n  - {corner: LF, rate: 225 lb/in}\n"


def says(text, model=Axle):
    with pytest.raises(BadInput) as caught:
        build(model, parse_yaml(text, "a.yaml"))
    return [f"{one.line}:{one.column}: {one.says}; {one.hint}" for one in caught.value.problems]


def test_a_good_file_becomes_its_model():
    made = build(Axle, parse_yaml(GOOD + "sizes: {a: 1.75, b: 012, c: 1 3/4 in}\n", "a.yaml"))
    assert made.edition == "2026.10"
    assert made.sizes == {"a": "1.75", "b": "12", "c": "1 3/4 in"}
    assert made.springs[0].rate == pytest.approx(39403.5, rel=1e-6)


def test_a_model_cannot_be_changed_later():
    made = build(Axle, parse_yaml(GOOD, "a.yaml"))
    with pytest.raises(ValueError, match="frozen"):
        made.axle = "front"


def test_a_misspelled_name_is_one_problem_and_not_also_a_missing_one():
    assert says(GOOD.replace("corner", "cornre")) == ["4:6: unknown field 'cornre'; did you mean 'corner'?"]


def test_two_misspelled_names_are_two_problems():
    assert says(GOOD.replace("corner", "cornre").replace("axle", "alxe")) == [
        "1:1: unknown field 'alxe'; did you mean 'axle'?",
        "4:6: unknown field 'cornre'; did you mean 'corner'?",
    ]


def test_a_missing_name_says_in_which_block():
    assert says(GOOD.replace("corner: LF, ", "")) == [
        "4:5: 'corner' is missing in entry 1 of 'springs'; add 'corner: ...' to it"
    ]


def test_a_line_at_the_wrong_depth_is_told_where_it_belongs():
    text = "axle: rear\nsprings:\n  - corner: LF\n    rate: 1\n    edition: 3\n"
    assert says(text) == [
        "5:5: unknown field 'edition'; 'edition' belongs beside 'springs': check the spaces before it"
    ]


def test_a_line_that_should_stand_deeper_is_told_where_it_belongs():
    text = "axle: rear\nedition: x\nrate: 225\nsprings:\n  - corner: LF\n"
    assert says(text) == ["3:1: unknown field 'rate'; 'rate' belongs inside 'springs': check the spaces before it"]


def test_a_value_with_a_wrong_unit_keeps_the_words_of_the_units():
    assert says(GOOD.replace("lb/in", "psi")) == [
        "4:24: 'rate': psi is a pressure, a spring rate is wanted; for example lb/in or N/mm"
    ]


def test_a_value_outside_the_allowed_words_shows_the_nearest_or_all():
    assert says(GOOD.replace("LF", "lf")) == ["4:14: 'lf' cannot be used for 'corner'; did you mean 'LF'?"]
    assert says(GOOD.replace("LF", "left")) == ["4:14: 'left' cannot be used for 'corner'; allowed: LF, RF"]


def test_an_empty_value_is_one_problem_whatever_was_wanted():
    assert says(GOOD.replace("rear", "")) == ["1:1: 'axle' has no value; write one, or leave the line out"]
    assert says(GOOD + "count:\n") == ["5:1: 'count' has no value; write one, or leave the line out"]


def test_even_an_optional_field_may_not_be_left_empty():
    assert says(GOOD.replace("225 lb/in", "225, note: ")) == [
        "4:29: 'note' has no value; write one, or leave the line out"
    ]


def test_a_text_cut_at_its_comma_is_told_to_use_quotes():
    assert says(GOOD.replace("225 lb/in", "225, note: stiff, but it works")) == [
        "4:42: a comma in { } starts a new field, and this is none; put quotes around the whole text"
    ]


def test_a_file_that_is_no_block_is_told_how_it_starts():
    assert says("- a\n") == ["1:1: this file must be lines of 'name: value'; it starts with 'axle: ...'"]


def test_all_problems_come_in_the_order_of_their_lines():
    text = "count: x\nsprings: 3\nedition: [a]\naxle: {b: c}\nwheels: 4\n"
    assert says(text) == [
        "1:8: 'count' must be a whole number, not 'x'; ",
        "2:10: 'springs' must be a list, not 3; write [one, two], or one entry a line with '- ' before it",
        "3:10: 'edition' must be text, not a list; write it as one text",
        "4:7: 'axle' must be text, not a block; write it as one text",
        "5:1: unknown field 'wheels'; allowed: axle, edition, springs, sizes, count",
    ]


PYDANTIC = re.compile(r"[Ii]nput should|valid|pydantic|\bNone\b|\bdict\b|\bstr\b|mapping|instance|exception")


# Everything pydantic may put beside an error, so that every sentence finds what it asks for.
CONTEXT = {
    "expected": "'a', 'b' or 'c'",
    "min_length": 2,
    "max_length": 3,
    "actual_length": 4,
    "gt": 1,
    "ge": 1,
    "lt": 1,
    "le": 1,
    "error": ValueError("is wrong; do better"),
}


@pytest.mark.parametrize("kind", get_args(ErrorType))
def test_no_type_of_error_shows_the_words_of_pydantic(kind):
    for found in ("y", 3, 2.5, True, None, [], {}):
        said = " ".join(say_error({"type": kind, "loc": ("x",), "input": found, "msg": "", "ctx": CONTEXT}, "x"))
        assert said.strip()
        assert not PYDANTIC.search(said)


def test_every_type_of_error_with_a_sentence_is_one_that_pydantic_knows():
    assert set(_SENTENCES) <= set(get_args(ErrorType))


def test_a_units_problem_inside_a_model_keeps_its_hint():
    detail = {"type": "value_error", "loc": ("x",), "input": "y", "msg": "", "ctx": {"error": UnitProblem("a", "b")}}
    assert say_error(detail, "x") == ("'x': a", "b")


def test_the_fields_of_any_block_can_be_listed():
    assert fields_at(Axle, ()) == ("axle", "edition", "springs", "sizes", "count")
    assert fields_at(Axle, ("springs", 0)) == ("corner", "rate", "note")
    assert fields_at(Axle, ("sizes", "a")) == ()
    assert fields_at(Axle, ("nothing", 1)) == ()


LEAVES = st.one_of(
    st.none(), st.booleans(), st.integers(-9, 9), st.floats(-9, 9), st.sampled_from(["loose", "up", "x"])
)


def wild(names):
    return st.recursive(
        LEAVES,
        lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(names, inner, max_size=4)),
        max_leaves=12,
    )


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=25)
@given(data=st.data())
def test_any_block_becomes_a_model_or_explains_itself(kind, data):
    names = st.sampled_from([*KINDS[kind].model_fields, "lever", "because", "id", "says", "x"])
    block = data.draw(st.dictionaries(names, wild(names), max_size=5))
    document = parse_yaml(to_yaml(block), "a.yaml")
    try:
        build(KINDS[kind], document)
    except BadInput as bad:
        problems = bad.problems
    else:
        return
    assert problems
    assert not PYDANTIC.search(" ".join(f"{one.says} {one.hint}" for one in problems))
    assert len({(one.line, one.column, one.says) for one in problems}) == len(problems)


def to_yaml(data):
    """Write data in one line of YAML."""
    if isinstance(data, dict):
        return "{" + ", ".join(f"{name}: {to_yaml(value)}" for name, value in data.items()) + "}"
    if isinstance(data, list):
        return "[" + ", ".join(map(to_yaml, data)) + "]"
    return {None: "~", True: "true", False: "false"}.get(data) if data is None or isinstance(data, bool) else str(data)
