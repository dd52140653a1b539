"""Shared settings of the tests.

Engines, parts and readings in a test that names no source are invented.
"""

from hypothesis import settings

# A busy machine is no reason to fail: claims of speed live in tests/bench.
settings.register_profile("shop", deadline=None)
settings.load_profile("shop")
