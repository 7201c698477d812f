"""Contraction: what the handbooks say for an alloy, and what pairs of tool and casting readings teach.

`a` is a fraction of the casting: tool = cast * (1 + a). German tables give per cent of the pattern; those rows are
converted when they are read. Contraction is the solid metal's, what a contraction rule covers; it is not shrinkage.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from itertools import repeat
from math import isfinite, sqrt

from inspect_tui.errors import DataError, TableError
from inspect_tui.frozen import NamedTuple, frozen_by_name, replace
from inspect_tui.metrology.sizes import tables
from inspect_tui.metrology.typed.show import MM

CONSTRUCTIONS = ("open", "cored", "free", "restrained")
# One standard deviation of a planned contraction about what a job then shows: 0.15 percentage points. Common
# practice, no source. It stands for a printed single value, for the least that a handbook can be wrong about a shop,
# and for the scatter from job to job until the shop's own jobs say better.
SINGLE_VALUE_U = 0.0015
_UNIT_FACTOR = {"in/ft": 1.0 / 12.0, "%": 0.01, "mm/m": 0.001}
_STATUS_RANK = {"found": 0, "computed": 0, "memory": 1, "common-practice": 2}
_KIN = {"open": "free", "free": "open", "cored": "restrained", "restrained": "cored"}
_ITERATIONS = 200


@frozen_by_name
class Handbook:
    """One printed contraction. `lo`, `hi` and `a` are casting-based fractions, `u` the standard uncertainty of `a`.

    `a` is the printed typical value, or the middle of the range. u = (hi - lo)/sqrt(12); a single printed value gets
    SINGLE_VALUE_U. `size_over_mm` and `size_up_to_mm` bound the pattern dimension (or the section, see `basis`).
    `weak` says in words that the source is a weak one. What `plan` gives rests on `of_rows` printed values that run
    from `rows_lo` to `rows_hi`, and its `u` covers them.
    """

    alloy: str
    construction: str
    lo: float
    hi: float
    a: float
    u: float
    source: str
    status: str
    note: str
    text: str = ""
    basis: str = ""  # size, section or empty: what the size range counts
    size_over_mm: float | None = None
    size_up_to_mm: float | None = None
    kind: str = "practice"  # of the source: standard, handbook, page, practice
    weak: str = ""
    of_rows: int = 1
    rows_lo: float | None = None
    rows_hi: float | None = None

    @property
    def said(self) -> str:
        """One line: the printed figure, what it holds for, where it stands and how sure that is; no web address."""
        what = [self.text, self.alloy, "" if self.construction == "any" else self.construction]
        if self.basis:
            over, up_to = self.size_over_mm or 0.0, self.size_up_to_mm
            word = "section " if self.basis == "section" else ""
            what.append(word + (f"over {MM.length(over, 0)}" if up_to is None else MM.pair(over, up_to, 0)))
        weak = f"; {self.weak}" if self.weak else ""
        return f"{', '.join(w for w in what if w)}: {tables.short(self.source)} ({self.status}){weak}"

    @property
    def rests_on(self) -> str:
        """`said`, and how far all the printed values run that may apply."""
        if self.of_rows < 2 or self.rows_lo is None or self.rows_hi is None:
            return self.said
        runs = f"{MM.figure(100 * self.rows_lo, 2)} to {MM.percent(self.rows_hi, 2)} of the casting"
        return f"{self.said}; {self.of_rows} printed values may apply, {runs}"


@frozen_by_name
class Learned:
    """A contraction learnt from pairs. `residuals_mm` = tool reading - cast reading * (1 + a), one per pair.

    `u` is the larger of `u_stated` (from the readings' own uncertainties) and that scaled to the scatter actually
    seen (Birge ratio), so that scatter nobody declared is not hidden. `pulls` are residuals over their own spread.
    """

    a: float
    u: float
    n: int
    chi2: float
    dof: int
    residuals_mm: tuple[float, ...]
    pulls: tuple[float, ...]
    u_stated: float

    @property
    def scattered(self) -> bool:
        """Whether `u` rests on the scatter that was seen, with `dof` degrees of freedom, and not on what was stated."""
        return self.dof > 0 and self.u > self.u_stated


def of_pattern(p: float) -> float:
    """Contraction stated as a share of the pattern -> share of the casting: tool = cast/(1 - p), a = p/(1 - p).

    TableError outside 0 to 0.5: that is no contraction.
    """
    if not 0.0 <= p < 0.5:
        raise TableError(f"a contraction of {MM.percent(p, None)} of the pattern is not believable")
    return p / (1.0 - p)


def double(a: float, a2: float) -> float:
    """Both contractions of a master that a metal pattern is cast from: (1 + a)(1 + a2) - 1, not their sum.

    Shares of the casting, fractions.
    """
    return (1.0 + a) * (1.0 + a2) - 1.0


def alloys() -> list[str]:
    """The alloys the tables know, one name for each group, sorted."""
    return sorted(row["name"] for row in tables.rows("alloy_names") if row["note"] == "shown in lists")


def group(alloy: str) -> str | None:
    """The group of alloys that a name belongs to, such as ductile_iron; None where it fits none or several."""
    groups = _matches(alloy)[1]
    return next(iter(groups)) if len(groups) == 1 else None


def plan(alloy: str, size_mm: float | None = None, construction: str | None = None) -> Handbook:
    """The handbook value to start from: the first of `handbook`, as unsure as the values that apply beside it.

    Its u is that of an even spread over all their ranges, about the value taken: u^2 = (hi - lo)^2/12 + (a - middle)^2,
    so that no printed value lies outside a - 2u to a + 2u; at least SINGLE_VALUE_U. Shares of the casting, fractions.
    Raises TableError when there is none, or when the name fits alloys of several groups (such as "iron").
    """
    ranked = _ranked(alloy, size_mm, construction)
    if not ranked:
        raise TableError(f"no table gives a contraction for {alloy!r}: type it, or choose {', '.join(alloys())}")
    groups = _matches(alloy)[1]
    if len(groups) > 1:
        listed = [row["name"] for row in tables.rows("alloy_names") if row["group"] in groups and row["note"]]
        raise TableError(f"{alloy!r} may be {', '.join(listed)}: say which")
    best, first = ranked[0]
    apply = [entry for rank, entry in ranked if _applies(rank, best, size_mm, construction)]
    lo, hi = min(entry.lo for entry in apply), max(entry.hi for entry in apply)
    spread = sqrt((hi - lo) ** 2 / 12.0 + (first.a - (lo + hi) / 2.0) ** 2)
    return replace(first, u=max(spread, SINGLE_VALUE_U), of_rows=len(apply), rows_lo=lo, rows_hi=hi)


def handbook(alloy: str, size_mm: float | None = None, construction: str | None = None) -> list[Handbook]:
    """Every printed contraction for the alloy that may apply, best first; values that disagree stay listed.

    Order: construction as asked, before its kin (open and free, cored and restrained) and rows for any, before the
    opposite; the alloy as named before its relatives; a size range that holds `size_mm` before rows for any size; then
    by kind of source: standards, handbooks, pages of the web, shop practice; the kin before rows for any; the general
    name before a variety; a current table before an old general one; found before recalled; then the order of the
    file. Rows for another size are left out. With no construction given, rows for unrestrained castings come first.
    Empty for an unknown alloy.
    """
    return [entry for _, entry in _ranked(alloy, size_mm, construction)]


class _Rank(NamedTuple):
    """How well a row fits what was asked; lower is better, from the left."""

    construction: int  # 0 as asked, 1 kin or any, 2 the opposite; not asked: 1 for restrained rows
    relative: bool
    size: int  # 0 goes by the size, or is for any where none is known; 1 goes by another thing or by none; 2 by section
    kind: int
    kin: int
    variety: int
    old: bool
    status: int
    order: int


def _applies(rank: _Rank, best: _Rank, size_mm: float | None, construction: str | None) -> bool:
    """Whether a row speaks of the same thing as the best one, so that what it prints counts against it.

    A row that goes by the size is better than any that does not; where no size is known, every size may be meant.
    """
    opposite = bool(construction) and rank.construction > 1
    passed_over = size_mm is not None and best.size == 0 and rank.size > 0
    return not (rank.relative or opposite or passed_over)


def _ranked(alloy: str, size_mm: float | None, construction: str | None) -> list[tuple[_Rank, Handbook]]:
    """Every row that may apply with its rank, best first."""
    named, related = _matches(alloy)
    ranked = []
    for order, row in enumerate(tables.rows("contraction")):
        if order not in named and row["group"] not in related:
            continue
        size_rank = _size_rank(row, size_mm)
        if size_rank is None:
            continue
        fit, kin = _construction_rank(row["construction"], construction)
        rank = _Rank(
            construction=fit,
            relative=order not in named,
            size=size_rank,
            kind=tables.KINDS.index(row["source_kind"]),
            kin=kin,
            variety=named.get(order, 2),
            old=row["use"] == "old",
            status=_STATUS_RANK[row["status"]],
            order=order,
        )
        ranked.append((rank, _read(row)))
    return sorted(ranked, key=lambda pair: pair[0])


def learn(
    tool_mm: Sequence[float], cast_mm: Sequence[float], u_tool: float | Sequence[float], u_cast: float | Sequence[float]
) -> Learned:
    """Fit tool = cast * (1 + a) with errors in both readings (York's method without an intercept).

    Lengths in mm along one axis, of features with both ends on one tool, so that shifts cannot leak in; standard
    uncertainties in mm, one for all or one for each. The sum of squares of (tool - cast*(1 + a)) over their variance
    u_tool^2 + (1 + a)^2 u_cast^2 is at its least. Source: York et al. 2004, Am. J. Phys. 72; Birge's scaling of u.
    Raises DataError when nothing can be learnt.
    """
    tools, casts, s_tool, s_cast = _pairs(tool_mm, cast_mm, u_tool, u_cast)
    slope = sum(t * c for t, c in zip(tools, casts, strict=True)) / sum(c * c for c in casts)
    weights: list[float] = []
    adjusted: list[float] = []
    for _ in range(_ITERATIONS):
        weights = [1.0 / (st * st + (slope * sc) ** 2) for st, sc in zip(s_tool, s_cast, strict=True)]
        adjusted = [
            w * (st * st * c + slope * sc * sc * t)
            for w, st, sc, t, c in zip(weights, s_tool, s_cast, tools, casts, strict=True)
        ]
        above = sum(w * x * t for w, x, t in zip(weights, adjusted, tools, strict=True))
        new = above / sum(w * x * c for w, x, c in zip(weights, adjusted, casts, strict=True))
        done = abs(new - slope) <= 4e-16 * abs(new)
        slope = new
        if done:
            break
    residuals = tuple(t - slope * c for t, c in zip(tools, casts, strict=True))
    chi2 = sum(w * r * r for w, r in zip(weights, residuals, strict=True))
    u_stated = 1.0 / sqrt(sum(w * x * x for w, x in zip(weights, adjusted, strict=True)))
    dof = len(tools) - 1
    birge = sqrt(chi2 / dof) if dof else 1.0
    pulls = tuple(r * sqrt(w) for w, r in zip(weights, residuals, strict=True))
    return Learned(
        a=slope - 1.0,
        u=u_stated * max(1.0, birge),
        n=len(tools),
        chi2=chi2,
        dof=dof,
        residuals_mm=residuals,
        pulls=pulls,
        u_stated=u_stated,
    )


def _pairs(
    tool_mm: Sequence[float], cast_mm: Sequence[float], u_tool: float | Sequence[float], u_cast: float | Sequence[float]
) -> tuple[list[float], list[float], list[float], list[float]]:
    tools, casts = [float(t) for t in tool_mm], [float(c) for c in cast_mm]
    if not tools or len(tools) != len(casts):
        raise DataError("learning a contraction needs at least one pair, each with a tool and a casting reading")
    columns = []
    for u in (u_tool, u_cast):
        each: Iterable[float] = repeat(float(u), len(tools)) if isinstance(u, (int, float)) else map(float, u)
        columns.append(list(each))
    s_tool, s_cast = columns
    if len(s_tool) != len(tools) or len(s_cast) != len(tools):
        raise DataError("give one uncertainty for all readings or one for each reading")
    for t, c, st, sc in zip(tools, casts, s_tool, s_cast, strict=True):
        if not (isfinite(t) and isfinite(c) and t > 0.0 and c > 0.0):
            tool, cast = MM.given(t, unit=False), MM.given(c, unit=False)
            raise DataError(f"a tool of {tool} and a casting of {cast} are not a pair of lengths")
        if not (st >= 0.0 and sc >= 0.0 and 0.0 < st * st + sc * sc < 1e10):
            raise DataError("every pair needs an uncertainty above zero on the tool or the casting")
    return tools, casts, s_tool, s_cast


# ------------------------------------------------------------------------------ matching names, sizes, construction
def _matches(alloy: str) -> tuple[dict[int, int], set[str]]:
    """Rows (by place in the file) that are the alloy as named, with their rank, and the groups of its relatives."""
    asked = _words(alloy)
    if not asked:
        return {}, set()
    names = _names()
    group = names.get(asked)
    own: dict[int, int] = {}
    for order, row in enumerate(tables.rows("contraction")):
        row_names = {_words(row["alloy"]), _words(re.sub(r"\(.*\)", "", row["alloy"]))}
        general = any(names.get(name) == row["group"] for name in row_names)
        if group is not None and row["group"] == group:
            own[order] = 0 if general else 1
        elif group is None and any(asked <= name for name in row_names):
            own[order] = 0
    if own or group is not None:
        return own, {row["group"] for order, row in enumerate(tables.rows("contraction")) if order in own}
    held = [name for name in names if name <= asked]  # such as "ductile iron" within "ductile iron grade 400"
    best = max(held, key=len, default=None)
    if best is None or any(names[name] != names[best] for name in held if len(name) == len(best)):
        return {}, set()
    return _matches(next(row["name"] for row in tables.rows("alloy_names") if _words(row["name"]) == best))


@cache
def _names() -> dict[frozenset[str], str]:
    return {_words(row["name"]): row["group"] for row in tables.rows("alloy_names")}


@lru_cache(maxsize=2000)  # the names of the table come again at every question
def _words(name: str) -> frozenset[str]:
    """The words of a name in one spelling, whatever their order."""
    plain = name.lower().replace(".", "").replace("gray", "grey").replace("aluminum", "aluminium")
    plain = plain.replace("not annealed", "unannealed")  # else "annealed" is found in it
    return frozenset(re.findall(r"[a-z0-9]+", plain)) - {"alloy", "alloys", "and"}


def _size_rank(row: tables.Row, size_mm: float | None) -> int | None:
    """0 applies by size, 1 applies to any size, 2 goes by something else; None is for another size."""
    if row["basis"] == "section":
        return 2
    if row["basis"] != "size":
        return 0 if size_mm is None else 1
    if size_mm is None:
        return 1
    return 0 if tables.within(size_mm, row) else None


def _construction_rank(printed: str, asked: str | None) -> tuple[int, int]:
    """How well a row's construction fits, and within a fit whether it is the kin of what was asked."""
    if not asked:
        return (1, 0) if printed in ("cored", "restrained") else (0, 0)
    asked = asked.strip().lower()
    if printed == asked:
        return 0, 0
    return (1, 0) if printed == _KIN.get(asked) else (1, 1) if printed == "any" else (2, 0)


def _read(row: tables.Row) -> Handbook:
    factor = _UNIT_FACTOR[row["unit"]]
    lo, hi = float(row["lo"]) * factor, float(row["hi"]) * factor
    a = float(row["typ"]) * factor if row["typ"] else (lo + hi) / 2.0
    note = row["note"]
    if row["of"] == "pattern":
        lo, hi, a = of_pattern(lo), of_pattern(hi), of_pattern(a)
        note = "; ".join(part for part in ("printed as a share of the pattern", note) if part)
    return Handbook(
        alloy=row["alloy"],
        construction=row["construction"],
        lo=lo,
        hi=hi,
        a=a,
        u=(hi - lo) / sqrt(12.0) if hi > lo else SINGLE_VALUE_U,
        source=row["source"],
        status=row["status"],
        note=note,
        text=row["text"],
        basis=row["basis"],
        size_over_mm=tables.number(row["over_mm"]),
        size_up_to_mm=tables.number(row["up_to_mm"]),
        kind=row["source_kind"],
        weak=tables.weak(row),
    )
