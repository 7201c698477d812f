"""Forms of the Kit place for what came back from a foundry, for a passage with its formula, and for a loop by hand."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

from inspect_tui.model.kit import Passage, Stack, StackMember
from inspect_tui.shop.kit import edit as kit_edit
from inspect_tui.shop.kit import passages as kit_passage
from inspect_tui.shop.kit import shipping
from inspect_tui.shop.kit.facts import KitData
from inspect_tui.tui.choosers import Form

if TYPE_CHECKING:
    from inspect_tui.tui.kit.actions import KitActions

MEMBER = re.compile(r"([+-])\s*(\S+)\s+(-?\d+(?:[.,]\d+)?)\s*(?:±|\+/-|\+-)\s*(\d+(?:[.,]\d+)?)")


def came_back(screen: KitActions, data: KitData) -> None:
    """Write what came back from the newest shipment that is still out, counted."""
    back = {shipment.out_id for shipment, _ in data.shipments if shipment.way == "back"}
    out = [(s, lines) for s, lines in data.shipments if s.way == "out" and s.id not in back]
    if not out:
        screen.say("Nothing is out: everything that was shipped has come back.")
        return
    shipment, lines = max(out, key=lambda pair: pair[0].done_on)
    listed = ", ".join(f"{x.what}:{x.loose_pieces}" if x.loose_pieces is not None else x.what for x in lines)
    asked = [
        ("on", "day: such as 2026-03-31", date.today().isoformat()),
        ("what", "what: leave out what did not come; box 3:4 is with 4 loose pieces", listed),
        ("condition", "condition: a few words", ""),
    ]

    def wrong(values: dict[str, str]) -> str | None:
        read = _parcels(values["what"])
        if isinstance(read, str):
            return read
        try:
            on = date.fromisoformat(values["on"])
        except ValueError:
            return f"'{values['on']}' is no date such as 2026-03-31."
        left = date.fromisoformat(shipment.done_on)
        return f"It left on {left}: nothing comes back before that." if on < left else None

    def write(values: dict[str, str] | None) -> None:
        parcels = _parcels(values["what"]) if values else ""
        if values is None or isinstance(parcels, str):
            return

        def act() -> str:
            _, said = shipping.came_back(
                screen.record, data.job, shipment, values["on"], parcels, values["condition"] or None, screen.by
            )
            return f"{len(parcels)} things back from {shipment.to_whom}. " + ". ".join(said)

        screen.attempt(act)

    screen.app.push_screen(Form(f"Back from {shipment.to_whom}, shipped {shipment.done_on}", asked, wrong), write)


def _parcels(text: str) -> list[shipping.Parcel] | str:
    """Parcels from `box 1, box 3:4`; a sentence for a count that is none."""
    found = []
    for word in (w.strip() for w in text.split(",")):
        what, colon, loose = word.partition(":")
        if colon and not loose.strip().isdigit():
            return f"{word}: behind the colon stands how many loose pieces came with it."
        if what.strip():
            found.append(shipping.Parcel(what.strip(), loose_pieces=int(loose) if colon else None))
    return found or "Nothing is on the list: say what came back."


def new_passage(screen: KitActions, data: KitData) -> None:
    """A passage as a formula over balloons, with the capacity it is rated for."""
    asked = [
        ("label", "label: such as A1", ""),
        ("name", "name: such as throat area", ""),
        ("formula", "formula: such as pi/4*F41*F55", ""),
        ("rated", "rated: such as 46.0; may be left out", ""),
        ("unit", "unit: of the rating, such as m3/min", ""),
        ("minimum", "least: acceptable; may be left out", ""),
    ]

    def read(values: dict[str, str]) -> Passage | str:
        if not values["label"]:
            return "Give it a label, such as A1."
        formula = kit_passage.read(data, values["formula"])
        if isinstance(formula, str):
            return formula
        try:
            rated, least = (float(values[k].replace(",", ".")) if values[k] else None for k in ("rated", "minimum"))
        except ValueError:
            return "Rating and least are plain numbers."
        if least is not None and rated is None:
            return "A least capacity needs the rating that it belongs to."
        return Passage(
            job_of_id=data.job.of_id,
            label=values["label"],
            name=values["name"] or values["label"],
            formula=values["formula"],
            unit=values["unit"] or None,
            rated=rated,
            minimum=least,
        )

    def wrong(values: dict[str, str]) -> str | None:
        made = read(values)
        return made if isinstance(made, str) else None

    def write(values: dict[str, str] | None) -> None:
        made = read(values) if values else ""
        if isinstance(made, Passage):
            screen.attempt(
                lambda: f"Passage {kit_edit.add_passage(screen.record, data.job, made, screen.by).label} added."
            )

    screen.app.push_screen(Form("A new passage", asked, wrong), write)


def new_loop(screen: KitActions, data: KitData) -> None:
    """A wall's loop written by hand; the program finds the others by itself."""
    asked = [
        ("label", "label: such as ST3", ""),
        ("name", "name: such as neck wall", ""),
        ("members", "members: + F12 7 ±0.2; - K4 0 ±0.25 (a fit's label follows that fit)", ""),
        ("limits", "limits: least and most of the casting, such as 6 8; may be left out", ""),
    ]

    def read(values: dict[str, str]) -> tuple[Stack, list[StackMember]] | str:
        if not values["label"]:
            return "Give it a label, such as ST3."
        members = _members(data, values["members"])
        if isinstance(members, str):
            return members
        try:
            limits = [float(x.replace(",", ".")) for x in values["limits"].split()]
        except ValueError:
            return "Limits are two plain numbers, such as 6 8."
        if len(limits) not in (0, 2) or (limits and limits[0] > limits[1]):
            return "Limits are two numbers, the smaller first, such as 6 8."
        lower, upper = limits or (None, None)
        stack = Stack(
            job_of_id=data.job.of_id,
            label=values["label"],
            name=values["name"] or values["label"],
            lower=lower,
            upper=upper,
        )
        return stack, members

    def wrong(values: dict[str, str]) -> str | None:
        made = read(values)
        return made if isinstance(made, str) else None

    def write(values: dict[str, str] | None) -> None:
        made = read(values) if values else ""
        if not isinstance(made, str):
            stack, members = made
            screen.attempt(lambda: f"Loop {kit_edit.add_stack(screen.record, stack, members, screen.by).label} added.")

    screen.app.push_screen(Form("A loop by hand", asked, wrong), write)


def _members(data: KitData, text: str) -> list[StackMember] | str:
    """Members from `+ F12 7 ±0.2; - K4 0 ±0.25`, or what is wrong with one of them."""
    fits = {fit.label.casefold(): fit.id for fit in data.fits}
    made: list[StackMember] = []
    for part in (p.strip() for p in text.split(";")):
        if not part:
            continue
        match = MEMBER.fullmatch(part)
        if match is None:
            return f"'{part}' is no member: write + or -, a name, its size and ± its tolerance, such as + F12 7 ±0.2."
        sign, name, size, tolerance = match.groups()
        half = float(tolerance.replace(",", "."))
        made.append(
            StackMember(
                stack_id=b"",
                ord=len(made) + 1,
                name=name,
                sense=1 if sign == "+" else -1,
                size_mm=float(size.replace(",", ".")),
                plus_mm=half,
                minus_mm=half,
                shape="uniform" if name.casefold() in fits else "normal",
                fit_id=fits.get(name.casefold()),
            )
        )
    return made or "A loop needs at least one member, such as + F12 7 ±0.2."
