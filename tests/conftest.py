"""One profile for every property: the same examples on every run, and no deadline (a slow machine is no fault)."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "tackfree",
    derandomize=True,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.load_profile("tackfree")
