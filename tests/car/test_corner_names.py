"""Corners as people name them."""

import pytest

from assistant.ground.names import part_at_corners


@pytest.mark.parametrize(
    ("text", "parted"),
    [
        ("LF 690, RF: 640", ("", [("LF", "690"), ("RF", "640")])),
        ("right front 1, rear-left=2", ("", [("RF", "1"), ("LR", "2")])),
        ("5 fr 6 rl", ("5 ", [("RF", "6"), ("LR", "")])),
        ("690 640", ("690 640", [])),
        ("free front, surfer", ("free front, surfer", [])),
    ],
)
def test_a_text_is_parted_at_the_corners_it_names(text, parted):
    assert part_at_corners(text) == parted
