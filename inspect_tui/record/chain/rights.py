"""Who may decide: acts that take something out, give it out, or set what all others go by; and the PIN of a person.

A PIN keeps somebody from deciding in another's name at a bench that many use. It is no lock of the file: whoever can
write to the disk can write to the record, and the chain shows that something was written.
"""

from __future__ import annotations

import os

from inspect_tui.model.measuring import Person
from inspect_tui.record import kinds
from inspect_tui.record.kinds import Kind

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

MAY_NOT = ("foundry", "guest")  # roles that look on and measure
LEAST, MOST = 4, 64  # letters of a PIN
_COST = 14  # scrypt with n = 2^14, r = 8, p = 1: about 40 ms, and 16 MB


def decides(kind: Kind, thing: Any) -> str:
    """What is decided by writing this thing, as words after `who may`; \'\' where nothing is."""
    if kind is kinds.SUPERSEDE:
        return "take a reading out" if thing.replacement_id is None else ""
    if kind is kinds.SHIPMENT:
        return "ship with open points" if thing.why_open else ""
    if kind is kinds.ARTICLE_SIGN:
        return "release a first article" if thing.act == "released" else "check a first article"
    return _DECIDES.get(kind, "")


_DECIDES = {
    kinds.WITHDRAWAL: "withdraw something",
    kinds.SAME_THING: "say that two things are one",
    kinds.REPORT_SNAPSHOT: "give a paper out",
    kinds.INSTRUMENT_BIAS: "say what a gauge reads wrongly",
    kinds.WEAR_LIMIT: "agree a wear limit",
    kinds.DISPOSITION: "decide what becomes of what does not conform",
}


def may(person: Person, what: str) -> str:
    """'' where the role of a person may decide this, else why not."""
    if person.role in MAY_NOT:
        return f"{person.initials} is here as {person.role}: a maker, an inspector or the lead may {what}."
    return ""


def pin_hash(pin: str) -> str:
    """A PIN or passphrase as it is kept: cost, salt and hash. ValueError for one that is too short or too long."""
    if not LEAST <= len(pin.strip()) <= MOST:
        raise ValueError(f"a PIN has {LEAST} to {MOST} letters or digits")
    salt = os.urandom(16)
    return f"scrypt${_COST}${salt.hex()}${_hashed(pin, salt, _COST).hex()}"


def fits(pin: str, kept: str) -> bool:
    """Whether a PIN is the one that is kept; False for anything that cannot be read."""
    import hmac  # not needed by who only measures

    try:
        name, cost, salt, written = kept.split("$")
        if name != "scrypt" or not 10 <= int(cost) <= 20:
            return False
        made = _hashed(pin, bytes.fromhex(salt), int(cost))
        return hmac.compare_digest(made, bytes.fromhex(written))
    except ValueError:
        return False


def _hashed(pin: str, salt: bytes, cost: int) -> bytes:
    from hashlib import scrypt

    return scrypt(pin.strip().encode(), salt=salt, n=1 << cost, r=8, p=1, maxmem=64 << 20, dklen=32)
