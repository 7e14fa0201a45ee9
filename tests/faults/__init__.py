"""What goes wrong in the world, and where it is done on purpose, on SQLite and on PostgreSQL where that matters.

- The program killed before, within or after a step, and an answer that is lost: `test_killed_histories.py`,
  `test_killed_runner.py`; a server killed while phones send: `tests/browser/test_airplane_day.py`.
- Work delivered twice, a lease that ran out: `tests/test_outbox.py`, `test_killed_runner.py`.
- The broker away, frozen, emptied, killed and started again: `test_broker.py`, `test_notices.py`.
- Rows or the whole database held by somebody else: `test_locked_rows.py`, `tests/web/test_middleware.py`.
- A disk that is full: `tests/web/test_middleware.py`.
- Clocks that are days wrong or change in the night: `test_phones.py`, `tests/core/test_ticks.py`; in any order:
  `tests/actions/test_histories.py`.
- Two at the same thing: `test_phones.py`, `test_stock_races.py`.
- Uploads that drip: `tests/test_serving.py`.
"""
