"""Papers for the foundry: setting sheet, kit list, labels, come-back sheet; `write` chooses the form by the ending."""

from inspect_tui.report.kit.forms import FORMS, make, write

__all__ = ["FORMS", "make", "write"]
