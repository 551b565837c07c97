"""The page: one file that shows answers, wiring and runs, moment by moment."""
