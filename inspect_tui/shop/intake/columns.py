"""How the columns of a file are read: guessed from their heads, stated by a person, remembered for the next file.

Three forms are understood: a row a casting with features across; a row a feature with castings across; a row a
reading. Columns may stand in any order; a unit may stand in a head, `F01 [mm]`, or be stated with the column.
A unit may also close a head, `F01 mm`, or stand in a line of units under the heads.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Collection, Mapping, Sequence
from difflib import get_close_matches

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.typed.units import Unit, short_unit
from inspect_tui.shop.common import find
from inspect_tui.shop.common.tables.columns import number, signature, split_heading
from inspect_tui.shop.common.tables.file import Grid
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.todo import Todo

NEEDED = {"features": ("serial",), "castings": ("feature",), "long": ("serial", "feature", "value")}
ROLES = ("serial", "feature", "value", "unit", "instrument", "by", "day", "temperature", "repeat", "ignore")
WORDS = {
    "serial": ("serial", "serial no", "serial number", "casting", "casting no", "piece", "item", "part", "part no"),
    "feature": ("feature", "balloon", "characteristic", "char", "dimension", "dim", "point", "no", "nr"),
    "value": ("value", "reading", "measured", "actual", "size", "result", "height"),
    "unit": ("unit", "units"),
    "instrument": (
        *("instrument", "gauge", "with", "measured with", "messmittel", "messgerät", "messzeug", "moyen de mesure"),
        *("instrumento", "strumento", "meetmiddel", "mätdon"),
    ),
    "by": (
        *("by", "person", "initials", "inspector", "measured by", "operator", "wer", "prüfer", "gemessen von"),
        *(
            "opérateur",
            "contrôleur",
            "mesuré par",
            "operador",
            "medido por",
            "operatore",
            "misurato da",
            "gemeten door",
        ),
    ),
    "day": ("day", "date", "measured on", "datum", "tag", "jour", "fecha", "dato"),
    "temperature": ("temperature", "temp", "work temperature"),
    "repeat": ("repeat", "rep", "trial"),
    "ignore": (
        "nominal",
        "nom",
        "lower",
        "upper",
        "tolerance",
        "tol",
        "deviation",
        "dev",
        "name",
        "remark",
        "remarks",
        "note",
        "time",
        "description",
        "limits",
        "wanted",
        "lower limit",
        "upper limit",
        "in order",
        "taken with",
    ),
}
# What heads call a requirement, a mean or a spread of several pieces: such a column is never a casting.
# Common words of spreadsheets in these languages, no source.
REQUIRED = frozenset(
    word.casefold()
    for words in (
        "target aim mean average avg median requirement required req spec specification min max minimum maximum usl",
        "lsl ucl lcl low high limit range std stdev sd sigma variance sum difference diff error cp cpk pp ppk ok "
        "status pass fail basic plus minus nominal nom lower upper tolerance tol deviation dev drawing xbar x̄ n",
        "soll sollmaß sollmass sollwert nennmaß nennmass mittel mittelwert durchschnitt vorgabe forderung anforderung "
        "kleinstmaß größtmaß mindestmaß höchstmaß toleranz abweichung abmaß spannweite streuung oben unten oberes "
        "unteres obere untere obergrenze untergrenze grenze grenzmaß istmittel zeichnung io n.i.o",
        "cible nominale moyenne exigence tolérance tolerance écart ecart étendue mini maxi cote borne limite plan",
        "objetivo nominal media promedio requisito mínimo minimo máximo tolerancia desviación desviacion rango límite "
        "inferior superior plano",
        "obiettivo nominale media requisito minimo massimo tolleranza scostamento deviazione inferiore superiore "
        "disegno",
        "alvo média requisito mínimo máximo tolerância desvio amplitude desenho",
        "doel gemiddelde eis nominaal tolerantie afwijking ondergrens bovengrens tekening",
        "mål medel medelvärde krav tolerans avvikelse middel gjennomsnitt gennemsnit avvik gräns undre övre ritning",
        "cel średnia wymaganie tolerancja odchyłka granica dolna górna cíl průměr požadavek hedef ortalama",
    )
    for word in words.split()
)
BESIDE = frozenset(
    word.casefold()
    for words in (
        "size value dimension of the limit limits all readings castings maß mass wert de la du des del der type "
        "típica tipica padrão standard aller alle",
    )
    for word in words.split()
)
ALL_WORDS = frozenset(word for words in WORDS.values() for word in words)
UNIT_NAMES = {"in": "inches"}
LOOKS_LIKE_BALLOON = re.compile(r"[A-Za-z]{1,3}[-_ ]?\d{1,4}[A-Za-z]?")
HEAD_ROWS = 30  # rows among which the heads are looked for
FIGURE = re.compile(r"[+-]?\d[\d.,]*(?:\s*(?:mm|cm|m|in|inch|\"|deg|°|°C))?", re.IGNORECASE)
NOTHING = "Nothing was added."
SAMPLES = 4  # cells of a column that are shown with it


@frozen
class HeadShown:
    """A column as a person sees it when asked what it is; `what` is "" while nobody knows."""

    head: str
    samples: tuple[str, ...]
    what: str


class ColumnsUnclear(DataError):
    """Columns that are not understood, or of which one lacks; `columns` are all that can be told apart by a head.

    `why` is the sentence without what was kept.
    """

    def __init__(self, why: str, todo: Todo, about: str = "", columns: Sequence[HeadShown] = ()) -> None:
        super().__init__(f"{why} {NOTHING}", todo=todo, about=about)
        self.why, self.columns = why, tuple(columns)


@frozen_by_name
class HeadColumn:
    """One column: its place, its head without the unit, its role ("value" of a feature or casting named in `of`)."""

    place: int
    head: str
    role: str
    of: str = ""  # balloon or serial that the head names
    unit: str = ""
    kept: bool = False  # the unit is only remembered from a file before: it is doubted where figures do not fit


@frozen_by_name
class Layout:
    """How a file is read: form "features" or "castings" across, or "long"; where its heads are; its columns."""

    form: str
    head_row: int
    first_row: int  # of the readings
    columns: tuple[HeadColumn, ...]
    unit: str  # of figures whose column does not say
    signature: str

    def column_of(self, role: str) -> HeadColumn | None:
        """The column with that role, if there is one."""
        return next((column for column in self.columns if column.role == role), None)


def bare(head: str) -> str:
    """A head without its unit, case, and the marks that stand around it: `Min. [mm]` is `min`."""
    return split_heading(head)[0].replace("_", " ").casefold().strip(" .:#*-+±?!Ø")


def is_requirement(head: str, feature: Callable[[str], str | None] = lambda _: None) -> bool:
    """Whether a head or the name of a row says what is wanted, or a mean or spread, and so is no casting's.

    `feature` knows the balloons: `Soll F29` says what is wanted of F29.
    """
    words = [word.strip("()+-±,;/") for word in bare(head).replace(".", " ").split()]
    told = [word for word in words if word and not word.isdecimal() and not feature(word)]  # `mean of 3`
    return any(word in REQUIRED for word in told) and all(word in REQUIRED or word in BESIDE for word in told)


def of_a_column(what: str, balloons: Collection[str]) -> bool:
    """Whether what was remembered of a head is a role or a feature, and not the casting that stood there then."""
    return split_heading(what)[0].casefold() in ROLES or split_heading(what)[0] in balloons


def settings(layout: Layout, given: Mapping[str, str]) -> str:
    """What is remembered of a layout: roles by head, as a person stated them, and the unit."""
    roles = {column.head: column.of or column.role for column in layout.columns if column.role != "ignore"}
    for head, what in given.items():
        name = split_heading(head)[0]
        if what == "ignore" or (split_heading(what)[1] and name in roles):
            roles[name] = what
    return json.dumps({"roles": roles, "unit": layout.unit}, ensure_ascii=True, sort_keys=True)


class LayoutFinder:
    """Finds the layout of a grid for a sampling; `given` maps heads to roles, balloons or serials.

    `kept` is the same, remembered from files before; what is given now comes first.
    """

    def __init__(
        self,
        grid: Grid,
        sampling: Sampling,
        given: Mapping[str, str],
        unit: str | None,
        kept: Mapping[str, str] | None = None,
    ) -> None:
        self.grid, self.sampling = grid, sampling
        self.now = {head.strip().casefold() for head in given}
        given = {**(kept or {}), **given}
        self.given = {head.strip().casefold(): what.strip() for head, what in given.items()}
        self.unit = unit
        self.balloons = {find.balloon_key(f.balloon): f.balloon for f in reversed(sampling.features)}
        self.balloons |= {f.balloon: f.balloon for f in sampling.features}
        self.serials = {item.serial.casefold(): item.serial for item in sampling.castings}
        self.targets = {t.label.casefold(): t.label for t in sampling.record.datum_targets(sampling.job.of_id)}

    def layout(self) -> Layout:
        """The layout; ColumnsUnclear says which column is not understood and how to map it."""
        head_row = self._head_row()
        heads = self.grid.rows[head_row]
        try:
            return self._layout(head_row, heads)
        except ColumnsUnclear as problem:
            problem.columns = tuple(self._shown(head_row))
            raise

    def _layout(self, head_row: int, heads: Sequence[str]) -> Layout:
        columns = [self._column(place, head) for place, head in enumerate(heads) if head]
        columns = self._by_content(columns, head_row)
        below = _units_below(self.grid.rows[head_row + 1 : head_row + 2])
        columns = [replace(c, unit=below[c.place]) if not c.unit and c.place in below else c for c in columns]
        self._refuse_twice(columns)
        form = self._form(columns)
        if form == "castings":
            columns = [self._casting_column(c) for c in columns]
        columns = self._all_settled(columns, head_row, form)
        for role in NEEDED[form]:
            self._need(columns, role)
        first = head_row + 1 + bool(below)
        return Layout(
            form=form,
            head_row=head_row,
            first_row=first,
            columns=tuple(columns),
            unit=self.unit or "",
            signature=signature(heads, list(self.serials.values())),
        )

    def _shown(self, head_row: int) -> list[HeadShown]:
        shown = []
        for place, head in enumerate(self.grid.rows[head_row]):
            if not head:
                continue
            try:
                column = self._column(place, head)
                what = column.of or column.role
            except ColumnsUnclear:  # mapped to something that is not there
                what = ""
            shown.append(HeadShown(head, tuple(self._below(place, head_row)[:SAMPLES]), what))
        return shown

    def _below(self, place: int, head_row: int) -> list[str]:
        return [row[place] for row in self.grid.rows[head_row + 1 :] if place < len(row) and row[place]]

    # ---------------------------------------------------------------- which row holds the heads
    def _head_row(self) -> int:
        best, score = -1, 0
        plain = -1  # the first line that could hold heads, though none of them is known
        for row, cells in enumerate(self.grid.rows[:HEAD_ROWS]):
            known = [bool(cell) and self._known(cell) for cell in cells]
            figures = any(FIGURE.fullmatch(cell) and not there for cell, there in zip(cells, known, strict=True))
            if figures and not any(self._names_column(cell) for cell in cells):
                continue  # a line of readings
            if plain < 0 and sum(map(bool, cells)) > 1:
                plain = row
            if sum(known) > score:
                best, score = row, sum(known)
        if score:
            return best
        if plain >= 0 and self._holds_names(plain):
            return plain
        shown = ", ".join(self.grid.rows[0][:8])
        why = (
            f"No line of {self.grid.name} names a feature of job {self.sampling.job.number} or a column that is known; "
            f"its first line reads: {shown[:200]}."
        )
        if plain < 0 or plain + 1 >= len(self.grid.rows):
            raise DataError(f"{why} {NOTHING}", todo=Todo.NAME_COLUMNS)
        raise ColumnsUnclear(why, Todo.NAME_COLUMNS, columns=self._shown(plain))

    def _holds_names(self, head_row: int) -> bool:
        """Whether a column below that line is one of features, whatever it is called."""
        for place in range(len(self.grid.rows[head_row])):
            cells = self._below(place, head_row)
            if cells and sum(self._balloon(cell) is not None for cell in cells) > len(cells) / 2:
                return True
        return False

    def _split(self, text: str) -> tuple[str, str]:
        """Name and unit of a head; `F01 mm` and `value_in` only where what is left of them is known."""
        head, unit = split_heading(text)
        name, _, last = head.replace("_", " ").rpartition(" ")
        if unit or not name or (unit_named(last) is None and unit_named(last, "angle") is None):
            return head, unit
        name = name.strip()
        known = self._balloon(name) or name.casefold() in ALL_WORDS or name.casefold() in self.serials
        return (name, last) if known else (head, unit)

    def _known(self, cell: str) -> bool:
        head = self._split(cell)[0]
        low = head.casefold()
        return self._names_column(cell) or self._balloon(head) is not None or low in self.serials or low in self.targets

    def _names_column(self, cell: str) -> bool:
        """Whether it can only stand in a head: a balloon or a serial may also stand in a line of readings."""
        low = self._split(cell)[0].casefold()
        return cell.casefold() in self.given or low in self.given or low in ALL_WORDS

    def _balloon(self, name: str) -> str | None:
        return self.balloons.get(name.strip()) or self.balloons.get(find.balloon_key(name))

    # ---------------------------------------------------------------- what a column is
    def _column(self, place: int, text: str) -> HeadColumn:
        head, unit = self._split(text)
        stated = self.given.get(text.casefold(), self.given.get(head.casefold()))
        if stated is not None:
            stated, stated_unit = split_heading(stated)
            kept = bool(stated_unit) and not unit and self.now.isdisjoint((text.casefold(), head.casefold()))
            unit = stated_unit or unit
            if stated.casefold() in ROLES:
                return HeadColumn(place=place, head=head, role=stated.casefold(), unit=unit, kept=kept)
            of = self._balloon(stated) or self.serials.get(stated.casefold()) or self.targets.get(stated.casefold())
            if of is not None:
                return HeadColumn(place=place, head=head, role="value", of=of, unit=unit, kept=kept)
            raise ColumnsUnclear(
                f"{head} is mapped to {stated}, which is neither a feature on revision {self.sampling.revision.rev} "
                f"nor one of {', '.join(ROLES)}.",
                Todo.SAY_WHAT_COLUMN,
                head,
            )
        balloon = self._balloon(head)
        if balloon is not None:
            return HeadColumn(place=place, head=head, role="value", of=balloon, unit=unit)
        low = head.casefold()
        if low in self.targets:
            return HeadColumn(place=place, head=head, role="value", of=self.targets[low], unit=unit)
        role = next((role for role, words in WORDS.items() if low in words), "")
        if not role and low not in self.serials and is_requirement(head, self._balloon):
            role = "ignore"
        return HeadColumn(place=place, head=head, role=role, unit=unit)

    def _form(self, columns: Sequence[HeadColumn]) -> str:
        across = [c for c in columns if c.role == "value" and c.of and c.of.casefold() not in self.serials]
        if across:
            return "features"
        roles = {c.role for c in columns}
        if "feature" in roles and any(c.head.casefold() in self.serials or c.of for c in columns):
            return "castings"
        if "feature" in roles and "serial" not in roles:
            return "castings"
        return "long"

    def _casting_column(self, column: HeadColumn) -> HeadColumn:
        if column.role in ("", "value") and not column.of:
            serial = self.serials.get(column.head.casefold(), column.head)
            return HeadColumn(
                place=column.place, head=column.head, role="value", of=serial, unit=column.unit, kept=column.kept
            )
        return column

    def _by_content(self, columns: list[HeadColumn], head_row: int) -> list[HeadColumn]:
        """Columns of features or serials whose heads nobody knows, found by what stands below them.

        A head may be in any language; what a person says of it comes first.
        """
        roles = {column.role for column in columns}
        across = any(column.role == "value" and column.of in self.balloons.values() for column in columns)
        for role, holds in (("feature", self._balloon), ("serial", self._serial)):
            if role in roles or (role == "feature" and across):
                continue
            for n, column in enumerate(columns):
                said = column.head.casefold() in self.given
                if said or column.of or column.role not in ("", "ignore") or column.head.casefold() in ALL_WORDS:
                    continue
                cells = self._below(column.place, head_row)
                if cells and sum(holds(cell) is not None for cell in cells) > len(cells) / 2:
                    columns[n] = replace(column, role=role)
                    break
        return columns

    def _serial(self, name: str) -> str | None:
        """A serial as it is known; a plain figure may be anything."""
        return None if number(name) is not None else self.serials.get(name.strip().casefold())

    def _all_settled(self, columns: Sequence[HeadColumn], head_row: int, form: str) -> list[HeadColumn]:
        """Every column settled; what is asked of one names the others that are not known either."""
        settled: list[HeadColumn] = []
        unclear: list[ColumnsUnclear] = []
        for column in columns:
            try:
                settled.append(self._settled(column, head_row, form))
            except ColumnsUnclear as problem:
                unclear.append(problem)
        if unclear:
            why = unclear[0].why
            if len(unclear) > 1:
                others = ", ".join(problem.about for problem in unclear[1:])
                why += f" Not known either: {others[:200]}."
            raise ColumnsUnclear(why, Todo.SAY_WHAT_COLUMN, unclear[0].about)
        return settled

    def _settled(self, column: HeadColumn, head_row: int, form: str) -> HeadColumn:
        """A column without a role: text is left alone, figures or what looks like a balloon must be mapped."""
        if column.role:
            return column
        filled = self._below(column.place, head_row)
        figures = sum(number(cell) is not None for cell in filled)
        if LOOKS_LIKE_BALLOON.fullmatch(column.head) or (filled and figures > len(filled) / 2 and form != "long"):
            raise ColumnsUnclear(
                f"{self.grid.name}, column {column.head}: {self._unknown(column.head)}",
                Todo.SAY_WHAT_COLUMN,
                column.head,
            )
        return HeadColumn(place=column.place, head=column.head, role="ignore", unit=column.unit)

    def _unknown(self, head: str) -> str:
        balloons = [f.balloon for f in self.sampling.features]
        close = get_close_matches(head.upper(), balloons, n=2, cutoff=0.5)
        near = f"; nearest: {', '.join(close)}" if close else ""
        return f"no feature {head} on revision {self.sampling.revision.rev}{near}."

    def _refuse_twice(self, columns: Sequence[HeadColumn]) -> None:
        seen: dict[tuple[str, str], str] = {}
        for column in columns:
            if column.role in ("ignore", "") or (column.role == "value" and not column.of):
                continue
            key = (column.role, column.of)
            if key in seen:
                what = column.of or column.role
                why = f"{self.grid.name} has two columns for {what}: {seen[key]} and {column.head}."
                if seen[key].casefold() == column.head.casefold():  # what is said of one would be said of both
                    raise DataError(f"{why} {NOTHING} Give one of them another head in the file.")
                raise ColumnsUnclear(why, Todo.LEAVE_COLUMN_OUT, column.head)
            seen[key] = column.head

    def _need(self, columns: list[HeadColumn], role: str) -> None:
        if any(column.role == role for column in columns):
            return
        heads = ", ".join(column.head for column in columns[:12])
        raise ColumnsUnclear(
            f"{self.grid.name}: no column gives the {role}; its columns are: {heads}.",
            Todo.SAY_WHICH_COLUMN,
            role,
        )


def heads_shown(grid: Grid, layout: Layout) -> list[HeadShown]:
    """The columns of a file that was understood, as a person sees them who may say otherwise what they are."""
    heads = grid.rows[layout.head_row]
    below = grid.rows[layout.first_row :]
    return [
        HeadShown(
            heads[column.place],
            tuple(row[column.place] for row in below if column.place < len(row) and row[column.place])[:SAMPLES],
            column.of or column.role,
        )
        for column in layout.columns
    ]


def _units_below(rows: Sequence[Sequence[str]]) -> dict[int, str]:
    """Units by column where the line under the heads holds nothing else."""
    filled = {place: cell.strip("[]() ") for row in rows for place, cell in enumerate(row) if cell}
    there = [unit_named(unit) is not None or unit_named(unit, "angle") is not None for unit in filled.values()]
    return filled if there and all(there) else {}


def unit_named(text: str, family: str = "length") -> Unit | None:
    """The unit of lengths (or angles) that a head, a cell or a person names; None when it is none.

    Only those of the short table: a word in a head may be the name of a part, and rod, link and hand are lengths too.
    """
    word = text.strip()
    unit = short_unit("in" if word == '"' and family == "length" else word, family)
    return unit if unit is not None and unit.family == family else None


def no_unit(text: str) -> str:
    """What is said of a word that is no unit of length."""
    return f"{text} is no unit of length known here: give mm, cm, m, um, in, ft or thou"
