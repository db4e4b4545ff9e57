"""What holds for every test: generated examples are not timed, since a busy machine is no fault of theirs."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
