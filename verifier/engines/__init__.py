"""Engines: techniques that look for evidence, all on the same terms."""
