"""Gauges: certificates, checks, biases, studies."""
