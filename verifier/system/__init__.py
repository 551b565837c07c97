"""From design to Booleans and clocks, with the meaning of one tick."""
