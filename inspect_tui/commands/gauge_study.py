"""`inspect-tui gauge study`: a study from a CSV file or from the record, as tables and pictures or as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import console, open_record, print_json, talk, written

if TYPE_CHECKING:
    from argparse import Namespace

    from inspect_tui.shop.gauges.results import Result


def run(args: Namespace) -> int:
    """0 with a result, 1 when readings of a study in the record lack; 2 for bad input."""
    from inspect_tui.shop.gauges import study_file

    if args.to is not None and args.of is None:
        talk("inspect-tui: --to writes the readings of a study in the record: name it with --of TITLE.")
        return 2
    if (args.file is None) == (args.of is None):
        talk("inspect-tui: name a CSV, XLSX, ODS or XLS file, or a study in the record with --of TITLE.")
        return 2
    if args.file is not None:
        result, unit, remarks = study_file.study(
            args.file, args.band, args.design, written(), sheet=args.sheet, step=args.step
        )
    else:
        result, unit, remarks = _from_record(args)
        if result.missing:
            talk(f"inspect-tui: {result.title}: {result.missing}; until then it stays blind.")
            return 1
        if args.to is not None:
            return _write_rows(args, result, unit)
    for remark in remarks:
        talk(remark)
    if args.json:
        print_json(study_json(result, unit))
    else:
        _print_study(result, unit)
    return 0


def _from_record(args: Namespace) -> tuple[Result, str, tuple[str, ...]]:
    from inspect_tui.frozen import replace
    from inspect_tui.shop.common import find
    from inspect_tui.shop.gauges import results
    from inspect_tui.shop.gauges.units import band_width

    record = open_record(args, read_only=True)
    try:
        study = find.pick(args.of, record.gauge_studies(), lambda s: s.title, "gauge study")
        family, unit = ("angle", "deg") if study.quantity == "angle" else ("length", "mm")
        if args.band is not None:
            study = replace(study, band_mm=band_width(args.band, family))
        return results.evaluate(record, study, written(), args.as_it_stands), unit, ()
    finally:
        record.close()


def _write_rows(args: Namespace, result: Result, unit: str) -> int:
    """The readings of a study in the record as a table that is read as a study again."""
    from inspect_tui.report.export import csv_file
    from inspect_tui.report.paper.file import target

    path = target(args.to)
    cells = [(row.part, row.person, row.trial, row.value) for row in result.rows]
    csv_file.write(path, ("part", "person", "trial", f"value [{unit}]"), cells)
    print(f"{len(cells)} readings of {result.title} written to {args.to}")
    return 0


def study_json(result: Result, unit: str = "") -> dict[str, Any]:
    """A study as one JSON object."""
    out: dict[str, Any] = {"title": result.title, "design": result.design, "unit": unit or None, "band": result.band}
    if result.crossed is not None:
        c = result.crossed
        out |= {
            "parts": list(c.parts),
            "people": list(c.people),
            "trials": c.trials,
            "pooled": c.pooled,
            "step": c.step,
            "lacking": c.lacking,
            "at_the_step": c.floored,
            "interaction_p": c.interaction_p,
            "anova": c.anova.figures() | {"interaction": c.anova.interaction, "intervals": _intervals(c.anova)},
            "range": c.range.figures() if c.range else None,
            "table": [{"source": r.source, "ss": r.ss, "dof": r.dof, "ms": r.ms, "f": r.f, "p": r.p} for r in c.table],
            "people_repeat": [
                {"person": s.person, "s": s.s, "lower": s.lower, "upper": s.upper, "stands_out": s.stands_out}
                for s in c.spreads
            ],
            "people_read": [
                {"person": b.person, "bias": b.bias, "lower": b.lower, "upper": b.upper, "stands_out": b.stands_out}
                for b in c.biases
            ],
            "verdict": c.verdict,
            "assumptions": list(c.assumptions),
            "sentences": list(c.sentences),
        }
    if result.bias is not None:
        out["bias"] = _bias_json(result.bias)
    if result.linearity is not None:
        line = result.linearity
        out["linearity"] = {
            "slope": line.slope,
            "u_slope": line.u_slope,
            "intercept": line.intercept,
            "u_intercept": line.u_intercept,
            "s": line.s,
            "dof": line.dof,
            "r_squared": line.r_squared,
            "p_slope": line.p_slope,
            "p_intercept": line.p_intercept,
            "references": list(line.references),
            "biases": [_bias_json(b) for b in line.biases],
            "sentence": line.sentence,
        }
    if result.stability is not None:
        out["stability"] = {
            "stable": result.stability.stable,
            "sentence": result.stability.sentence,
            "steps": [
                {"from_reading": s.index + 1, "before": s.before, "after": s.after} for s in result.stability.steps
            ],
        }
    return out


def _bias_json(b: Any) -> dict[str, Any]:
    from math import isfinite

    figures = {"n": b.n, "bias": b.bias, "s": b.s, "u": b.u, "lower": b.lower, "upper": b.upper, "differs": b.differs}
    return {k: (v if not isinstance(v, float) or isfinite(v) else None) for k, v in figures.items()} | {
        "sentence": b.sentence
    }


def _intervals(components: Any) -> dict[str, Any]:
    names = ("repeatability", "reproducibility", "combined", "part", "total")
    return {n: {"lower": (sd := getattr(components, n)).lower, "upper": sd.upper, "dof": sd.dof} for n in names}


def _print_study(result: Result, unit: str) -> None:
    from inspect_tui.metrology.typed.words import capital

    out = console()
    width = min(out.width, 100)
    if result.crossed is not None:
        from inspect_tui.report.term import gauge as term_gauge

        study = result.crossed
        out.print(term_gauge.table_text(study, unit=unit, style=written()))
        out.print(term_gauge.pieces_text(result.rows, study.people, width=width, unit=unit, style=written()))
        out.print(term_gauge.people_text(study, width=width, unit=unit, style=written()))
        out.print(term_gauge.shares_text(study, width=width, unit=unit, style=written()))
        if result.band is not None:
            stated = "" if unit else " (the file names no unit: taken to be in mm)"
            own, word = written().readings_in(unit)
            print(f"Band: {own.given(result.band, unit=False)} {word or 'mm'} wide{stated}.")
        of_people = {s.sentence for s in study.spreads} | {b.sentence for b in study.biases}  # begin with initials
        for sentence in (study.verdict, *study.sentences):
            print(sentence if sentence in of_people else capital(sentence))
        print("Holds for: " + "; ".join(study.assumptions))
        print(term_gauge.PRACTICE)
    for answer in (result.bias, result.linearity, result.stability):
        if answer is not None:
            print(capital(answer.sentence))
    if result.linearity is not None:
        for size, bias in zip(result.linearity.references, result.linearity.biases, strict=True):
            print(f"  at {written().given(size, unit=False)}: {bias.sentence}")
