"""What goes wrong in the world, and where it is done on purpose, on SQLite and on PostgreSQL where that matters.

| fault | here |
|---|---|
| the program killed at work, before, within or after a step; an answer that is lost | `test_killed_histories.py`, `test_killed_runner.py` |
| work delivered twice, a lease that ran out | `tests/test_outbox.py`, `test_killed_runner.py` |
| the broker away, frozen, emptied, killed and started again | `test_broker.py`, `test_notices.py`, `tests/test_messenger.py` |
| rows or the whole database held by somebody else | `test_locked_rows.py`, `tests/web/test_middleware.py` |
| a disk that is full | `tests/web/test_middleware.py` |
| clocks that are days wrong, or change in the night | `test_phones.py`, `tests/actions/test_histories.py`, `tests/core/test_ticks.py` |
| two at the same thing | `test_phones.py`, `test_stock_races.py` |
| uploads that drip | `tests/test_serving.py` |
| a server killed while phones send | `tests/browser/test_airplane_day.py`, `tests/browser/test_site_offline.py` |
"""
