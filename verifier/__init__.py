"""Latchwork: answers what a timed door, light or trap circuit does before it is built."""
