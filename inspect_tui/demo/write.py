"""Writes the demo record: the invented shop's whole life, in its order and at its hours, the same to the byte."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from pathlib import Path
from random import Random
from typing import Any, TypeVar

from inspect_tui.demo import papers, things, write_first_article, write_kit, write_signed, write_trends
from inspect_tui.demo import scenario as job_
from inspect_tui.demo import workshop as shop
from inspect_tui.demo.clock import Clock
from inspect_tui.demo.sheets import LotFile, Row, generate
from inspect_tui.demo.truth import PLANTS, SEED
from inspect_tui.demo.write_gauges import GaugeStory, mornings
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.measuring import Calibration, Instrument, Person
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Feature, Job, Lot, Tool
from inspect_tui.record.chain.ids import IdMaker, uuid7
from inspect_tui.record.store import Record
from inspect_tui.shop.answers import sand_cores
from inspect_tui.shop.bench import earlier
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Asked, Logged
from inspect_tui.shop.changes import metal, people
from inspect_tui.shop.common import find, lineage
from inspect_tui.shop.common.geometry.faces import core_numbers
from inspect_tui.shop.feature import notes
from inspect_tui.shop.first_article.castings import put_right
from inspect_tui.shop.gauges import instruments
from inspect_tui.shop.intake import take_in, tool_take_in
from inspect_tui.shop.intake.entered import sorts, table
from inspect_tui.shop.intake.rows import ImportRefused, Options
from inspect_tui.shop.jobs import feature_form, jobs
from inspect_tui.shop.jobs.file import add
from inspect_tui.shop.kit.proving.enter import Draft
from inspect_tui.shop.trends.counts import file as counts_file

T = TypeVar("T")
REVISION_B_DAY = date(2023, 6, 15)
RELAID_DAY = date(2023, 9, 21)
INSTRUMENT_C = 20.0  # of the gauges, whatever the castings have
PIECE, PIECE_SIZE, PIECE_U = "check piece 50", "50", "0.002"


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
            _Story(record, clock, seed, frozenset(plants), Path(folder)).tell()
            record.checkpoint()
            counts = record.counts()
        new.replace(path)
    for left in ("-wal", "-shm"):
        path.with_name(path.name + left).unlink(missing_ok=True)
    return counts


class _Story:
    """The events in their order, and the things they refer to by the names people use."""

    def __init__(self, record: Record, clock: Clock, seed: int, plants: frozenset[str], folder: Path) -> None:
        self.record, self.clock, self.folder = record, clock, folder
        self.seed = seed
        self.gauges: GaugeStory | None = None
        self.sheets = generate(seed, plants)
        self.plants = plants
        self.job: Job
        self.person: dict[str, Person] = {}
        self.instrument: dict[str, Instrument] = {}
        self.core: dict[int, Core] = {}
        self.tool: dict[str, Tool] = {}
        self.feature: dict[str, Feature] = {}
        self.same: Mapping[Id, tuple[Id, ...]] = {}

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
        write_kit.show_pictures(record, self.core, self._by("SL"), self.folder)
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

    def _known(self, gauge: Instrument) -> list[Calibration]:
        return self.record.calibrations(gauge.of_id)

    def _take_up_drawing(self) -> None:
        """What the newest drawing holds from now on, by the names people use."""
        newest = self.record.revisions(self.job.of_id)[-1]
        self.feature = {one.balloon: one for one in self.record.features(newest.id)}
        self.tool = {tool.label: tool for tool in self.record.tools(self.job.of_id)}
        self.same = lineage.same_rows(self.record, self.job, list(self.feature.values()))

    def _note(self, on: str, text: str, by: str = "SL") -> None:
        """A note to a tool or the job."""
        self._add([notes.read(self.record, self.job, {"on": on, "text": text})], by)

    # ---------------------------------------------------------------- what happens when
    def _events(self) -> Iterable[_Event]:
        for (day, _), logged in groupby(self.sheets.tooling, key=lambda row: (row.day, row.on)):
            yield _Event(day, 8, 20, self._teller(self._at_the_bench, list(logged)), 14)
        for (day, _), logged in groupby(self.sheets.rework, key=lambda row: (row.day, row.on)):
            yield _Event(day, 8, 20, self._teller(self._tool_file, list(logged)), 0.05)
        for name, (week, castings) in shop.ROUNDS.items():
            poured = shop.project_day(week) - timedelta(days=4)
            yield _Event(shop.project_day(week), 7, 0, self._teller(self._round_arrives, name, castings, poured), 1)
            rows = [row for row in self.sheets.sampling if row.sheet == name]
            for _, part in groupby(rows, key=lambda row: row.on):
                listed = list(part)
                yield _Event(listed[0].day, 8, 0, self._teller(self._casting_file, listed), 0.05)
        yield _Event(date(2023, 9, 12), 15, 0, self._after_first_round, 30)
        yield _Event(
            date(2023, 9, 12),
            16,
            0,
            lambda: write_first_article.cuts_taken_over(self.record, self.job, "S1", self._by("SL")),
            0.05,
        )
        yield _Event(
            write_signed.ASKED_ON,
            17,
            0,
            lambda: write_signed.asked(self.record, self.job, self.person["SL"]),
            0.05,
        )
        yield _Event(
            write_signed.ASKED_ON,
            17,
            30,
            lambda: write_signed.numbered(self.record, self.job, self.person["SL"], self.folder),
            0.05,
        )
        yield _Event(
            write_signed.SIGNED_ON,
            10,
            0,
            lambda: write_signed.signed(self.record, self.job, self.person["IN"], self.person["SL"]),
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
            yield _Event(day, 6, 50, self._teller(self._check_file, rows), 0.05)
        seen: set[int] = set()
        for file in self.sheets.lot_files:
            again = file.lot in seen
            seen.add(file.lot)
            tell = self._teller(self._file_twice if again else self._lot, file)
            yield _Event(file.rows[0].day, 15 if again else 9, 10, tell, 13)
        for week in range(1, shop.LOTS // shop.LOTS_A_WEEK + 1):
            yield _Event(shop.production_day(week, 4), 16, 30, self._teller(self._count_file, week), 0.05)
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
        self._bring_in("shipments", things.SHIPMENTS, self.person["SL"])

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
    @property
    def _today(self) -> str:
        return self.clock.at.date().isoformat()

    def _at_the_bench(self, rows: list[Row], on: find.Subject | None = None) -> None:
        """What one person logs on one tool or sand core: line by line, what is asked about is kept as typed."""
        bench = Bench(
            self.record,
            self.job,
            on or find.Subject(rows[0].on, tool=self.tool[rows[0].on]),
            self.person[rows[0].person],
            today=self._today,
            states=False,
            features=list(self.feature.values()),
            same=self.same,
        )
        set_up: tuple[object, ...] = ()
        for row in rows:
            if row.replaces is not None:
                self._put_right(bench, row)
                continue
            if set_up != (row.instrument, row.work_c, row.moisture):
                set_up = (row.instrument, row.work_c, row.moisture)
                bench.set_instrument(self.instrument[row.instrument])
                bench.set_conditions(row.work_c, row.moisture, INSTRUMENT_C)
            bench.goto(row.balloon)
            said = bench.take_named(row.typed)
            kept = bench.keep_pending() if isinstance(said, Asked) else said
            assert isinstance(kept, Logged), said

    def _put_right(self, bench: Bench, row: Row) -> None:
        """A reading that was mistyped some days before."""
        wrong = next(
            logged
            for balloon, logged in earlier.readings(bench)
            if (balloon, logged.reading.typed) == (row.balloon, row.replaces)
        )
        earlier.put_right(bench, wrong, row.typed, self.person[row.person])

    def _casting_file(self, rows: list[Row]) -> None:
        """A sheet of readings of castings that are there; blanks are noted."""
        label = rows[0].on.rpartition("-")[0]
        path = papers.castings(self.folder, f"{rows[0].on}.csv", rows)
        take_in.take_in(self.record, self.job, path, label, Options(instrument_c=INSTRUMENT_C), self._today)
        for row in rows:
            if row.value is None:
                self._note(row.on, f"{row.balloon} not read: blank on the sheet.", row.person)

    def _tool_file(self, rows: list[Row]) -> None:
        """Readings of a tool from a file."""
        path = papers.tools(self.folder, f"{rows[0].on} {self._today}.csv", rows)
        grid = take_in.read(self.record, path)
        options = Options(instrument_c=INSTRUMENT_C)
        checked = tool_take_in.check_tools(self.record, self.job, grid, options, self._today)
        assert not checked.asked, checked.asked
        tool_take_in.write_tools(self.record, self.job, checked)

    def _check_file(self, rows: list[Row]) -> None:
        """The checks of a morning."""
        path = papers.checks(self.folder, "checks.csv", rows, PIECE, PIECE_SIZE, PIECE_U)
        self._bring_in("checks", path, self.person[rows[0].person])

    def _bring_in(self, word: str, path: Path, by: Person) -> None:
        entered = table.bring_in(self.record, self.job, sorts.sort_of(word), path, by, today=self._today)
        assert entered.lines and not entered.wrong and not entered.asked, entered

    def _gauges(self) -> GaugeStory:
        if self.gauges is None:
            self.gauges = GaugeStory(self.record, self.job, self.person, self.instrument["CAL1"])
        return self.gauges

    def _plan_study(self) -> None:
        self._gauges().plan(self.seed)

    def _round_arrives(self, name: str, castings: int, poured: date) -> None:
        self._sampling(name, [f"{name}-{n}" for n in range(1, castings + 1)], castings, poured, "IN")

    def _sampling(self, label: str, serials: list[str], quantity: int, poured: date, by: str) -> Lot:
        return put_right.open_round(
            self.record,
            self.job,
            label,
            serials,
            poured_on=poured.isoformat(),
            heat=f"H-{poured:%y%m%d}",
            quantity=quantity,
            by=self._by(by),
        )

    def _lot(self, file: LotFile) -> None:
        """A lot of production: one of its castings from a file, one sand core at the bench."""
        casting = [row for row in file.rows if row.kind == "casting"]
        core = [row for row in file.rows if row.kind == "core"]
        by, poured = casting[0].person, casting[0].day - write_trends.POURED_BEFORE
        lot = self._sampling(f"L{file.lot:03d}", [casting[0].on], shop.CASTINGS_A_LOT, poured, by)
        self._casting_file(casting)
        (made,) = sand_cores.open_new(self.record, self.job, self.core[3], [core[0].on], lot, by=self._by(by))
        self._at_the_bench(core, find.Subject(f"core {made.serial}", item=made))

    def _file_twice(self, file: LotFile) -> None:
        casting = [row for row in file.rows if row.kind == "casting"]
        try:
            self._casting_file(casting)
        except ImportRefused:
            self._note(casting[0].on, f"{file.name} was brought in twice; the second was not taken.", "IN")

    def _count_file(self, week: int) -> None:
        """The cores that box 3 blew for the lots of a week."""
        lots = range((week - 1) * shop.LOTS_A_WEEK + 1, week * shop.LOTS_A_WEEK + 1)
        made = [(write_trends.poured(lot).isoformat(), shop.CASTINGS_A_LOT, f"L{lot:03d}") for lot in lots]
        path = papers.counts(self.folder, f"box 3 week {week}.csv", "box 3", made)
        taken = counts_file.bring_in(self.record, self.job, path, self.person["SL"], today=self._today)
        assert taken.added == len(made) and not taken.wrong and not taken.asked, taken

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
        self._at_the_bench(rows)


def _day_before(day: date) -> str:
    return (day - timedelta(days=1)).isoformat()
