"""Tests of what the foundry sends back."""
