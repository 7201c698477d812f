"""Tests of files that come in on the screen."""
