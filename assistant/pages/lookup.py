"""One word looked up in everything the packs know: the glossary, levers, symptoms, causes and driving habits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from assistant.ground.words import PHASE_WORDS
from assistant.pages.amounts import capital, sentence
from assistant.pages.blocks import BLANK, Block, Line
from assistant.rules.knowledge import say_sources

if TYPE_CHECKING:
    from assistant.rules.knowledge import Knowledge


_MEANS = ("means", "physics", "feels_like", "test", "says", "title")
"""Where an entry says in a line what it is, whichever kind it is of."""
TELLS_ALL = "help {} tells all of it."


@dataclass(frozen=True)
class Found:
    """What is known about a word, for the screen and as data. kind: word, lever, symptom, cause or driving."""

    kind: str
    name: str
    blocks: list[Block]
    data: dict[str, Any]


def explain(word: str, knowledge: Knowledge) -> Found | None:
    """Find the word by its id, its title or another name for it; None when nobody knows it.

    A word of the glossary that is also a lever is shown as both, since who writes a rule needs the lever's words.
    """
    wanted = _plain(word)
    found = _find(wanted, knowledge)
    lever = _lever_called(wanted, knowledge) if found is not None and found.kind == "word" else None
    if found is None or lever is None:
        return found
    also = _found("lever", lever, knowledge.levers[lever], knowledge)
    return replace(found, blocks=[*found.blocks, BLANK, *also.blocks], data={**found.data, "lever": also.data})


def explain_shortly(word: str, knowledge: Knowledge) -> list[Block] | None:
    """Say in a line or two what a word means, and what tells all of it; None when nobody knows it."""
    found = explain(word, knowledge)
    if found is None:
        return None
    entry = _shelves(knowledge)[found.kind][found.name]
    means = next(str(getattr(entry, name)) for name in _MEANS if getattr(entry, name, ""))
    return [found.blocks[0], Line(sentence(means)), Line(TELLS_ALL.format(word.strip()), mark="quiet")]


def how_screen(lever: str, knowledge: Knowledge) -> list[Block]:
    """Say how a lever is moved, step by step, when, what is looked at again, and what to heed."""
    entry = knowledge.levers[lever]
    steps = [Line(sentence(step), lead=str(number)) for number, step in enumerate(entry.how, 1)]
    again = f" Check again afterward: {', '.join(entry.recheck)}." if entry.recheck else ""
    cautions = [knowledge.cautions[key].says for key in entry.cautions if key in knowledge.cautions]
    return [
        Line(f"How to move the {entry.title}:", mark="heading"),
        *steps,
        Line(f"When: {entry.when}, unless the rules say otherwise.{again}"),
        *(Line(text, mark="caution") for text in cautions),
    ]


def find_known(words: Sequence[str], knowledge: Knowledge) -> str:
    """Find the longest run of words that can be explained; "" where there is none."""
    runs = [words[at : at + count] for count in range(len(words), 0, -1) for at in range(len(words) - count + 1)]
    return next((said for run in runs if explain(said := " ".join(run), knowledge) is not None), "")


def _lever_called(wanted: str, knowledge: Knowledge) -> str | None:
    return next((name for name, lever in knowledge.levers.items() if wanted in _names(name, lever)), None)


def _find(wanted: str, knowledge: Knowledge) -> Found | None:
    for kind, entries in _shelves(knowledge).items():
        for name, entry in entries.items():
            if wanted in _names(name, entry):
                return _found(kind, name, entry, knowledge)
    return None


def _names(name: str, entry: Any) -> set[str]:
    called = (name, getattr(entry, "title", ""), *getattr(entry, "also_said", ()))
    return {_plain(one) for one in called} - {""}


def known_words(knowledge: Knowledge) -> tuple[str, ...]:
    """Return every word that can be explained, by the name it is best known by."""
    return tuple(
        dict.fromkeys(
            getattr(entry, "title", "") or name
            for shelf in _shelves(knowledge).values()
            for name, entry in shelf.items()
        )
    )


def what_can_be_explained(knowledge: Knowledge) -> list[Block]:
    """List every word of the glossary, and a few of each other kind with how many there are."""
    shelves = {
        kind: [getattr(one, "title", "") or name for name, one in shelf.items()]
        for kind, shelf in _shelves(knowledge).items()
    }
    blocks: list[Block] = [
        Line("Type explain and one of these, such as explain stagger."),
        Line(f"Words of the trade: {', '.join(shelves.pop('word'))}."),
    ]
    for kind, names in shelves.items():
        called = {"driving": "driving habits"}.get(kind, f"{kind}s")
        blocks.append(Line(f"{len(names)} {called}, such as: {'; '.join(names[:3])}."))
    return [*blocks, Line("Tab completes them; a slip gets the nearest word.", mark="quiet")]


def _shelves(knowledge: Knowledge) -> Mapping[str, Mapping[str, Any]]:
    return {
        "word": knowledge.glossary,
        "lever": knowledge.levers,
        "symptom": knowledge.symptoms,
        "cause": knowledge.causes,
        "driving": knowledge.driving,
    }


def _plain(word: str) -> str:
    return " ".join(word.lower().replace("_", " ").replace("-", " ").split())


def _found(kind: str, name: str, entry: Any, knowledge: Knowledge) -> Found:
    say = {
        "word": _say_word,
        "lever": _say_lever,
        "symptom": _say_symptom,
        "cause": _say_cause,
        "driving": _say_driving,
    }[kind]
    lines = say(name, entry)
    sources = say_sources(getattr(entry, "backed_by", ()) or (), knowledge)
    blocks: list[Block] = [Line(lines[0], mark="heading"), *(Line(text) for text in lines[1:] if text)]
    cautions = [knowledge.cautions[key].says for key in getattr(entry, "cautions", ()) if key in knowledge.cautions]
    blocks += [Line(text, mark="caution") for text in cautions]
    blocks += [Line("Sources: " + "; ".join(sources) + ".", mark="quiet")] if sources else []
    data = {
        "kind": kind,
        "name": name,
        "title": lines[0],
        "says": [text for text in lines[1:] if text],
        "sources": sources,
        "cautions": cautions,
    }
    return Found(kind, name, blocks, data)


def _say_word(name: str, entry: Any) -> list[str]:
    see = ", ".join(entry.see)
    return [capital(name), entry.means, f"See also: {see}." if see else ""]


def _say_lever(name: str, entry: Any) -> list[str]:
    trade = entry.trade
    views = ", ".join(f"{view.balance} {PHASE_WORDS[phase]}" for phase, view in trade.items()) if trade else ""
    return [
        f"{capital(entry.title)} ({name})",
        f"Unit: {'ratio, so much to 1' if entry.unit == ':1' else entry.unit or 'none'}; + means {entry.plus_word}.",
        f"Usual change {entry.usual_change}, largest sensible in one go {entry.largest_change}.",
        f"The trade says of {entry.plus_word}: {views}." if views else "",
        entry.physics,
        "How: " + " ".join(sentence(step) for step in entry.how),
        f"When: {entry.when}, unless the rules say otherwise. Check again afterward: {', '.join(entry.recheck)}."
        if entry.recheck
        else f"When: {entry.when}, unless the rules say otherwise.",
    ]


def _say_symptom(name: str, entry: Any) -> list[str]:
    apart = [f"Not {getattr(one, 'cause', None) or one.symptom}: {one.tell_apart}" for one in entry.not_to_mix_up_with]
    return [
        capital(name),
        entry.feels_like,
        f"Also said: {', '.join(entry.also_said)}." if entry.also_said else "",
        *apart,
    ]


def _say_cause(name: str, entry: Any) -> list[str]:
    for_it = "; ".join(sign.text.rstrip(".") for sign in entry.signs_for)
    against = "; ".join(sign.text.rstrip(".") for sign in entry.signs_against)
    return [
        f"{capital(entry.title)} ({name})",
        f"For it: {for_it}." if for_it else "",
        f"Against it: {against}." if against else "",
        f"How to tell: {entry.test}" if entry.test else "",
    ]


def _say_driving(name: str, entry: Any) -> list[str]:
    return [f"{capital(entry.title)} ({name})", entry.says, entry.because]
