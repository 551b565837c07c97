"""Everything that speaks to the solver; no other package imports it."""
