"""One hypothesis profile for every machine: seeded, so that a red run is red again."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: matrices are small, and workers share the cores

from hypothesis import HealthCheck, settings

settings.register_profile("mounts", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("mounts")

collect_ignore = ["third_kind"]  # files of a kind and a style that a test adds to the program
