"""The record: facts in, state out. Pure Python; it knows no web framework, no database and no clock.

Times are whole minutes since 1970-01-01T00:00Z; ids are the public ids of the tables.
"""
