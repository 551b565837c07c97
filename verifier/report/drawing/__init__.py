"""Drawings as SVG: the time diagram of a run, and the wiring of a design."""
