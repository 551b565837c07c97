"""Where the program begins: an interrupt is quiet from here on, while it loads and when it ends."""

import os
import signal
from typing import NoReturn

EX_INTERRUPTED = 130


def start() -> NoReturn:
    """Run the command `latchwork`."""
    try:
        from verifier.cli.main import main

        main()
    except KeyboardInterrupt:
        os._exit(EX_INTERRUPTED)
    finally:
        # The status is known, and nothing is left to be stopped.
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    raise AssertionError("a command returned")
