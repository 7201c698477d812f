"""Lets `python -m inspect_tui` do what `inspect-tui` does."""

from inspect_tui.cli import program

program()
