"""One first-article result in six forms: HTML, PDF, XLSX, CSV, JSON and QIF. `write` chooses by the file's ending."""

from inspect_tui.report.first_article.forms import FORMS, make, without_annex, write

__all__ = ["FORMS", "make", "without_annex", "write"]
