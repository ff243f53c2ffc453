"""What the strict reader makes of YAML, with both parsers, and that nothing hurts it."""

import gc
import time
import tracemalloc

import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from assistant.ground import yaml_file
from assistant.ground.problems import BadInput
from assistant.ground.yaml_file import explain_parser, parse_yaml, pause_collector, read_yaml

LOADERS = [yaml.SafeLoader, *([yaml.CSafeLoader] if yaml.__with_libyaml__ else [])]
both_parsers = pytest.mark.parametrize("loader", LOADERS, ids=lambda loader: loader.__name__)

PADDOCK = [
    ("1:32.4", "1:32.4"),
    ("52:48", "52:48"),
    ("3:1", "3:1"),
    ("on", "on"),
    ("off", "off"),
    ("yes", "yes"),
    ("no", "no"),
    ("No", "No"),
    ("y", "y"),
    ("True", "True"),
    ("012", 12),
    ("2_000", "2_000"),
    ("2026-11-25", "2026-11-25"),
    ("0x1f", "0x1f"),
    ("0o17", "0o17"),
    ("1e3", 1000.0),
    ("-4", -4),
    ("+4", 4),
    (".5", 0.5),
    ("1.", 1.0),
    ("inf", "inf"),
    ("nan", "nan"),
    ("true", True),
    ("false", False),
    ("~", None),
    ("null", None),
    ("", None),
    ("'12'", "12"),
    ('"no"', "no"),
    ("225 lb/in", "225 lb/in"),
    ("9 1/2 in", "9 1/2 in"),
    ("50.2 %", "50.2 %"),
    ("=", "="),
]


@both_parsers
@pytest.mark.parametrize(("written", "meant"), PADDOCK)
def test_words_of_the_paddock_keep_their_meaning(written, meant, loader):
    found = parse_yaml(f"value: {written}\n", "a.yaml", loader=loader).data["value"]
    assert found == meant
    assert type(found) is type(meant)


@both_parsers
def test_every_name_and_value_has_its_place(loader):
    document = parse_yaml("a: 1\nb:\n  - x\n  - {c: y, d: z}\n", "a.yaml", loader=loader)
    assert document.data == {"a": 1, "b": ["x", {"c": "y", "d": "z"}]}
    assert document.places == {
        (): (1, 1),
        ("a",): (1, 4),
        ("b",): (3, 3),
        ("b", 0): (3, 5),
        ("b", 1): (4, 5),
        ("b", 1, "c"): (4, 9),
        ("b", 1, "d"): (4, 15),
    }
    assert document.keys == {("a",): (1, 1), ("b",): (2, 1), ("b", 1, "c"): (4, 6), ("b", 1, "d"): (4, 12)}


@both_parsers
def test_columns_count_letters_and_not_bytes(loader):
    assert parse_yaml("größe: über, naïve 🏁\n", "a.yaml", loader=loader).places[("größe",)] == (1, 8)


def test_a_place_that_is_not_there_is_answered_by_the_block_around_it():
    document = parse_yaml("a:\n  b: 1\n", "a.yaml")
    assert document.place(("a", "missing", 3)) == (2, 3)


def test_digits_are_kept_as_they_were_written():
    document = parse_yaml("edition: 2026.10\nn: 012\ntext: '7'\n", "a.yaml")
    assert document.written == {("edition",): "2026.10", ("n",): "012"}


@both_parsers
@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
def test_all_line_ends_count_alike(ends, loader):
    document = parse_yaml(ends.join(["a: 1", "b: 2", ""]), "a.yaml", loader=loader)
    assert document.keys[("b",)] == (2, 1)


def test_a_byte_order_mark_at_the_start_is_no_mistake():
    assert parse_yaml("\ufeffa: 1\n", "a.yaml").data == {"a": 1}


def test_one_document_start_is_no_mistake():
    assert parse_yaml("---\na: 1\n...\n", "a.yaml").data == {"a": 1}


@both_parsers
@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("'': 1\n", "a name is missing before this ':'"),
        (": 1\n", "a name is missing before this ':'"),
        ("a: |x\n  b\n", "something stands behind the '|' or '>'"),
        ('a: "\\xzz"\n', "a '\\' in this text lacks its digits"),
        ("a: }\n", "something is missing or too much here"),
        ("a: [x,,y]\n", "something is missing or too much here"),
        ("a: 1\n...\nb: 2\n", "this stands outside of everything above it"),
        ("a: !\n", "a text cannot start with '!'"),
        ("a: &\n", "a text cannot start with '*' or '&'"),
    ],
)
def test_rarer_mistakes_have_their_own_words(text, says, loader):
    with pytest.raises(BadInput) as caught:
        parse_yaml(text, "a.yaml", loader=loader)
    assert caught.value.problems[0].says == says


def test_a_complaint_nobody_foresaw_still_has_plain_words():
    unforeseen = yaml.scanner.ScannerError(problem="frobnicated", problem_mark=None)
    for error in (unforeseen, yaml.YAMLError()):
        said = explain_parser(error, "a.yaml", ("a: 1",))
        assert (said.line, said.says) == (1, "this is not YAML that can be read")


def test_all_doubled_names_of_a_file_come_at_once():
    with pytest.raises(BadInput) as caught:
        parse_yaml("a: 1\na: 2\nb: {c: 1, c: 2}\n", "a.yaml")
    assert [(one.line, one.says) for one in caught.value.problems] == [
        (2, "'a' is written twice here"),
        (3, "'c' is written twice here"),
    ]


def message(path, **options):
    with pytest.raises(BadInput) as caught:
        read_yaml(path, **options)
    return str(caught.value)


def test_a_missing_file_says_so(tmp_path):
    assert message(tmp_path / "no.yaml", shown="no.yaml") == (
        "no.yaml: there is no such file\n    check the name and the folder it stands in"
    )


def test_a_folder_is_not_a_file(tmp_path):
    assert message(tmp_path, shown="here").startswith("here: this is not an ordinary file")


def test_a_name_that_no_system_takes_says_so():
    assert "cannot be opened" in message("a\0b.yaml", shown="a") or "no such file" in message("a\0b.yaml", shown="a")


def test_a_file_over_one_megabyte_is_refused(tmp_path):
    (tmp_path / "big.yaml").write_bytes(b"#" * 1_000_001)
    assert message(tmp_path / "big.yaml", shown="big.yaml") == (
        "big.yaml: the file is larger than 1 MB\n    split it into several files"
    )


def test_a_file_in_another_encoding_says_where(tmp_path):
    (tmp_path / "old.yaml").write_bytes("a: 1\nname: größe\n".encode("latin-1"))
    assert message(tmp_path / "old.yaml", shown="old.yaml") == (
        "old.yaml:2:1: the file is not UTF-8 text\nsave it as UTF-8"
    ).replace("\nsave", "\n    save")


def test_at_most_twenty_problems_are_reported():
    with pytest.raises(BadInput) as caught:
        parse_yaml("a: 1\n" * 500, "a.yaml")
    assert len(caught.value.problems) == 20


def test_the_slow_parser_is_used_when_the_fast_one_is_missing():
    assert yaml_file.LOADER is (yaml.CSafeLoader if yaml.__with_libyaml__ else yaml.SafeLoader)


def test_the_collector_comes_back_after_a_failure():
    assert gc.isenabled()
    try:
        with pause_collector():
            was_on = gc.isenabled()
            1 / 0  # noqa: B018 - the failure
    except ZeroDivisionError:
        pass
    assert (was_on, gc.isenabled()) == (False, True)


@pytest.mark.skipif(not yaml.__with_libyaml__, reason="libyaml itself stops at a thousand brackets")
def test_the_fast_parser_stops_at_a_thousand_brackets_in_plain_words():
    with pytest.raises(BadInput) as caught:
        parse_yaml("{" * 3000, "a.yaml", loader=yaml.CSafeLoader)
    assert caught.value.problems[0].says == "too many brackets stand inside one another"


HOSTILE = {
    "brackets": "[" * 900_000,
    "braces": "{" * 900_000,
    "dashes": "- " * 400_000,
    "questions": "? " * 400_000,
    "many values": "- a\n" * 240_000,
    "many names": "".join(f"k{number}: 1\n" for number in range(80_000)),
    "one long text": 'a: "' + "x" * 900_000 + '"',
    "one long name": "x" * 900_000 + ": 1",
    "anchors": "".join(f"k{number}: &a{number} 1\n" for number in range(50_000)),
    "aliases": "a: [" + "*a, " * 200_000,
    "control characters": "\x01" * 900_000,
    "escapes": 'a: "' + "\\x01" * 200_000 + '"',
    "tabs": "\t\n" * 400_000,
    "colons": "a: " + "b:" * 300_000,
    "comments": "#" * 999_000,
    "stairs": "\n".join(" " * step + "a:" for step in range(1300)),
    "digits": "a: " + "9" * 900_000,
    "quotes": "a: " + "''" * 400_000,
    "bombs": "".join(f"{chr(97 + n)}: &{chr(97 + n)} [{', '.join(['*' + chr(96 + n)] * 9)}]\n" for n in range(1, 25)),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_refused_quickly_and_in_little_memory(name):
    tracemalloc.start()
    began = time.process_time()
    with pytest.raises(BadInput):
        parse_yaml(HOSTILE[name], "a.yaml")
    took = time.process_time() - began
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert took < 4  # seconds, tracing memory makes it three times slower; the slowest takes about 0.3 s without
    assert peak < 80_000_000  # bytes


def refuses_or_reads(text, loader):
    rows = text.replace("\r\n", "\n").replace("\r", "\n").count("\n") + 1
    try:
        return parse_yaml(text, "a.yaml", loader=loader).data
    except BadInput as bad:
        problems = bad.problems
    assert problems
    assert all(one.says and one.line <= rows for one in problems)
    return None


YAML_LIKE = st.text(alphabet=st.sampled_from(list("ab01 :-#,[]{}&*!|>'\"%@`?\n\t.~<=\\é\u202e")), max_size=60)


@given(text=st.one_of(st.text(max_size=200), YAML_LIKE))
@example("a: |1-x\n")
@example("%TAG ! x\n---\n")
@example("? a\n")
@example("\ufeff\ufeff")
@example("\ud800")
@example("|#\n")  # one parser reads this, the other refuses it; both are right to
def test_any_text_loads_or_explains_itself_and_both_parsers_never_read_it_differently(text):
    read = [refuses_or_reads(text, loader) for loader in LOADERS]
    assert None in read or read[0] == read[-1]
