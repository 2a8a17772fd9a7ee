"""What every test shares: how many examples hypothesis draws, and whether it draws the same ones again.

A profile is chosen with HYPOTHESIS_PROFILE; without it, `ci` where CI is set and `here` elsewhere.
"""

import os

from hypothesis import settings

settings.register_profile("here", deadline=None, max_examples=25)
settings.register_profile("ci", settings.get_profile("here"), derandomize=True, print_blob=True)
settings.register_profile("verify", deadline=None, max_examples=1000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE") or ("ci" if os.environ.get("CI") else "here"))
