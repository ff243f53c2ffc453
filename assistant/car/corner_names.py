"""Corners of the car as people write them before what belongs there: "LF 690, RF 640" or "right front 640"."""

from __future__ import annotations

import re

_CORNER = re.compile(
    r"(?<![a-z])([lr][fr]|f[lr]|rl|(?:left|right)[ -]*(?:front|rear)|(?:front|rear)[ -]*(?:left|right))(?![a-z])",
    re.IGNORECASE,
)
_CALLED = {"lf": "LF", "fl": "LF", "rf": "RF", "fr": "RF", "lr": "LR", "rl": "LR", "rr": "RR"}


def part_at_corners(text: str) -> tuple[str, list[tuple[str, str]]]:
    """Part a text at the corners it names: what stands before the first, then each corner and what stands behind."""
    before, *parts = _CORNER.split(text)
    return before, [
        (_corner(name), behind.strip(" ,;:=")) for name, behind in zip(parts[::2], parts[1::2], strict=True)
    ]


def _corner(name: str) -> str:
    words = re.findall("left|right|front|rear", name.lower())
    return _CALLED["".join(word[0] for word in words) or name.lower()]
