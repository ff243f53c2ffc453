"""Questions beside the talk: about the user's own car, the temperatures of its tires, and whether to keep those.

The talk waits while one of them is open; commands that only show something are answered beside the temperatures.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from assistant.pages.blocks import Block, Line
from assistant.shell.folder import writable_folder
from assistant.shell.prompts import question_blocks
from assistant.shell.verbs import Typed

if TYPE_CHECKING:
    from assistant.car.case import Case
    from assistant.shell.keep_temps import KeepTemps
    from assistant.shell.own_car import OwnCar
    from assistant.shell.scene import Scene
    from assistant.shell.temps import Temps, Treads


class Beside:
    """At most one such question is open: `asked`.

    on_car: called with a car that was described. do: what the talk does for a command. answer: what it says to a line
    of words.
    """

    def __init__(
        self,
        scene: Scene,
        on_car: Callable[[Case], None],
        do: Callable[[Typed], list[Block]],
        answer: Callable[[str], list[Block]],
    ) -> None:
        self.asked: OwnCar | Temps | KeepTemps | None = None
        self._scene = scene
        self._on_car = on_car
        self._do = do
        self._answer = answer

    def begin_own_car(self) -> list[Block]:
        """Begin the questions about a car."""
        from assistant.shell.own_car import OwnCar  # noqa: PLC0415 - imports the car's files

        self.asked = OwnCar(self._scene.units, writable_folder())
        return self.asked.opening()

    def begin_temps(self, rest: str) -> list[Block]:
        """Begin the temperatures, with the numbers that stood behind the command."""
        from assistant.shell.temps import Temps  # noqa: PLC0415 - imports the units

        temps = self.asked = Temps(self._scene.units)
        return self._say(rest) if rest else temps.opening()

    def hear(self, text: str, typed: Typed | None) -> list[Block]:
        """Answer a line while such a question is open."""
        return self._command(typed) or self._say(text)

    def leave(self) -> list[Block]:
        """Leave the question; temperatures that are all there count."""
        from assistant.shell.interview import weigh_anew  # noqa: PLC0415 - not before the first prompt
        from assistant.shell.keep_temps import KeepTemps  # noqa: PLC0415 - imports the car's files

        asked, self.asked = self.asked, None
        if asked is None:
            return []
        after = weigh_anew if isinstance(asked, KeepTemps) else question_blocks
        return [Line(asked.left), *after(self._scene)]

    def _command(self, typed: Typed | None) -> list[Block]:
        """Do a command typed among the temperatures: a screen leaves them open, a move of the talk leaves them."""
        from assistant.shell.own_car import OwnCar  # noqa: PLC0415 - imports the car's files
        from assistant.shell.temps import Temps  # noqa: PLC0415 - imports the units
        from assistant.shell.verb_screens import SCREENS  # noqa: PLC0415 - not before the first prompt

        asked = self.asked
        if asked is None or isinstance(asked, OwnCar) or typed is None or typed.verb == "back":
            return []
        if typed.verb == "temps" and isinstance(asked, Temps):
            return self._say(typed.rest) if typed.rest else asked.opening()
        if typed in (Typed("?"), Typed("help")):
            return asked.explained()
        if typed.verb in SCREENS:
            return self._do(typed)
        self.asked = None
        return [Line(asked.left), *self._do(typed)]

    def _say(self, text: str) -> list[Block]:
        from assistant.shell.interview import weigh_anew  # noqa: PLC0415 - not before the first prompt
        from assistant.shell.own_car import OwnCar  # noqa: PLC0415 - imports the car's files
        from assistant.shell.temps import Temps  # noqa: PLC0415 - imports the units

        asked = self.asked
        assert asked is not None  # noqa: S101 - the callers have looked
        blocks = asked.say(text)
        if isinstance(asked, OwnCar):
            self._take_car(asked)
        elif isinstance(asked, Temps):
            if asked.is_left:
                return self.leave()
            blocks += [] if asked.treads is None else self._take_treads(asked.treads)
        elif asked.is_over:
            self.asked = None
            blocks += self._answer(asked.unheard) if asked.unheard else weigh_anew(self._scene)
        return blocks

    def _take_car(self, asked: OwnCar) -> None:
        """Work on the car that was described, once it is."""
        if asked.case is None:
            return
        self.asked = None
        self._scene.bench.put_case(asked.case)
        self._scene.session = self._scene.question = self._scene.advice = self._scene.listed = None
        self._scene.steps.clear()
        self._on_car(asked.case)

    def _take_treads(self, treads: Treads) -> list[Block]:
        """Let the temperatures count, and ask whether to keep them for the next talk."""
        from assistant.shell import interview  # noqa: PLC0415 - not before the first prompt
        from assistant.shell.keep_temps import KeepTemps  # noqa: PLC0415 - imports the car's files

        scene = self._scene
        interview.take_treads(scene, treads)
        keep = self.asked = KeepTemps(scene.bench.case, treads, scene.talk, scene.units, again=scene.replaying)
        blocks = keep.opening()
        if keep.is_over:
            self.asked = None
            blocks += interview.weigh_anew(scene)
        return blocks
