"""How tests run: properties with no time limit, under CI with the same examples; packs in one process."""

import os

from hypothesis import settings

settings.register_profile("bench", deadline=None, print_blob=True)
settings.register_profile("ci", deadline=None, print_blob=True, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "bench")

os.environ["TRACER_ALONE"] = "1"  # all that a test changes or counts happens in this process
