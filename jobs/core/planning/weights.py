"""What the planner wants, in order, and how it weighs what comes last. The only place to change either.

1. pins and accepted visits are kept (rules, not wishes);
2. promised finishes: fewest sessions late, over all jobs;
3. told dates: fewest moved;
4. the coming week: fewest packages moved that people are booked on;
5. flow: work early and without gaps, the weighted sum below, in sessions.
"""

FINISH_OF_JOB = 3
"""For each session a job ends later."""

STRETCH_OF_JOB = 1
"""For each session between a job's first and last work: nobody likes to live in a building site."""

END_OF_ACTIVITY = 1
"""For each session a package or visit ends later."""

MOVED_START = 1
"""For each package or visit that starts elsewhere than in the plan before, when that is known: nothing moves for less
than it brings. Told dates and the coming week come before flow anyway."""

COMING_WEEK_SESSIONS = 10
"""How far ahead bookings are kept where they are, if nothing better speaks against it."""

LONGEST_PART_SESSIONS = 10
"""Longer packages are planned in parts of at most a week, between which their crew may change."""

TICKS_PER_HOUR = 4
"""The planner's clock: quarters of an hour; work is rounded up to it."""
