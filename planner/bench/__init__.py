"""Measuring the planner: a plain hand rule to compare with, and ``python -m planner bench``, which prints it all."""

from __future__ import annotations

from planner.bench.hand import hand_plan

__all__ = ["hand_plan"]
