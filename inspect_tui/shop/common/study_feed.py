"""What a gauge study gives the budget of a reading: how well the instrument repeats in these hands.

Plain arithmetic on purpose: it runs between Enter and the verdict, where numpy is not loaded. The figures are those of
`metrology/gauge_study.py` (a test holds them together); what is added here is whose repeatability counts. How people
differ from each other stays out of it: a reading is one person's, and three people say little about all (2 degrees of
freedom); the study itself shows it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import fsum, sqrt

from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.judge._dist import f_tail
from inspect_tui.metrology.judge.uncertainty import Study
from inspect_tui.model.measuring import Instrument
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature
from inspect_tui.record.ask.gauges import StudyCell
from inspect_tui.record.read import Reader
from inspect_tui.shop.common.judging import Means

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.model.gauges import GaugeStudy

POOL_ABOVE = 0.25  # as in the study itself: an interaction with a larger p-value counts as repeatability
RISK = 0.05  # of setting anybody apart although all repeat alike


@frozen_by_name
class Feed:
    """One complete crossed study as a budget takes it; standard deviations in mm (degrees for angles)."""

    study: GaugeStudy
    s: float  # repeatability of everybody together, as the analysis of variance gives it
    dof: int
    apart: dict[Id, tuple[float, int]]  # people whose repeatability differs from the others': own s and dof
    rest: tuple[float, int] | None  # the others together, when somebody is set apart
    people: dict[Id, str]  # of_id and initials
    rows: frozenset[Id] = frozenset()  # the study's feature in every edition of its drawing

    def repeatability(self, who: Id | None) -> Study:
        """The study's s for a person (of_id): the own one of those set apart, of the others together, or of all."""
        label = f"gauge study {self.study.title}"
        if who in self.apart:
            s, dof = self.apart[who]
            return Study(s, dof, f"{label}, {self.people[who]} alone")
        if self.rest is not None and who in self.people:
            left = ", ".join(self.people[person] for person in self.apart)
            return Study(*self.rest, f"{label}, without {left}")
        return Study(self.s, self.dof, label)


def feeds(record: Reader, instrument: Instrument, known: Mapping[Id, str] | None = None) -> tuple[Feed, ...]:
    """The complete crossed studies of an instrument, newest first; incomplete ones say nothing yet.

    `known`: initials of people by of_id, where they were read already.
    """
    cells = record.study_cells(instrument.of_id)
    if not cells:
        return ()
    complete = []
    for study in reversed(record.gauge_studies(instrument.of_id)):
        if study.id in cells:
            takers, names = record.gauge_people(study.id), known or {}
            if not all(taker.person_of_id in names for taker in takers):
                names = {person.of_id: person.initials for person in record.with_withdrawn().people()}
            people = {taker.person_of_id: names[taker.person_of_id] for taker in takers}
            feed = feed_of(study, cells[study.id], len(record.gauge_parts(study.id)), people)
            if feed is not None:
                of = study.feature_id
                complete.append(replace(feed, rows=frozenset({of, *record.feature_lineage(of)} if of else ())))
    return tuple(complete)


def fed(means: Means, from_: Sequence[Feed], feature: Feature, who: Id | None) -> Means:
    """The instrument with the study that speaks for a feature in these hands (of_id): of the feature, else its kind."""
    fits = [feed for feed in from_ if feed.study.quantity in (None, feature.quantity)]
    same = [feed for feed in fits if feature.id in feed.rows]
    if not fits:
        return means
    return replace(means, study=(same or fits)[0].repeatability(who))


def feed_of(study: GaugeStudy, cells: Sequence[StudyCell], parts: int, people: dict[Id, str]) -> Feed | None:
    """The feed of a study from its readings; None while readings lack or where nothing was repeated."""
    table: dict[tuple[int, Id], list[float]] = {}
    for cell in cells:
        table.setdefault((cell.part, cell.person_of_id), []).append(cell.value)
    p, o, r = parts, len(people), study.trials
    if len(table) != p * o or any(len(values) != r for values in table.values()) or r < 2:
        return None
    first = next(iter(table.values()))[0]  # leading digits that all share would cost digits of the squares
    mean = {key: fsum(v - first for v in values) / r for key, values in table.items()}
    inside = {key: fsum((v - first - mean[key]) ** 2 for v in values) for key, values in table.items()}
    ss, dof = fsum(inside.values()), p * o * (r - 1)
    of_part = _means_by(mean, 0)
    of_person = _means_by(mean, 1)
    grand = fsum(mean.values()) / (p * o)
    inter_ss = r * fsum((m - of_part[a] - of_person[b] + grand) ** 2 for (a, b), m in mean.items())
    inter_dof = (p - 1) * (o - 1)
    if inter_dof and ss > 0 and f_tail((inter_ss / inter_dof) / (ss / dof), inter_dof, dof) > POOL_ABOVE:
        ss, dof = ss + inter_ss, dof + inter_dof
    own = {who: (fsum(v for (_, b), v in inside.items() if b == who), p * (r - 1)) for who in people}
    apart, rest = _apart(own)
    return Feed(study=study, s=sqrt(ss / dof), dof=dof, apart=apart, rest=rest, people=people)


def _means_by(cells: dict[tuple[int, Id], float], place: int) -> dict[int | Id, float]:
    groups: dict[int | Id, list[float]] = {}
    for key, value in cells.items():
        groups.setdefault(key[place], []).append(value)
    return {key: fsum(values) / len(values) for key, values in groups.items()}


def _apart(own: dict[Id, tuple[float, int]]) -> tuple[dict[Id, tuple[float, int]], tuple[float, int] | None]:
    """Who repeats unlike the others, by F tests, the one with the largest ratio first; own s, and s of the rest."""
    left = dict(own)
    apart: dict[Id, tuple[float, int]] = {}

    def ratio(who: Id) -> tuple[float, float, int, int]:
        ss, dof = left[who]
        rest_ss = fsum(s for other, (s, _) in left.items() if other != who)
        rest_dof = sum(d for other, (_, d) in left.items() if other != who)
        return (ss / dof) / (rest_ss / rest_dof) if rest_ss > 0 else float("inf"), ss, dof, rest_dof

    while len(left) > 1:
        furthest = max(left, key=lambda who: ratio(who)[0])
        f, ss, dof, rest_dof = ratio(furthest)
        if ss == 0.0:  # nobody's repeats differ at all
            break
        upper = f_tail(f, dof, rest_dof) if f < float("inf") else 0.0
        if 2.0 * min(upper, 1.0 - upper) * len(left) >= RISK:
            break
        apart[furthest] = (sqrt(ss / dof), dof)
        del left[furthest]
    if not apart:
        return {}, None
    dof = sum(d for _, d in left.values())
    return apart, (sqrt(fsum(s for s, _ in left.values()) / dof), dof)
