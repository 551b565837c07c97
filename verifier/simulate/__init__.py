"""Runs of a system: directed ones, random ones, and what is learned from them."""
