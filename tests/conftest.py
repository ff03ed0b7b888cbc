"""What holds for all tests."""

from hypothesis import settings

settings.register_profile("no clock", deadline=None)
settings.load_profile("no clock")
