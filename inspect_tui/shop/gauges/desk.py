"""A gauge study at the bench: whose turn, which piece next, each reading on the disk, and nothing given away."""

from __future__ import annotations

from math import inf

from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed import quantity
from inspect_tui.metrology.typed.parsed import TypedLine
from inspect_tui.model.gauges import GaugeStudy, GaugeTrial
from inspect_tui.model.measuring import Person
from inspect_tui.model.words import Id
from inspect_tui.record.store import Record
from inspect_tui.shop.common.sizes import gauge_unit, quantity_of, range_mm
from inspect_tui.shop.gauges import instruments
from inspect_tui.shop.gauges.plan import Slot, slots
from inspect_tui.todo import Todo


@frozen
class TrialLogged:
    """A reading that is on the disk; nothing is said about its size, so that the study stays blind."""

    slot: Slot
    left: int  # of this person in this round


@frozen
class TrialRefused:
    """Nothing was logged; the text is given back."""

    text: str
    sentence: str
    todo: Todo | None = None
    about: str = ""


class StudyDesk:
    """One study being measured. Whose turn it is follows from the plan; `sit` says that the person is there."""

    typed_in = "mm"  # the unit of lengths that are typed without one

    def __init__(self, record: Record, study: GaugeStudy, today: str | None = None) -> None:
        self.record, self.study, self._today = record, study, today
        self.instrument = record.instrument(study.instrument_of_id)
        self.parts = {part.number: part for part in record.gauge_parts(study.id)}
        of = {person.of_id: person for person in record.with_withdrawn().people()}
        members = record.gauge_people(study.id)
        self.people = {member.person_of_id: of[member.person_of_id] for member in members}
        self.slots = slots(study, list(self.parts.values()), members)
        self.done: dict[Slot, Id] = {}
        number = {part.id: n for n, part in self.parts.items()}
        for logged in record.gauge_trials(study.id):
            self.done[Slot(logged.person_of_id, number[logged.trial.part_id], logged.trial.trial)] = logged.trial.id
        self.person: Person | None = None
        self._setups: dict[Id, Id] = {}
        self._last: Slot | None = None
        self._again: Slot | None = None

    # ---------------------------------------------------------------- where it stands
    @property
    def complete(self) -> bool:
        """Every reading of the plan is there."""
        return len(self.done) == len(self.slots)

    @property
    def turn(self) -> Person | None:
        """Whose turn the plan says it is; None when all is done."""
        slot = next((s for s in self.slots if s not in self.done), None)
        return self.people[slot.person_of_id] if slot else None

    @property
    def slot(self) -> Slot | None:
        """What the person who sits here measures next; None when it is nobody's or another one's turn."""
        if self.person is None:
            return None
        if self._again is not None:
            return self._again
        mine = [s for s in self.slots if s not in self.done and s.person_of_id == self.person.of_id]
        return mine[0] if mine else None

    @property
    def left(self) -> int:
        """How many readings the person who sits here has left in this round."""
        slot = self.slot
        if slot is None:
            return 0
        mine = [s for s in self.slots if s.person_of_id == slot.person_of_id and s.trial == slot.trial]
        return sum(s not in self.done for s in mine)

    def sit(self, person: Person) -> str | None:
        """Somebody sits down; a sentence when that is nobody of this study or nothing is left for them."""
        if person.of_id not in self.people:
            names = ", ".join(p.initials for p in self.people.values())
            return f"{person.initials} is not in this study: it was planned for {names}."
        if not any(s.person_of_id == person.of_id and s not in self.done for s in self.slots):
            return f"{person.initials} has read everything."
        self.person, self._again, self._last = self.people[person.of_id], None, None
        return None

    # ---------------------------------------------------------------- one line
    def take(self, text: str, gap_s: float = inf) -> TrialLogged | TrialRefused:
        """One line is one reading of the piece on the screen."""
        slot = self.slot
        if slot is None or self.person is None:
            turn = self.turn
            if turn is None:
                return TrialRefused(text, "Every reading of this study is there.")
            who = turn.initials
            return TrialRefused(text, f"It is {who}'s turn.", Todo.HAND_OVER, who)
        if not text.strip():
            return TrialRefused("", "Nothing typed, nothing logged.")
        kind = self.study.quantity or quantity_of(self.instrument)
        parsed = quantity.parse_line(text, gauge_unit(self.instrument, self.typed_in), self.instrument.rule_scale, kind)
        if not isinstance(parsed, TypedLine):
            return TrialRefused(text, parsed.sentence)
        if len(parsed.sizes) != 1:
            return TrialRefused(text, "One reading at a time: the repeats come later, in their own order.")
        size = parsed.sizes[0]
        low, high = range_mm(self.instrument)
        if not low <= size.mm <= high:
            return TrialRefused(text, f"{size.typed} lies outside the range of {self.instrument.label}: read it again.")
        trial: GaugeTrial = self.record.add(
            GaugeTrial(
                study_id=self.study.id,
                setup_id=self._setup_id(),
                part_id=self.parts[slot.part].id,
                trial=slot.trial,
                value=size.mm,
                typed=size.typed,
                typed_unit=size.unit,
                instead_of_id=self.done.get(slot),
            ),
            by=self.person.id,
        )
        self.done[slot] = trial.id
        self._last, self._again = slot, None
        following = self.slot
        if following is None or following.trial != slot.trial:
            self.person = None  # the round is over: hand the instrument on
            return TrialLogged(slot, 0)
        return TrialLogged(slot, self.left)

    def read_again(self) -> bool:
        """Read the piece of the last line again: what is typed next takes its place. False when there is none."""
        if self._last is None:
            return False
        self._again = self._last
        self.person = self.people[self._last.person_of_id]
        return True

    def _setup_id(self) -> Id:
        assert self.person
        if self.person.of_id not in self._setups:
            title = f"gauge study {self.study.title}"
            self._setups[self.person.of_id] = instruments.gauge_setup(
                self.record, self.person, self.instrument, title, self._today
            )
        return self._setups[self.person.of_id]
