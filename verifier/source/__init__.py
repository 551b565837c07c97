"""Texts, places in them, diagnostics and their codes."""
