"""The builder's own questions: rhythm, units, settings that serve, and how far they may drift."""
