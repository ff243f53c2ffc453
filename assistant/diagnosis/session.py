"""The interview as plain, frozen data: what was said, what was answered, and the next question worth asking.

Everything is worked out again from the words and the answers in order, so going back and answering the same gives the
same state. Shell, line mode, report, tests and scripts all drive this one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

from assistant.diagnosis import flow, stopping
from assistant.diagnosis.asking import make_plan
from assistant.diagnosis.calls import Board, general_levers, lay_board
from assistant.diagnosis.causes import NOT_RECKONED, Reckoned, Weighing, find_causes, weigh
from assistant.diagnosis.evidence import Fact, facts_of
from assistant.diagnosis.gauges_read import answers_of_measured
from assistant.diagnosis.hearing import Heard, changes_answered, complaint_of, read
from assistant.diagnosis.match import Match, find_symptoms
from assistant.diagnosis.plan import Plan, is_named, put_first
from assistant.diagnosis.questions import (
    COMPLAINT,
    NONE_FOUND,
    SAFETY,
    Answered,
    AnswerProblem,
    OpenQuestion,
    interview_weights,
    is_unsure,
    looks_like_a_move,
    none_score,
    patience_of,
    question_of,
)
from assistant.diagnosis.replies import answers_meant
from assistant.diagnosis.said_change import size_told
from assistant.diagnosis.sentences import TRAFFIC, TRAFFIC_ONLY
from assistant.ground.names import did_you_mean, plain_id
from assistant.ground.understood import AT_ONCE, USUAL_SEVERITY, Carried, CauseFound, Complaint, StopReason
from assistant.rules.knowledge import Knowledge

if TYPE_CHECKING:
    from assistant.car.case import Case, Setup


__all__ = ["AnswerProblem", "Session", "start"]


MAY_BE_TIRES = frozenset({"smoke", "vibration"})
"""Signs that may come of the tires alone, where the car was looked over."""
FAULTS = (SAFETY, "safety_kind")
"""A fault that is told of counts, whatever was answered before."""


@dataclass(frozen=True)
class Session:
    """Where an interview stands. Use `start`, `answer`, `back`, `change`; every one returns a new session.

    first: the driver's first words as read. again: those given when the complaint was asked again, read with them.
    given: (question id, choice id or words) in order. reasked: question to ask again, with its old place. computed:
    facts from the model. eager: wants every question that may help. carried: what is left of an earlier complaint.
    changes: what was changed, in the words it was answered in, each with its question.
    made: levers moved in this talk that did not help, each with its way (+1 or -1), repairs and habits with 0; none
    goes further that way.
    sound_since: the words before under which the car was said to be sound. reckoned: what plausible cars say of causes.
    told_on: the setup on the car when the words were told.
    """

    case: Case
    knowledge: Knowledge = field(compare=False, repr=False)
    first: Heard
    again: Heard | None = field(default=None, compare=False, repr=False)
    given: tuple[tuple[str, str], ...] = ()
    reasked: tuple[str, int] | None = None
    computed: Mapping[str, float] = field(default_factory=dict, compare=False, repr=False)
    eager: bool = False
    carried: Carried | None = None
    changes: tuple[tuple[str, str], ...] = ()
    made: frozenset[tuple[str, int]] = frozenset()
    sound_since: str = ""
    reckoned: Reckoned = field(default=NOT_RECKONED, compare=False, repr=False)
    told_on: Setup | None = field(default=None, compare=False, repr=False)

    # what is known

    @cached_property
    def reading(self) -> Heard:
        """The words as read, with the answers folded in."""
        folded = flow.fold_answers(self.heard, self.known)
        symptoms = flow.symptoms_chosen(folded, self.given, self.knowledge.questions)
        return replace(folded, said=replace(folded.said, changes=self.changes_told, symptoms=symptoms))

    @property
    def changes_told(self) -> tuple[str, ...]:
        """What was told to be changed: in the words, then in answers."""
        return tuple(dict.fromkeys((*self.heard.said.changes, *(text for _, text in self.changes))))

    @property
    def heard(self) -> Heard:
        """The words as read, without the answers."""
        again = self.answers.get(COMPLAINT, "")
        found = self.again if self.again is not None and again and not is_unsure(again) else self.first
        return flow.with_hit(found) if flow.HIT_TOLD in self.answers else found

    @property
    def text(self) -> str:
        """The driver's first words."""
        return self.first.text

    @cached_property
    def known(self) -> Mapping[str, str]:
        """Question id to choice id: what was read, what the words imply, the case file, the person; the later wins."""
        size = size_told(self.changes_told, self.told_on or self.case.setup, self.knowledge)
        told = {**answers_of_measured(self.case), **flow.implied_answers(self.heard), **size}
        read_now = stopping.told_by_gauge(self.case, self.told_on or self.case.setup)
        return {**told, **flow.on_file(self.case.answers), **self.answers, **read_now}

    @property
    def answers(self) -> Mapping[str, str]:
        """What the person answered, in order: question id to choice id (or own words)."""
        return dict(self.given)

    @cached_property
    def complaint(self) -> Complaint:
        """The complaint in cells, answers folded in; as bad as the pack takes it to be where nobody said."""
        heard = complaint_of(self.reading, [end.id for end in self.case.track.ends])
        said = replace(heard.taken_as(self.severity_unsaid), only_near_others=self.known.get(TRAFFIC) == TRAFFIC_ONLY)
        if self.carried is None:
            return said
        left = {(cell.phase, cell.stage, cell.end): cell for cell in (*said.cells, *self.carried.cells)}
        return replace(said, text=self.carried.text, cells=tuple(left.values()))

    @cached_property
    def facts(self) -> Mapping[str, Fact]:
        """Every fact a condition of the pack may ask for, SI units."""
        return facts_of(self.case, self.known, self.complaint, self.computed)

    @property
    def stop(self) -> StopReason | None:
        """The reason to stop and inspect before any adjustment, None when there is none."""
        said = stopping.stop_said(self.reading, self.known, self.knowledge.questions)
        return said or self._stop_found

    @cached_property
    def _stop_found(self) -> StopReason | None:
        """Stop for a symptom or a likely cause that the pack marks as a matter of safety."""
        return stopping.stop_found(self.symptoms, self.causes, self.knowledge)

    @property
    def notes(self) -> tuple[str, ...]:
        """What should be said beside the advice: "tire off", "not checked", "looked over"."""
        said = {
            "tire off": stopping.is_tire_off(self.known),
            "not checked": stopping.is_unchecked(self.known),
            "looked over": any(flow.is_cleared(one, self.known) for one in (self.first, self.heard)),
        }
        return tuple(note for note, holds in said.items() if holds)

    @cached_property
    def no_telling(self) -> str:
        """Why nobody could tell from this report what to do, "" where it can be told."""
        whole = any(match.whole for match in self.symptoms)
        reason = stopping.why_no_telling(self.reading, self.known, self.complaint, self.board, whole=whole)
        unread = not self._complains and not is_named(self.board.chances, self.board.plain)
        return reason or ("nothing read" if unread else "")

    @property
    def _complains(self) -> bool:
        """Whether a balance or anything else is complained of."""
        return bool(self.complaint.other) or any(cell.balance != "fine" for cell in self.complaint.cells)

    @property
    def severity_unsaid(self) -> float:
        """How bad a complaint is taken to be when nobody said it."""
        return float(self.knowledge.ranking.severity_unsaid or USUAL_SEVERITY)

    def answered(self) -> tuple[Answered, ...]:
        """List the answers given, numbered as `change` counts them."""
        found = []
        for number, (qid, said) in enumerate(self.given, 1):
            question = self.question_named(qid)
            if question is not None:
                choice = question.choice(said)
                found.append(Answered(number, question, said if choice is None else choice.says))
        return tuple(found)

    @cached_property
    def symptoms(self) -> tuple[Match, ...]:
        """The symptoms of the pack that the complaint is, best first."""
        return find_symptoms(self.complaint, self.knowledge)

    @cached_property
    def causes(self) -> tuple[CauseFound, ...]:
        """The causes that explain the complaint, most likely first; of a change that was told in words, those."""
        found = find_causes(self.weighing, none_score(self.knowledge))
        said = ", ".join(self.reading.said.changes)
        asks = {entry.asks for qid, entry in self.knowledge.questions.items() if said and self._is_of_change(qid)}
        return tuple(one.quoting(said, asks) for one in found) if asks else found

    def _is_of_change(self, qid: str) -> bool:
        """Whether a question is about what was changed, and the first words have answered it."""
        name = plain_id(qid)
        return name in self.known and name not in self.answers and name.startswith(("what_changed", "which_"))

    @cached_property
    def weighing(self) -> Weighing:
        """The causes that can make the complaint, with the signs that hold for each."""
        said = frozenset(match.symptom for match in self.symptoms if match.whole)
        return weigh(self.complaint, self.facts, self.knowledge, said, self.reckoned, self.made)

    @cached_property
    def board(self) -> Board:
        """The causes with their chances, and the moves they call for."""
        return lay_board(self.weighing, self.complaint, self.facts, self.knowledge, none_score(self.knowledge))

    # what to ask

    @cached_property
    def plan(self) -> Plan:
        """What the cause questions still open are worth."""
        patience = patience_of(interview_weights(self.knowledge), self.given, eager=self.eager)
        return make_plan(self.board, self.facts, self.knowledge, set(self.known), patience)

    def next_question(self) -> OpenQuestion | None:
        """Return the question to ask now, None when nothing is worth asking (or the car must be inspected)."""
        if self.reasked is not None:
            return self.question_named(self.reasked[0])
        fixed = flow.fixed_open(self.reading, self.known, self.complaint)
        if fixed := [qid for qid in fixed if self.question_named(qid) is not None]:
            return self.question_named(fixed[0])
        if self.stop is not None:
            return None
        asked = next((ids for ids in self._in_order() if ids), ())
        return self._explained(asked[0]) if asked else None

    def _in_order(self) -> Iterator[Sequence[str]]:
        """Give what is asked of a sound car: of its change, of such a complaint always, what is worth it, how bad."""
        yield flow.follow_ups_open(self.known, self.knowledge)
        yield flow.early_open(self.known, self.facts, self.knowledge)
        if self.eager or self.no_telling not in stopping.SETTLED:
            yield self.plan.order
            yield flow.sizes_open(self.reading, self.known) if self._moves_a_lever else ()

    @cached_property
    def _moves_a_lever(self) -> bool:
        """Whether a lever comes first, as far as can be told before any is computed."""
        options = [*(call.option for call in self.board.calls), *general_levers(self.board)]
        return put_first(self.board.chances, options, self.board.plain).kind == "lever"

    def open_questions(self) -> tuple[OpenQuestion, ...]:
        """List the questions whose answer could still change the advice, best first."""
        if self.stop is not None:
            return ()
        fixed = flow.fixed_open(self.reading, self.known, self.complaint)
        ids = [*fixed, *self.plan.useful, *flow.sizes_open(self.reading, self.known)]
        found = [self.question_named(qid) for qid in dict.fromkeys(ids)]
        return tuple(question for question in found if question is not None)

    def question_named(self, qid: str) -> OpenQuestion | None:
        """Return a question, with the complaint it is about named where there are several."""
        return flow.question_about(qid, self.knowledge.questions, self.reading)

    def _explained(self, qid: str) -> OpenQuestion | None:
        question = self.question_named(qid)
        if question is None or question.entry.why:
            return question
        return replace(question, tells_apart=self.plan.tells_apart.get(qid))

    # what changes it

    def answer(self, qid: str, choice: str) -> Session:
        """Answer a question by choice id; "complaint" takes free words too. Raises AnswerProblem for an unknown id."""
        question = question_of(qid, self.knowledge.questions)
        if question is None:
            raise AnswerProblem(f"there is no question '{qid}'; {did_you_mean(qid, self.knowledge.questions)}")
        picked = question.choice(choice)
        if picked is None and not question.is_free:
            allowed = [one.id for one in question.choices]
            raise AnswerProblem(f"'{choice}' is no answer to '{qid}'; {did_you_mean(choice, allowed)}")
        qid = question.id
        if question.is_free and picked is not None and not is_unsure(choice):
            choice = picked.says
        rest = [pair for pair in self.given if pair[0] != qid]
        at = self.reasked[1] if self.reasked is not None and self.reasked[0] == qid else len(rest)
        rest.insert(at, (qid, choice))
        again = self.again
        if qid == COMPLAINT and not is_unsure(choice):
            again = flow.read_again(self.first, choice, self.knowledge, self.case.run_laps)
            if again.said.safety:  # whoever looked, looked before this was told
                rest = [pair for pair in rest if pair[0] != SAFETY]
        session = replace(self, given=tuple(rest), reasked=None, again=again)
        kept = session.still_asked()
        if qid not in dict(kept) and (open_one := self.next_question()) is not None and open_one.id == qid:
            kept = session.still_asked(just=qid)  # or it would be asked for ever
        if self.reasked is None and qid not in self.answers:  # nor is anything else that was answered asked again
            kept = tuple(pair for pair in session.given if pair in kept or pair[0] in self.answers)
        return replace(session, given=kept)

    def still_asked(self, just: str = "") -> tuple[tuple[str, str], ...]:
        """Return the answers whose question still comes up. just: id of the one just answered, which stays."""
        asked = flow.Asked(self.heard, flow.on_file(self.case.answers), tuple(end.id for end in self.case.track.ends))
        return flow.still_asked(self.given, asked, just=just)

    def reply(self, typed: str) -> Session | None:
        """Take what a person typed as the answer to the open question, and to others; None when it is none.

        Nor is it where somebody is in danger: that is no answer, but a stop by itself.
        """
        question = self.next_question()
        said = self._read(typed).said
        if question is None or looks_like_a_move(typed) or AT_ONCE & set(said.safety):
            return None
        session, said_plainly = self, set(map(plain_id, said.answers))
        told = answers_meant(typed, question, self.knowledge, self.case)
        if stopping.A_HIT in said.safety and stopping.CONTACT not in {*told, *self.known}:
            session = replace(self, given=(*self.given, (flow.HIT_TOLD, "yes")))
        at_once = {question.id, *(FAULTS if told.get(SAFETY) == "yes" and self._is_new_danger(typed) else ())}
        for qid, choice in told.items():
            is_plain = qid in said_plainly or session.makes_sense(qid)
            if qid in at_once or (qid not in session.known and is_plain):
                session = session.answer(qid, choice)
        is_of_change = question.is_of_change
        texts = changes_answered(typed, self.knowledge) if is_of_change else said.changes
        if session is not self and texts:
            changes = [(qid, text) for qid, text in self.changes if qid != question.id]
            session = replace(session, changes=(*changes, *((question.id, text) for text in texts)))
        return None if session is self else session

    def _read(self, typed: str) -> Heard:
        return read(typed, self.knowledge, self.case.run_laps)

    def makes_sense(self, qid: str) -> bool:
        """Whether a question makes sense with what is known: nobody is told to have changed the air of a spring."""
        question = question_of(qid, self.knowledge.questions)
        when = None if question is None or question.entry.topic != flow.CHANGE else question.entry.when
        return when is None or self.knowledge.holds(when, self.facts) is True

    def _is_new_danger(self, typed: str) -> bool:
        """Whether a line tells of a danger that was not told before, and that no look at the car has settled."""
        known = {*self.heard.said.safety, *(MAY_BE_TIRES if self.known.get(SAFETY) == NONE_FOUND else ())}
        return not known.issuperset(stopping.with_air_lost(self._read(typed), self.case).said.safety)

    def misheard(self) -> Session:
        """Take back the signs of danger in words and answers; whether the car is sound is asked all the same."""
        faults = FAULTS if self.known.get(SAFETY) == "yes" else ()
        kept = [one for one in self.given if one[0] not in faults and one[1] not in stopping.STOPS.get(one[0], ())]
        return replace(self, given=(*kept, (flow.MISHEARD, "yes")))

    def ask_on(self) -> Session:
        """Go on asking as long as a question is expected to help, whatever it costs."""
        return replace(self, eager=True)

    def after_change(self, before: Session, made: Iterable[tuple[str, int]], *, helped: bool) -> Session:
        """Go on after something was made: what was told of the past stays, what was looked at is void."""
        told = [pair for pair in before.known.items() if flow.outlasts(pair[0], self.knowledge.questions)]
        new = [pair for pair in told if pair[0] not in dict(self.given)]
        return replace(self, given=(*new, *self.given), made=before.made if helped else before.made | {*made})

    def came_of_advice(self) -> Session:
        """Know that the complaint came with a change made in this talk: nobody is asked what changed."""
        return replace(self, given=((flow.CAME_OF_ADVICE, "yes"), *self.given))

    def back(self, steps: int = 1) -> Session:
        """Take back the last answers; more steps than there are answers go to the start."""
        if steps < 1:
            return self
        if self.reasked is not None:
            return self._with(self.given)
        return self._with(self.given[: max(0, len(self.given) - steps)])

    def change(self, number_or_id: int | str) -> Session:
        """Ask one answered question again; the other answers stay, those that depended on it go when it is answered."""
        name = plain_id(str(number_or_id))
        at = next((at for at, (qid, _) in enumerate(self.given) if number_or_id == at + 1 or name == qid), None)
        if at is None:
            raise AnswerProblem(f"there is no answer '{number_or_id}' to change")
        rest = self.given[:at] + self.given[at + 1 :]
        return replace(self._with(rest), reasked=(self.given[at][0], at))

    def _with(self, given: tuple[tuple[str, str], ...]) -> Session:
        changes = tuple(one for one in self.changes if one[0] in dict(given))
        return replace(self, given=given, changes=changes, reasked=None)


def start(case: Case, knowledge: Knowledge, text: str = "", computed: Mapping[str, float] | None = None) -> Session:
    """Begin an interview on the driver's words; without any, on those of the case.

    computed: facts only the model can give (steering_share, corner_speed in m/s), when somebody has them.
    """
    first = stopping.with_air_lost(read(text.strip() or case.complaint, knowledge, case.run_laps), case)
    return Session(case, knowledge, first, computed=computed or {}, told_on=case.setup)
