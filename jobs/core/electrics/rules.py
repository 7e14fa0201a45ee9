"""What a rule of the wiring is: its value, where it stands, and how sure that is.

Every figure the product works with is such a row, so that whatever is shown can be traced to it.
"""

from dataclasses import dataclass
from decimal import Decimal

from jobs.core.stages import Worded

CURRENT_EDITION = "BS 7671:2018+A4:2026"
EARLIER_EDITION = "BS 7671:2018+A2:2022 or earlier"
EDITION_NOTE = (
    f"The current edition is {CURRENT_EDITION}. The values here were taken from earlier editions and have not been "
    "checked against it."
)
CAUTION = (
    "Planning aid only. Follow the current Wiring Regulations, the law where you work, makers' instructions and your "
    "building control body. Electrical work must be designed, done and certified by people competent and, where "
    "required, registered. No figure here overrides a test result or a competent person."
)
FROM_MEMORY = "from memory, check"
NO_SOURCE = "common practice, no source"


class Mark(Worded):
    """How sure a value is."""

    CONFIRMED = "confirmed", "Confirmed in a published page or book; the standard itself was not opened"
    MEMORY = "memory", "From memory, check"
    PRACTICE = "practice", "Common practice, no source"
    DERIVED = "derived", "Worked out from other values"


@dataclass(frozen=True)
class Rule:
    """One row. `value` in `unit`, None where the rule is words; `edition` and `clause` are empty for practice."""

    code: str
    text: str
    value: Decimal | None
    unit: str
    edition: str
    clause: str
    mark: Mark
    source: str

    @property
    def place(self) -> str:
        """Edition and clause, as far as there are any."""
        return ", ".join(part for part in (self.edition, self.clause) if part)

    @property
    def reference(self) -> str:
        """Where it comes from, fit to stand beside a figure."""
        return ": ".join(dict.fromkeys(part for part in (self.place, self.source) if part))
