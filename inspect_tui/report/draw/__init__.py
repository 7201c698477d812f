"""Drawings: band and chart described once, painted in cells and in SVG."""
