"""Measurements beside an outside yardstick, a module for each: `HELP`, `add_arguments(parser)`, `run(tell, **options)`."""


class BenchError(Exception):
    """Why nothing can be measured, and what to do, in a sentence."""
