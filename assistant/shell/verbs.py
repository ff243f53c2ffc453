"""What can be typed besides an answer: each command of a talk, how it is spelled, what it does; how it is told apart.

A verb with words behind it that it does not take is no command: "back end steps out" is a complaint.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from assistant.diagnosis.stems import distance
from assistant.ground.choosing import NUMBER_WORDS
from assistant.ground.folders import doc_pages, own_cars
from assistant.ground.names import STAGES, nearest, quoted
from assistant.pages import packs as lookup
from assistant.pages import sayings
from assistant.pages.advice_words import say_beside
from assistant.pages.balance import LIMITS
from assistant.pages.blocks import ALL, CORNER, FORECAST, Block, Line, lines
from assistant.pages.hearing_words import BESIDE
from assistant.pages.levers import severity_screen
from assistant.shell import changes, interview, screens
from assistant.shell.dialogs import NO, YES
from assistant.shell.talk_state import TalkState

if TYPE_CHECKING:
    from assistant.advice.results import Advice
    from assistant.rules.knowledge import Knowledge

CHANGE = r"(?!.*\b(?:loose|tight|push|free|snap)).{0,60}"
"""A change in the user's own words: what tells how the car runs is none."""


@dataclass(frozen=True)
class Verb:
    """One command. example: as shown in help. says: one line of help. takes: pattern of what may follow.

    also: other ways to type it. parts: words that may follow, for a slip in one.
    """

    name: str
    example: str
    says: str
    takes: str
    also: tuple[str, ...]
    parts: tuple[str, ...]


@dataclass(frozen=True)
class Typed:
    """A line that is a command: its verb and what followed."""

    verb: str
    rest: str = ""


def either(words: tuple[str, ...]) -> str:
    """Write the pattern that one of the words matches."""
    return f"({'|'.join(words)})"


def help_screen(state: TalkState, rest: str) -> list[Block]:
    """`help`, `help all`, `help try`, `help stagger`, `help coach`."""
    if rest and (verb := verb_named(rest)) is not None:
        return [
            Line(f"{verb.example}: {verb.says}."),
            *([Line(sayings.ALSO.format(", ".join(verb.also)))] if verb.also else []),
        ]
    blocks: list[Block] = []
    if rest not in {"", ALL}:
        found = lookup.explain(rest, state.bench.knowledge)
        if found is not None:
            return found.blocks
        if (page := doc_pages().get(rest)) is not None:
            return [Line(row) for row in page.read_text(encoding="utf-8").splitlines()]
        blocks.append(Line(sayings.NO_HELP.format(quoted(rest))))
    return [*blocks, *(every_verb() if rest == ALL else first_verbs())]


def first_verbs() -> list[Block]:
    """What a newcomer needs, a line each; the others by name."""
    named = {verb.name: verb for verb in VERBS}
    rest = ", ".join(verb.example for verb in VERBS if verb.name not in FIRST)
    return [
        Line(sayings.OWN_WORDS),
        *(Line(f"{named[name].example}: {named[name].says}.", indent=2) for name in FIRST),
        Line(sayings.ALSO.format(rest)),
        Line(sayings.HELP_MORE),
    ]


def every_verb() -> list[Block]:
    """Every command with what it does, in groups."""
    blocks: list[Block] = [Line(sayings.OWN_WORDS)]
    for group, verbs in GROUPS.items():
        blocks += [Line(f"{group}:", mark="heading")]
        blocks += [Line(f"{verb.example}: {verb.says}.", indent=2) for verb in verbs]
    return blocks


def limits(advice: Advice | None) -> list[Block]:
    """`limits`: what the model does not know."""
    notes = () if advice is None else (*(BESIDE[note] for note in advice.notes), *say_beside(advice))
    return [*lines((*LIMITS, *notes))]


NUMBER, ANYTHING = r"(\d+)?", "(.+)?"
TAKES: Mapping[str, str] = {
    **dict.fromkeys(("back", "change", "make"), NUMBER),
    "temps": r"(?:[\d.,;:/|= °-]|\b(?:[lr][fr]|f[lr]|rl|left|right|front|rear|and)(?![a-z])|[fc](?![a-z]))*",
    "why": rf"(\d+( not \d+| {ALL})?)?",
    "why not": ".{1,60}",
    **dict.fromkeys(("try", "made", "measured"), CHANGE),
    **dict.fromkeys(("put back", "keep"), r"(?!.*\b(?:and|but|loose|tight|push|free|snap))[a-z ]{0,40}"),
    **dict.fromkeys(("sheet", "felt", "note", "explain"), ANYTHING),
    **dict.fromkeys(("levers", "help"), "(.{1,40})?"),
    "causes": "(.{1,80})?",
    "forecast": f"{either(FORECAST)}?",
    "corner": f"{either(STAGES)}? ?{either(CORNER)}?",
    "mine": f"({ALL})?",
    "open": ".{1,80}",
}
"""Pattern of what may follow a command; nothing where it is not here."""
EXACT = frozenset({"sheet", "felt", "note", "open"})
"""Commands behind which all is kept as it was typed: names of files, and notes."""
PARTS: Mapping[str, tuple[str, ...]] = {"forecast": FORECAST, "corner": (*STAGES, *CORNER)}
"""Words that may follow a command, for a slip in one."""
DOES: Mapping[str, Callable[[TalkState, str], list[Block]]] = {
    "?": lambda state, _: interview.question_explained(state),
    "back": changes.back,
    "change": interview.change,
    "enough": interview.enough,
    "ask": interview.ask_on,
    "temps": lambda _, __: [Line(sayings.HOW_TO_READ), Line(sayings.LOST, mark="quiet")],
    "keep": changes.keep,
    "why": screens.why,
    "why not": screens.why_not,
    "try": screens.try_it,
    "made": changes.made,
    "make": changes.make,
    "undo": changes.undo,
    "more": interview.more,
    "causes": screens.causes,
    "severity": lambda state, _: severity_screen(state.bench.belief(state.complaint)),
    "sheet": screens.sheet,
    "half": changes.half,
    "put back": changes.put_back,
    "show": screens.show,
    "balance": screens.balance,
    "levers": screens.levers,
    "forecast": screens.forecast,
    "tires": screens.tires,
    "corner": screens.corner,
    "known": screens.known,
    "measured": changes.measured,
    "explain": screens.explain,
    "limits": lambda state, _: limits(state.advice),
    "help": help_screen,
}
"""What answers a command; the others stand in `Conversation._do`."""


def read_commands(table: str) -> dict[str, tuple[Verb, ...]]:
    """Read the table of commands, by its groups."""
    groups: dict[str, list[Verb]] = {}
    for row in re.sub(r"\n {4}", " ", table).strip().split("\n"):
        if "|" not in row:
            groups[row.rstrip(":")] = []
            continue
        name, example, also, says = (part.strip() for part in row.split(" |"))
        parts = PARTS.get(name, ())
        spelled = tuple(filter(None, also.split(", ")))
        verb = Verb(name, example, says.format(", ".join(parts)), TAKES.get(name, ""), spelled, parts)
        groups[[*groups][-1]].append(verb)
    return {group: tuple(verbs) for group, verbs in groups.items()}


GROUPS = read_commands(sayings.TALK_COMMANDS)
FIRST = ("?", "back", "enough", "why", "try", "make", "undo", "more", "mine", "quit")
"""Commands a newcomer needs."""
VERBS: tuple[Verb, ...] = tuple(verb for verbs in GROUPS.values() for verb in verbs)
OWN_WORDS_BEHIND = ("try", "made", "measured", "why not", "put back", "keep")
"""Commands with words of the user's own behind them: what tells how the car runs comes first."""
_BY_SPELLING = {spelling: verb for verb in VERBS for spelling in (verb.name, *verb.also)}
_LONGEST_FIRST = sorted(_BY_SPELLING, key=len, reverse=True)
_QUESTION = re.compile(r"what(?:'?s| is| are| do| does| if)\b|(?:how|why|which|who|should|can|could|shall)\b|.*\?$")
_OK = r"(?:(?:ok|okay|alright|so|yes|yeah|well|then) )*"
_DO_ONE = re.compile(rf"{_OK}(?:(?:i ?'?ll|i will|let'?s|lets) )?(?:just )?do (\d+)(?: then| now)?|{_OK}i did (\d+)")
_HOW_ONE = re.compile(rf"{_OK}how (?:do|would|should|can) i (?:do|make) (\d+)")
_SOUNDS = dict.fromkeys(("enuff", "enuf", "nuff", "enought"), "enough")
"""Words written as they sound, too far from a command for the spelling to tell."""
_SAME_PART = {"tyres": "tires", "tyre": "tires", "tire": "tires"} | dict.fromkeys(
    ("fuel", "balance", "pressure", "pressures"), ""
)
"""Other words for a part of a screen; "" where the screen shows it without a part."""


def spellings() -> tuple[str, ...]:
    """Every way to spell a command, for completion and for the nearest one."""
    return tuple(_BY_SPELLING)


def typed_whole(knowledge: Knowledge | None) -> tuple[str, ...]:
    """Every line Tab may complete: commands, their parts, and what is known behind those that take a word."""
    commands = tuple(verb.name for verb in VERBS if verb.name != "?")
    parts = tuple(f"{verb.name} {part}" for verb in VERBS for part in verb.parts)
    if knowledge is None:
        return (*commands, *parts)
    levers = tuple(lever.replace("_", " ") for lever in knowledge.levers)
    words = {
        **dict.fromkeys(("levers", *OWN_WORDS_BEHIND), levers),
        **dict.fromkeys(("explain", "help"), (*levers, *knowledge.glossary)),
        "causes": tuple(cause.title for cause in knowledge.causes.values()),
        "open": tuple(own_cars()),
    }
    behind = tuple(f"{name} {word}" for name, known in words.items() for word in known)
    return (*commands, *knowledge.symptoms, *parts, *behind)


def verb_named(word: str) -> Verb | None:
    """Find a verb by any of its spellings."""
    return _BY_SPELLING.get(word.lower())


@lru_cache(maxsize=1)
def read_line(text: str) -> Typed | None:
    """Tell a command from everything else: "Why 2, not 3?" is why 2 not 3; "back end steps out" is not a command."""
    plain = " ".join(text.lower().replace(",", " ").replace("#", " ").split())
    if plain and not plain.strip("?"):
        return Typed("?")
    plain = re.sub(r"^([a-z]+)(\d+)$", r"\1 \2", plain.rstrip("?.! "))
    plain = _said_plainly(plain)
    plain = re.sub(r"\d{7,}", "999999", plain)  # no list is that long, and Python reads no number of 5000 digits
    if plain in _BY_SPELLING:
        return Typed(_BY_SPELLING[plain].name) if re.fullmatch(_BY_SPELLING[plain].takes, "") else None
    word = next((one for one in _LONGEST_FIRST if plain.startswith(f"{one} ")), "")
    verb = _BY_SPELLING.get(word)
    if verb is None:
        return None
    rest = plain[len(word) :].strip()
    if word == "cause":
        return None  # short for because: what follows is the driver's own
    if verb.name in EXACT:
        return Typed(verb.name, text.strip()[len(word) :].strip())
    rest = " ".join(NUMBER_WORDS.get(part, part) for part in rest.split())
    rest = re.sub(r"\b(number|no|nr)\.? (?=\d)", "", rest)
    if verb.parts:
        rest = " ".join(_SAME_PART.get(part, part) for part in rest.split()).strip()
    return Typed(verb.name, rest) if re.fullmatch(verb.takes, rest) else None


def _said_plainly(plain: str) -> str:
    """Take "ok I'll do one" for make 1, and "how do I do 1" for why 1."""
    counted = " ".join(NUMBER_WORDS.get(word, word) for word in re.sub(r"\b(?:number|no|nr) (?=\d)", "", plain).split())
    if made := _DO_ONE.fullmatch(counted):
        return f"make {made[1] or made[2]}"
    how = _HOW_ONE.fullmatch(counted)
    return f"why {how[1]}" if how else plain


def is_no_complaint(text: str) -> bool:
    """Whether a line is a question, or a command with numbers it does not take, whatever words are in it."""
    plain = " ".join(text.lower().split())
    command = re.fullmatch(r"([a-z]+)(?: (?:not )?\d+)+", plain.replace(",", " "))
    return bool(_QUESTION.match(plain)) or (command is not None and command[1] in _BY_SPELLING)


def nearest_verb(text: str) -> str | None:
    """Find the command a line was most likely meant to be, written as it can be typed: "show me it" is show."""
    word, _, rest = text.strip().lower().partition(" ")
    found = None if word in {*YES, *NO} or word.isdigit() else _SOUNDS.get(word) or _nearest(word, rest)
    found = "tires" if found == "tyres" else found
    if found is None:
        return None
    verb = _BY_SPELLING[found]
    if re.fullmatch(verb.takes, rest):
        return f"{found} {rest}".strip()
    part = nearest(rest, verb.parts) if verb.parts else None
    if part is not None:
        return f"{found} {part}"
    return verb.example if found == word else None


def _nearest(word: str, rest: str) -> str | None:
    """Find the nearest spelling; of two or three letters only before a number, as in "wy 1" and "tri 2"."""
    if len(word) > 2 and (found := nearest(word, spellings())):
        return found
    takers = [name for name in ("why", "try", "make") if rest.isdigit() and distance(word, name, 1) <= 1]
    return takers[0] if takers else None
