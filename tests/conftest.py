"""What all tests share: hypothesis draws the same examples every time and does not look at the clock."""

from hypothesis import settings

settings.register_profile("linewright", deadline=None, derandomize=True)
settings.load_profile("linewright")
