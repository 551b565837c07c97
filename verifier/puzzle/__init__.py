"""The puzzle maker's questions: the way through, the way round, dead ends, how hard it is."""
