"""PostgreSQL as Django knows it, which is also told for which firm the work is done."""
