"""What the tests of the craft share: no deadline for one example, since a busy machine is no fault of a formula."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

settings.register_profile("craft", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("craft")
