"""Every row there is, so that a page can list them and a figure can be found by its code."""

from jobs.core.electrics.cables import list_table_rules
from jobs.core.electrics.clips import list_spacing_rules
from jobs.core.electrics.rule_rows import RULES
from jobs.core.electrics.rules import Rule


def every_rule() -> dict[str, Rule]:
    """All rows by code, rules before tables."""
    return RULES | {row.code: row for row in (*list_table_rules(), *list_spacing_rules())}
