"""What holds for every test: generated examples are not timed, since a busy machine is no fault of theirs.

On a build machine (CI in the environment) the examples are the same at each run, so that a change is judged
by what it changes; at a desk they are new ones each time.
"""

import os

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.register_profile("build", deadline=None, derandomize=True)
settings.load_profile("build" if os.environ.get("CI") else "untimed")
