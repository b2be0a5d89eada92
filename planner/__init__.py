"""The planner: a scenario in, a plan out. Pure Python; it knows no web framework, no clock and no database.

:mod:`planner.jsonio` reads and writes both, :func:`planner.solve.solve` makes the plan and
:func:`planner.checks.check` says whether it is valid. ``FORMAT.md`` is the format and the rules.
"""
