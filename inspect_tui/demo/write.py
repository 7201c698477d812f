"""Writes the demo record: the invented shop's whole life, in its order and at its hours, the same to the byte."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from pathlib import Path
from random import Random
from typing import Any, TypeVar

from inspect_tui.demo import scenario as job_
from inspect_tui.demo import things, write_first_article, write_kit, write_trends
from inspect_tui.demo import workshop as shop
from inspect_tui.demo.clock import Clock
from inspect_tui.demo.sheets import LotFile, Row, generate
from inspect_tui.demo.truth import PLANTS, SEED
from inspect_tui.demo.write_gauges import GaugeStory, mornings
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.measuring import Calibration, Instrument, Note, Person, Reading, Session, Setup
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, DrawingRevision, Feature, Item, Job, Lot, Tool, ToolFeature
from inspect_tui.record.chain.ids import IdMaker, uuid7
from inspect_tui.record.kinds import kind_of
from inspect_tui.record.store import Record
from inspect_tui.shop.changes import metal, people
from inspect_tui.shop.common.geometry.faces import core_numbers
from inspect_tui.shop.feature import notes
from inspect_tui.shop.gauges import instruments
from inspect_tui.shop.intake.entered import sorts, table
from inspect_tui.shop.jobs import feature_form, jobs
from inspect_tui.shop.jobs.file import add
from inspect_tui.shop.kit.proving.enter import Draft

T = TypeVar("T")
REVISION_B_DAY = date(2023, 6, 15)
RELAID_DAY = date(2023, 9, 21)


@dataclass(slots=True)
class _Event:
    day: date
    hour: int
    minute: int
    tell: Callable[[], None]
    pace: float


def write(path: Path, seed: int = SEED, plants: Iterable[str] = PLANTS) -> dict[str, int]:
    """Write the demo record to `path`, replacing what is there; returns rows by table.

    It is made whole in a temporary folder beside it, so that nothing is left half written.
    """
    with tempfile.TemporaryDirectory(dir=path.parent, prefix=".demo-") as folder:
        new = Path(folder) / path.name
        clock = Clock(seed)
        ids = IdMaker(clock.microseconds, Random(f"{seed}|ids").randbytes)
        with (
            uuid7.given_by(ids),
            Record.open(
                new,
                create=True,
                clock=clock,
                ids=ids,
                state_dir=Path(folder) / "state",
                bench="demo bench",
                program="inspect-tui demo",
            ) as record,
        ):
            _Story(record, clock, seed, frozenset(plants)).tell()
            record.checkpoint()
            counts = record.counts()
        new.replace(path)
    for left in ("-wal", "-shm"):
        path.with_name(path.name + left).unlink(missing_ok=True)
    return counts


class _Story:
    """The events in their order, and the things they refer to by the names people use."""

    def __init__(self, record: Record, clock: Clock, seed: int, plants: frozenset[str]) -> None:
        self.record, self.clock = record, clock
        self.seed = seed
        self.gauges: GaugeStory | None = None
        self.sheets = generate(seed, plants)
        self.plants = plants
        self.job: Job
        self.revision: DrawingRevision
        self.person: dict[str, Person] = {}
        self.instrument: dict[str, Instrument] = {}
        self.calibrations: dict[str, list[Calibration]] = {}
        self.core: dict[int, Core] = {}
        self.tool: dict[str, Tool] = {}
        self.feature: dict[str, Feature] = {}
        self.tool_feature: dict[tuple[str, str], ToolFeature] = {}
        self.first: dict[tuple[str, str, str], Reading] = {}  # a reading on a tool by tool, balloon and typed text
        self.lot: dict[int, Lot] = {}

    def tell(self) -> None:
        """Write everything."""
        self.clock.set(date(2023, 6, 5), 7, 30, 0.05)
        self._shop_opens()
        for event in sorted(self._events(), key=lambda e: (e.day, e.hour, e.minute)):
            self.clock.set(event.day, event.hour, event.minute, event.pace)
            event.tell()

    # ---------------------------------------------------------------- setting up
    def _by(self, initials: str) -> Id:
        return self.person[initials].id

    def _add(self, what: Iterable[T], by: str = "SL") -> list[T]:
        return self.record.add_all(what, self._by(by))

    def _shop_opens(self) -> None:
        """The shop lead says who he is and brings the job in, with its people, gauges, tools, drawing and seats."""
        record = self.record
        initials, name, role = shop.PEOPLE[0]
        lead = people.add(record, {"initials": initials, "name": name, "role": role})
        add.add(record, things.read_job(), lead.id)
        self.person = {person.initials: person for person in record.people()}
        gauges = {gauge.serial: gauge for gauge in record.instruments()}
        self.instrument = {fact.number: gauges[fact.number] for fact in shop.INSTRUMENTS}
        self._certify("2023-06-05")
        (self.job,) = record.jobs()
        self.core = {core.number: core for core in record.cores(self.job.of_id)}
        self.tool = {tool.label: tool for tool in record.tools(self.job.of_id)}
        write_kit.show_pictures(record, self.core, self._by("SL"))
        self._take_up_drawing()
        self._note("box 2", "Carried over from an earlier set that is retired.")
        for core in job_.CORES:
            if core.loose_pieces:
                self._note(f"box {core.number}", f"Loose pieces: {core.loose_pieces}.")

    def _certify(self, until: str, since: str = "") -> None:
        """The certificates of those days, as their form takes them; those that came with the job are there."""
        for told in things.certificates():
            gauge = self.instrument[told.instrument]
            if since < told.done <= until and told.done not in {c.done_on for c in self._known(gauge)}:
                made = instruments.read_calibration(gauge, told.texts, told.done)
                assert isinstance(made, Calibration), made
                self._add([made])
            self.calibrations[told.instrument] = self._known(gauge)

    def _known(self, gauge: Instrument) -> list[Calibration]:
        return self.record.calibrations(gauge.of_id)

    def _take_up_drawing(self) -> None:
        """What the newest drawing and the tools hold from now on, by the names people use."""
        record = self.record
        self.revision = record.revisions(self.job.of_id)[-1]
        self.feature = {one.balloon: one for one in record.features(self.revision.id)}
        balloon = {one.id: one.balloon for one in self.feature.values()}
        self.tool_feature = {
            (tool.label, balloon[on.feature_id]): on
            for tool in self.tool.values()
            for on in record.tool_features(tool.of_id)
            if on.feature_id in balloon
        }

    def _note(self, on: str, text: str, by: str = "SL") -> None:
        """A note to a tool or the job."""
        self._add([notes.read(self.record, self.job, {"on": on, "text": text})], by)

    # ---------------------------------------------------------------- what happens when
    def _events(self) -> Iterable[_Event]:
        log = (*self.sheets.tooling, *self.sheets.rework)
        for (day, _), logged in groupby(log, key=lambda row: (row.day, row.on)):
            yield _Event(day, 8, 20, self._teller(self._tool_session, list(logged)), 14)
        for name, (week, castings) in shop.ROUNDS.items():
            poured = shop.project_day(week) - timedelta(days=4)
            yield _Event(shop.project_day(week), 7, 0, self._teller(self._round_arrives, name, castings, poured), 1)
            rows = [row for row in self.sheets.sampling if row.sheet == name]
            for _, part in groupby(rows, key=lambda row: row.on):
                listed = list(part)
                yield _Event(listed[0].day, 8, 0, self._teller(self._casting_session, listed), 12)
        yield _Event(date(2023, 9, 12), 15, 0, self._after_first_round, 30)
        yield _Event(
            date(2023, 9, 12),
            16,
            0,
            lambda: write_first_article.cuts_taken_over(self.record, self.job, "S1", self._by("SL")),
            0.05,
        )
        for draft, day, by in (
            (write_kit.TRYING_IN, write_kit.TRIED_ON, "B1"),
            (write_kit.CLOSING, write_kit.CLOSED_ON, "FC"),
        ):
            yield _Event(day, 14, 0, self._teller(self._try, draft, by), 0.05)
        yield _Event(write_kit.SHIPPED_ON, 14, 0, self._ship, 0.05)
        yield _Event(REVISION_B_DAY, 9, 0, self._revision_b, 0.05)
        if "P01" in self.plants:
            yield _Event(RELAID_DAY, 9, 0, self._relaid, 0.05)
        yield _Event(self.sheets.study[0].day, 12, 45, self._teller(self._plan_study), 1)
        for day, rows in mornings(self.sheets.study):
            yield _Event(day, 13, 0, self._teller(self._gauges().measure, rows), 20)
        for day, rows in mornings(self.sheets.checks):
            yield _Event(day, 6, 50, self._teller(self._gauges().check, rows), 40)
        seen: set[int] = set()
        for file in self.sheets.lot_files:
            again = file.lot in seen
            seen.add(file.lot)
            tell = self._teller(self._file_twice if again else self._lot, file)
            yield _Event(file.rows[0].day, 15 if again else 9, 10, tell, 13)
        for certificate in sorted({done for fact in shop.INSTRUMENTS for done, *_ in fact.certificates}):
            if certificate > "2023-06-05":
                day = date.fromisoformat(certificate)
                yield _Event(day, 16, 0, self._teller(self._certify, certificate, _day_before(day)), 60)
        after = shop.production_day(shop.week_of_lot(shop.LINED_AFTER_LOT), 4)
        if "P21" in self.plants:
            yield _Event(
                after,
                17,
                0,
                self._teller(self._note, "box 3", "Lined after lot 225 (core 9,000): width, height and port width."),
                1,
            )
        if "P23" in self.plants:
            yield _Event(
                shop.production_day(shop.week_of_lot(300), 4),
                17,
                0,
                self._teller(self._note, "box 2", "Seat of core 4 re-lined before lot 301."),
                1,
            )
        yield from self._trends(after)
        yield _Event(date.fromisoformat(shop.STICK_3_DAY), 9, 40, self._stick_3_today, 25)

    def _trends(self, lined_on: date) -> Iterable[_Event]:
        """Repairs of the tools and the agreed limit of wear, each on the day it was written down."""
        yield _Event(write_trends.PRODUCTION_FROM, 8, 0, lambda: self._ledger().agree(), 1)
        if "P06" in self.plants:
            day = shop.project_day(4, 7)
            yield _Event(day, 15, 30, lambda: self._ledger().opened(day), 1)
        if "P03" in self.plants:
            relined = shop.project_day(5, 1)
            yield _Event(relined, 15, 30, lambda: self._ledger().seat(relined, "seat of core 4 lined on +y", "0.70"), 1)
        if "P21" in self.plants:
            yield _Event(lined_on, 17, 5, lambda: self._ledger().lined(), 1)
        if "P23" in self.plants:
            day_again = shop.production_day(shop.week_of_lot(300), 4)
            yield _Event(day_again, 17, 5, lambda: self._ledger().seat_again(), 1)

    def _ledger(self) -> write_trends.Ledger:
        return write_trends.Ledger(self.record, self._by("SL"), self.job, self.tool)

    @staticmethod
    def _teller(tell: Callable[..., None], *what: Any) -> Callable[[], None]:
        return lambda: tell(*what)

    def _ship(self) -> None:
        """What left the shop, from its list."""
        today = self.clock.at.date().isoformat()
        table.bring_in(
            self.record, self.job, sorts.sort_of("shipments"), things.SHIPMENTS, self.person["SL"], today=today
        )

    def _try(self, draft: Draft, by: str) -> None:
        """A trial in the mould."""
        write_kit.try_in(self.record, self.job, draft, self._by(by))

    def _after_first_round(self) -> None:
        if "P06" in self.plants:
            self._note(
                "box 4",
                "Joint faces were dressed 1.3 each at the foundry. Throat height opened 1.35 per half.",
            )
        if "P03" in self.plants:
            self._note("box 2", "Seat of core 4 re-lined on its +y side.")
        if "P05" in self.plants:
            self._note("job", "The mould is weighted from the second sampling on.", "FC")

    def _revision_b(self) -> None:
        """The upper limits of the throat are opened: a new revision of the drawing, by the form of a feature."""
        cores = core_numbers(self.record, self.job)
        changed = []
        for balloon in job_.REVISION_A_LIMITS:
            fact, old = job_.FACT[balloon], self.feature[balloon]
            texts = {key: first for key, _, first in feature_form.fields_of(old, cores)}
            texts["limits"] = f"{MM.figures(fact.plus, signed=True)}/{MM.figures(fact.minus, signed=True)}"
            made = feature_form.read(self.record, self.job, texts, job_.DEFAULT_BAND, old)
            assert isinstance(made, Feature), made
            changed.append(made)
        why = "upper limits of the throat F41 and F55 opened to +0.7"
        jobs.revise(self.record, self.job, "B", changed, why, self.person["SL"])
        self._take_up_drawing()

    def _relaid(self) -> None:
        """x laid out at 0.8 %: a new version of the job, and of everything on a tool that runs along x."""
        a = " ".join(MM.percent(job_.PLAN_RELAID[axis], 3) for axis in "xyz")
        source = "x 0.8 % from the first sampling, y and z 1.0 % as planned"
        said = metal.read(self.record, self.job, {**metal.shown(self.job), "contraction": a, "source": source})
        why = "x of all patterns and boxes filled up to 0.8 % with strips."
        metal.write(self.record, self.job, said, why, self.person["SL"])
        self.job = self.record.job(self.job.of_id)
        self._take_up_drawing()

    # ---------------------------------------------------------------- measuring
    def _session(self, kind: str, title: str, rows: list[Row], where: dict[str, Any]) -> list[Any]:
        """What one stay at the bench writes: a setup for each change of instrument or condition, and its readings."""
        session = Session(
            id=self.record.new_id(), kind=kind, job_of_id=self.job.of_id, revision_id=self.revision.id, title=title
        )
        what: list[Any] = [session]
        setups: dict[tuple[str, str, float, float | None], Id] = {}
        for row in rows:
            if row.value is None:
                what.append(
                    Note(
                        about_kind=kind_of(Item).number,
                        about_id=where[row.on].id,
                        text=f"{row.balloon} not read: blank on the sheet.",
                    )
                )
                continue
            key = (row.person, row.instrument, row.work_c, row.moisture)
            if key not in setups:
                setups[key] = self.record.new_id()
                what.append(self._setup(setups[key], session.id, row))
            what.append(self._reading(setups[key], row, where[row.on]))
        return what

    def _setup(self, id_: Id, session_id: Id, row: Row) -> Setup:
        day = row.day.isoformat()
        valid = [known for known in self.calibrations[row.instrument] if known.done_on <= day]
        return Setup(
            id=id_,
            session_id=session_id,
            person_id=self._by(row.person),
            instrument_id=self.instrument[row.instrument].id,
            calibration_id=valid[-1].id,
            work_c=row.work_c,
            instrument_c=20.0,
            moisture=row.moisture,
        )

    def _reading(self, setup_id: Id, row: Row, on: Tool | Item) -> Reading:
        is_tool = isinstance(on, Tool)
        feature = self.feature[row.balloon]
        assert row.value is not None
        return Reading(
            setup_id=setup_id,
            feature_id=feature.id,
            item_id=None if is_tool else on.id,
            tool_id=on.id if is_tool else None,
            tool_feature_id=self.tool_feature[row.on, row.balloon].id if is_tool else None,
            rep=row.rep,
            value=row.value,
            typed=row.typed,
            typed_unit="deg" if feature.quantity == "angle" else "mm",
            slip="asked_kept" if row.asked else "none",
        )

    def _tool_session(self, rows: list[Row], title: str = "") -> None:
        on, by = rows[0].on, rows[0].person
        what = self._session("tool", title or f"{on}, project week {rows[0].week}", rows, {on: self.tool[on]})
        readings = [one for one in self._add(what, by) if isinstance(one, Reading)]
        for row, reading in zip(rows, readings, strict=True):
            self.first[on, row.balloon, row.typed] = reading
            if row.replaces is not None:
                wrong = self.first[on, row.balloon, row.replaces]
                why = f"digits swapped: {row.replaces} for {row.typed}, measured again"
                self.record.supersede(wrong.id, "misread", why, reading.id, self._by(by))

    def _gauges(self) -> GaugeStory:
        if self.gauges is None:
            self.gauges = GaugeStory(
                record=self.record, job=self.job, person=self.person, instrument=self.instrument, setup_of=self._setup
            )
        return self.gauges

    def _plan_study(self) -> None:
        self._gauges().plan(self.feature["F10"], self.seed)

    def _casting(self, serial: str, lot_id: Id) -> Item:
        return Item(
            id=self.record.new_id(),
            job_of_id=self.job.of_id,
            serial=serial,
            lot_id=lot_id,
            material=job_.ALLOY,
            expansion_per_c=job_.IRON_EXPANSION,
        )

    def _round_arrives(self, name: str, castings: int, poured: date) -> None:
        lot = Lot(
            id=self.record.new_id(),
            job_of_id=self.job.of_id,
            label=name,
            heat=f"H-{poured:%y%m%d}",
            poured_on=poured.isoformat(),
            quantity=castings,
        )
        self._items = {f"{name}-{n}": self._casting(f"{name}-{n}", lot.id) for n in range(1, castings + 1)}
        self._add([lot, *self._items.values()], "IN")

    def _casting_session(self, rows: list[Row]) -> None:
        title = f"{rows[0].sheet} casting {rows[0].on.partition('-')[2]}"
        self._add(self._session("casting", title, rows, self._items), rows[0].person)

    def _lot(self, file: LotFile) -> None:
        row, poured = file.rows[0], file.rows[0].day - timedelta(days=6)
        lot = Lot(
            id=self.record.new_id(),
            job_of_id=self.job.of_id,
            label=f"L{file.lot:03d}",
            heat=f"H-{poured:%y%m%d}",
            poured_on=poured.isoformat(),
            quantity=shop.CASTINGS_A_LOT,
        )
        casting, core = (
            self._casting(row.on, lot.id),
            Item(
                id=self.record.new_id(),
                job_of_id=self.job.of_id,
                kind="core",
                serial=f"L{file.lot:03d}-C3",
                lot_id=lot.id,
                core_id=self.core[3].id,
                material="sand",
            ),
        )
        self.lot[file.lot] = lot
        what: list[Any] = [lot, casting, core, self._ledger().count(lot)]
        for kind, item in (("casting", casting), ("core", core)):
            rows = [line for line in file.rows if line.on == item.serial]
            what += self._session(kind, f"lot {file.lot}", rows, {item.serial: item})
        self._add(what, row.person)

    def _file_twice(self, file: LotFile) -> None:
        text = f"{file.name} was brought in twice; the second was not taken."
        self._add([Note(about_kind=kind_of(Lot).number, about_id=self.lot[file.lot].id, text=text)], "IN")

    def _stick_3_today(self) -> None:
        day = date.fromisoformat(shop.STICK_3_DAY)
        rows = [
            Row(
                sheet="tooling",
                day=day,
                on="stick 3",
                kind="tool",
                balloon=balloon,
                typed=typed,
                value=float(typed),
                person="B1",
                instrument=instrument,
            )
            for balloon, typed, instrument in shop.STICK_3_READINGS
        ]
        self._tool_session(rows, "stick 3 before the next box 3")


def _day_before(day: date) -> str:
    return (day - timedelta(days=1)).isoformat()
