"""Measuring the planner: a plain hand rule to compare with, and ``python -m planner bench``, which prints it all."""
