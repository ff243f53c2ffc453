"""What each command of the conversation answers; each takes the scene and what followed the command."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from assistant.ground.words import did_you_mean, quoted
from assistant.pages import lookup
from assistant.pages.advice import headline
from assistant.pages.advice_words import say_beside
from assistant.pages.amounts import sentence
from assistant.pages.blocks import Block, Line
from assistant.pages.grids import balance_table, before_after_table
from assistant.pages.hearing_words import say_why_asked
from assistant.pages.screen_parts import ALL, LIMITS
from assistant.pages.setup_by_corner import setup_screen
from assistant.pages.why import causes_screen, facts_of, why_not_screen, why_screen
from assistant.shell.in_use import say_in_use
from assistant.shell.making import NO_ADVICE, NO_SETUP, make, no_such_number, offer_at, undo
from assistant.shell.scene import Scene
from assistant.shell.verb_tools import TOOLS
from assistant.shell.verbs import FIRST, GROUPS, VERBS, verb_named

NOT_MADE = "Nothing has been changed; make {} puts it into the setup."

PLACED = "The setup alone does not tell where a car stands; the words put it there."

OWN_WORDS = "Type what the car does in your own words; a number picks an answer or a remedy."


def why(scene: Scene, rest: str) -> list[Block]:
    """`why`, `why 2`, `why 2 all`, `why 2 not 3`."""
    if scene.advice is None:
        asked = "" if scene.question is None else say_why_asked(scene.question)
        return [Line(f"Asked because: {asked}" if asked else NO_ADVICE)]
    if not rest:
        return causes_screen(scene.advice.causes)
    numbers = [int(part) for part in re.findall(r"\d+", rest)]
    offers = [offer_at(scene, number) for number in numbers]
    if None in offers:
        return [no_such_number(scene)]
    levers = scene.bench.knowledge.levers
    if len(numbers) == 2:
        pair = [(number, offer) for number, offer in zip(numbers, offers, strict=True) if offer is not None]
        return why_not_screen(pair, levers, scene.units)
    bench = scene.bench
    blocks: list[Block] = []
    for offer in offers:
        if offer is not None:
            told = facts_of(offer, bench.case, bench.effects().model, scene.units)
            blocks += why_screen(numbers[0], offer, levers, scene.units, told, whole=rest.endswith(ALL))
    return blocks


def try_it(scene: Scene, rest: str) -> list[Block]:
    """`try 2`: the balance before and after."""
    number = int(rest or 1)
    offer = offer_at(scene, number)
    if offer is None:
        return [Line(NO_ADVICE) if scene.advice is None else no_such_number(scene)]
    from assistant.pages.forecast import as_said_blocks  # noqa: PLC0415 - imports numpy

    effects = scene.bench.effects()
    then = None if scene.advice is None else scene.advice.balance
    before = then or effects.balance
    if offer.effect is None:
        return [Line("Its effect cannot be computed; nothing to compare.")]
    levers = scene.bench.knowledge.levers
    return [
        Line(sentence(headline(offer, levers, scene.units)), lead=str(number)),
        *as_said_blocks(effects.model),
        Line("Balance in percent of grip, before and after:"),
        before_after_table(before, before + offer.effect),
        Line(NO_SETUP if scene.bench.moved(offer) is None else NOT_MADE.format(number)),
    ]


def show(scene: Scene, _: str) -> list[Block]:
    """`show`: the setup."""
    case = scene.bench.case
    blocks = setup_screen(case.setup, scene.bench.knowledge.levers, case.rulebook, scene.units)
    made = [Line(f"Made in this talk: {sentence(one.said)}") for one in scene.made]
    return [*blocks, *made, Line(say_in_use(case))]


def balance(scene: Scene, _: str) -> list[Block]:
    """`balance`: what the model says of the car as it stands."""
    from assistant.pages.forecast import (  # noqa: PLC0415 - imports numpy
        as_said_blocks,
        judged_from,
    )

    effects = scene.bench.effects()
    placed = [Line(f"{PLACED} {judged_from(effects.model.standing)}")]
    return [
        Line("Balance as computed now, in percent of grip:"),
        *placed,
        *as_said_blocks(effects.model),
        balance_table(effects.balance),
        Line("Differences between cells say more than the numbers themselves.", mark="quiet"),
    ]


def limits(scene: Scene, _: str) -> list[Block]:
    """`limits`: what the model does not know."""
    notes = () if scene.advice is None else (*scene.advice.notes, *say_beside(scene.advice))
    return [Line(text) for text in (*LIMITS, *notes)]


def explain(scene: Scene, rest: str) -> list[Block]:
    """`explain stagger`; `explain` alone lists what can be explained."""
    knowledge = scene.bench.knowledge
    if not rest:
        return lookup.what_can_be_explained(knowledge)
    found = lookup.explain(rest, knowledge)
    if found is None:
        hint = did_you_mean(rest, lookup.known_words(knowledge))
        return [Line(f"Nothing is known about {quoted(rest)}; {hint}")]
    return found.blocks


def help_screen(scene: Scene, rest: str) -> list[Block]:
    """`help`, `help all`, `help try`, `help stagger`."""
    if rest and (verb := verb_named(rest)) is not None:
        return [
            Line(f"{verb.example}: {verb.says}."),
            *([Line("Also: " + ", ".join(verb.also) + ".")] if verb.also else []),
        ]
    blocks: list[Block] = []
    if rest not in {"", ALL}:
        found = lookup.explain(rest, scene.bench.knowledge)
        if found is not None:
            return found.blocks
        blocks.append(Line(f"There is no help on {quoted(rest)}."))
    return [*blocks, *(every_verb() if rest == ALL else first_verbs())]


def first_verbs() -> list[Block]:
    """What a newcomer needs, a line each; the others by name."""
    named = {verb.name: verb for verb in VERBS}
    rest = ", ".join(verb.example for verb in VERBS if verb.name not in FIRST)
    return [
        Line(OWN_WORDS),
        *(Line(f"{named[name].example}: {named[name].says}.", indent=2) for name in FIRST),
        Line(f"Also: {rest}."),
        Line("help all says what each of them does, help try more about try, help stagger what a word means."),
    ]


def every_verb() -> list[Block]:
    """Every command with what it does, in groups."""
    blocks: list[Block] = [Line(OWN_WORDS)]
    for group, verbs in GROUPS.items():
        blocks += [Line(f"{group}:", mark="heading")]
        blocks += [Line(f"{verb.example}: {verb.says}.", indent=2) for verb in verbs]
    return blocks


SCREENS: Mapping[str, Callable[[Scene, str], list[Block]]] = {
    "why": why,
    "try": try_it,
    "make": make,
    "undo": undo,
    "show": show,
    "balance": balance,
    "limits": limits,
    "explain": explain,
    "help": help_screen,
    **TOOLS,
}
