"""Counts of cores and moulds, repairs, tools in and out of use: entered, taken from files, added up."""
