import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.ground.problems import in_encoding, shown, shown_json


def test_an_escape_is_shown_as_caret_bracket():
    assert shown("\x1b[2J gone") == "^[[2J gone"


def test_a_direction_mark_is_shown_by_its_number():
    assert shown("abc\u202edef") == "abc<U+202E>def"


def test_bell_delete_and_c1_are_shown_by_their_numbers():
    assert shown("\x07\x7f\x9b") == "<U+0007><U+007F><U+009B>"


def test_a_line_break_becomes_a_space_so_that_no_pack_can_forge_a_line():
    assert shown("one\nHalfturn: two") == "one Halfturn: two"


@pytest.mark.parametrize(
    "code", [0x00AD, 0x034F, 0x115F, 0x180E, 0x200C, 0x200D, 0x2060, 0x206A, 0x3164, 0xFE0F, 0xE0100]
)
def test_what_nobody_would_see_is_shown_by_its_number(code):
    assert shown(f"a{chr(code)}b") == f"a<U+{code:04X}>b"


def test_ordinary_letters_pass_unchanged():
    assert shown("½ in, 85 °C, Überhöhung, 速い") == "½ in, 85 °C, Überhöhung, 速い"


def test_half_a_character_of_a_file_name_is_shown():
    assert shown("caf\udce9.yaml") == "caf<U+DCE9>.yaml"


def test_what_an_old_code_page_lacks_is_written_in_plain_letters():
    assert in_encoding("≤ 9 ½ in → tighter", "ascii") == "<= 9  1/2 in -> tighter"
    assert in_encoding("café", "ascii") == "cafe"
    assert in_encoding("速", "cp1252") == "<U+901F>"


def test_what_the_code_page_has_is_kept():
    assert in_encoding("½ °", "cp1252") == "½ °"


def test_an_unknown_encoding_gets_plain_letters():
    assert in_encoding("½", "no-such-encoding") == " 1/2"


def test_json_hides_the_one_control_character_it_lets_through():
    assert shown_json('"\x7f"') == '"\\u007f"'


@given(st.text())
def test_nothing_that_passes_the_gate_can_move_a_cursor(text):
    passed = shown(text)
    assert not any(ord(letter) < 32 or 0x7F <= ord(letter) < 0xA0 for letter in passed)
    assert not set(passed) & set("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
    in_encoding(passed, "ascii").encode("ascii")
