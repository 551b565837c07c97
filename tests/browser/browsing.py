"""The browser that the tests look at pages with: Debian's, as `.ci/run` installs it."""

import os
import shutil

CHROMIUM = os.environ.get("LATCHWORK_CHROMIUM") or shutil.which("chromium") or ""
"""Where it is; "" where there is none."""

REQUIRED = os.environ.get("LATCHWORK_BROWSER") == "required"
"""Whether it is an error that there is none: CI sets this, so that nothing is left out unseen."""
