"""How property tests run: no time limit on a busy machine; under CI the same examples every time."""

import os

from hypothesis import settings

settings.register_profile("bench", deadline=None, print_blob=True)
settings.register_profile("ci", deadline=None, print_blob=True, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "bench")
