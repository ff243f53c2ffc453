"""The diagnostic cases, and the grammar of their moves as it stands at the head of both files."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

FOLDER = Path(__file__).parent
KINDS = frozenset({"stop", "inspect", "undo", "repair", "drive", "adjust", "leave", "cannot-tell"})
UNKNOWN = frozenset({"leave", "cannot-tell"})
KIND_ALONE = UNKNOWN | {"stop"}
"""Kinds whose object is a reason for people and is not scored."""
DIRECTIONS = frozenset({"up", "down", "stiffer", "softer", "more", "less", "higher", "lower"})
_MOVE = re.compile(r"([a-z-]+): ([^()]+?)(?: \(.*\))?")


@dataclass(frozen=True)
class Move:
    """One move. objects: what it is about; a look may take in several things."""

    kind: str
    objects: tuple[str, ...]
    direction: str = ""

    def is_listed(self, listed: Sequence["Move"]) -> bool:
        return any(self._is(one) for one in listed if one.kind == self.kind)

    def _is(self, one: "Move") -> bool:
        if self.kind in KIND_ALONE or "any" in one.objects:
            return True
        return not {*self.objects}.isdisjoint(one.objects) and self.direction == one.direction


STOP = Move("stop", ("any",))
Offer = tuple[Move, ...]
"""What is made together: one move, or the moves of a package."""


@dataclass(frozen=True)
class Vignette:
    """One case. facts: (what it was asked by, answer). accept, wrong, dangerous: moves."""

    id: str
    words: str
    kind: str
    facts: tuple[tuple[str, str], ...]
    accept: tuple[Move, ...]
    wrong: tuple[Move, ...]
    dangerous: tuple[Move, ...]
    car: Mapping[str, Any]
    twin: str
    stop_allowed: bool

    def judge(self, offer: Offer) -> str:
        """Say whether an offer is dangerous, wrong, right or other; one bad move spoils a package."""
        found = {self._judge(move) for move in offer}
        return next((word for word in ("dangerous", "wrong", "right") if word in found), "other")

    def _judge(self, move: Move) -> str:
        lists = {"dangerous": self.dangerous, "right": self.accept, "wrong": self.wrong}
        return next((word for word, listed in lists.items() if move.is_listed(listed)), "other")


def read_move(text: str) -> Move:
    """Read `kind: object [direction] [(note)]`."""
    found = _MOVE.fullmatch(text)
    if found is None or found[1] not in KINDS:
        raise ValueError(f"no move: {text!r}")
    words = found[2].split()
    direction = words.pop() if found[1] == "adjust" and words[-1] in DIRECTIONS else ""
    return Move(found[1], (" ".join(words),), direction)


def read_half(half: str) -> list[Vignette]:
    """Read the cases of one half."""
    return [_read(entry) for entry in read_file(half)]


def read_file(name: str) -> Any:
    """Read a file of this folder, by the quicker of the two readers."""
    return yaml.load((FOLDER / f"{name}.yaml").read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)


def _read(entry: Mapping[str, Any]) -> Vignette:
    return Vignette(
        entry["id"],
        entry["words"],
        entry["kind"],
        tuple((fact["ask"], fact["answer"]) for fact in entry["facts"]),
        *(tuple(map(read_move, entry[name])) for name in ("accept", "wrong", "dangerous")),
        car=entry.get("car", {}),
        twin=entry.get("twin", ""),
        stop_allowed=entry.get("stop_allowed", False),
    )
