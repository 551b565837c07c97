"""From tree to a resolved design: names, units, times, wiring, claims."""
