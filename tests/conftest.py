"""What all tests share: how hypothesis runs."""

from __future__ import annotations

from hypothesis import HealthCheck, Phase, settings

settings.register_profile(
    "tabtools",
    deadline=None,
    database=None,
    derandomize=True,
    max_examples=100,
    phases=(Phase.explicit, Phase.generate, Phase.shrink),
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("tabtools")
