"""The command line: options, a call, an exit status."""
