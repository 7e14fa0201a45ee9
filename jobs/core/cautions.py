"""Cautions shown where work can hurt someone. They remind; they replace neither training nor a competent person."""

from collections.abc import Set
from dataclasses import dataclass

from jobs.core.stages import Stage


@dataclass(frozen=True)
class Caution:
    """What to beware of, the usual steps, and where the words come from."""

    title: str
    steps: tuple[str, ...]
    source: str = "common practice, no source"


ASBESTOS = Caution(
    "Asbestos",
    (
        "Assume it in anything built before 2000: textured ceilings, boards, lagging, old meter boards.",
        "See the refurbishment survey of what you are about to open. No result, no start.",
        "Suspect material: stop, leave the room, tell the office.",
    ),
    "Control of Asbestos Regulations 2012, regulation 5, from memory",
)
SAFE_ISOLATION = Caution(
    "Safe isolation",
    (
        "Get agreement, then open and lock off; keep the only key on you; post a notice.",
        "Prove the tester on a known source.",
        "Test every pair at the point of work: line to earth, line to neutral, neutral to earth.",
        "Prove the tester again. A non-contact pen proves nothing.",
        "Do not work live to save time.",
    ),
    "Electricity at Work Regulations 1989, regulations 13 and 14, from memory",
)
OLD_WIRING = Caution(
    "Old wiring",
    ("Rubber cable, borrowed neutrals, lighting without earth, shared supplies: stop and have it assessed.",),
)
STRUCTURE = Caution(
    "Joists",
    (
        "Drill on the centre line, within the limits of the joist. Never cut engineered joists without their maker.",
        "Outside the limits: ask an engineer first.",
    ),
)
HEIGHT = Caution(
    "Ladders and lofts",
    ("Ladders for short, light work with three points of contact. Walk on joists or boards, never on a ceiling.",),
    "Work at Height Regulations 2005, from memory",
)
BOARDS = Caution(
    "Boards are up",
    (
        "Look for pipes and cables before lifting. Cover or fence every opening you leave.",
        "Screw boards back and mark them the same day; leave loose only what the plumber still needs.",
        "Tell everyone else in the house where they are up.",
    ),
)
TEMPORARY_SUPPLY = Caution(
    "Temporary supply",
    ("Behind an RCD, labelled, off overnight when nobody is there. Use 110 V tools where you can.",),
)
LIVE_TESTS = Caution(
    "Live tests",
    (
        "Only someone competent to test, never alone, never anyone under 18.",
        "Dead tests first. No figure here overrides a test result or a competent person.",
    ),
    "Electricity at Work Regulations 1989, regulation 16, from memory",
)
ALONE = Caution("On your own today", ("Agree check-in times with the office. No live testing alone.",))
UNDER_18 = Caution(
    "Someone under 18 is here",
    (
        "Never alone and never on live testing; someone competent watches over the work.",
        "At most 8 hours a day and 40 a week; 30 minutes' break after 4½ hours.",
    ),
    "Management of Health and Safety at Work Regulations 1999, regulation 19; Working Time Regulations 1998; from memory",
)
MAINS_FUSE = Caution(
    "Supply fuse",
    ("Only the network operator, or someone they expressly permit, withdraws it or breaks its seal.",),
)

STEPS_OF_CHECK = {
    "check:S1": ASBESTOS,
    "check:S3": SAFE_ISOLATION,
    "check:F4": STRUCTURE,
    "check:XC1": SAFE_ISOLATION,
    "check:TC3": SAFE_ISOLATION,
}
"""Lines of the checklist whose tick says, by whom and when, that these steps were taken."""

_BY_STAGE = {
    Stage.STRIP_OUT: (ASBESTOS, SAFE_ISOLATION, OLD_WIRING, TEMPORARY_SUPPLY),
    Stage.FIRST_FIX: (STRUCTURE, HEIGHT),
    Stage.SECOND_FIX: (SAFE_ISOLATION, HEIGHT),
    Stage.TEST: (SAFE_ISOLATION, LIVE_TESTS, MAINS_FUSE),
}


def cautions_for(stages: Set[str], *, boards_open: bool, is_alone: bool, has_under_18: bool) -> list[Caution]:
    """The cautions of today's work on one job, each once, most pressing first.

    `stages` are those worked on today; `is_alone` when nobody else of the firm is booked there.
    """
    about_people = [(UNDER_18, has_under_18), (ALONE, is_alone), (BOARDS, boards_open)]
    found = [caution for caution, applies in about_people if applies]
    found += [caution for stage in Stage if stage in stages for caution in _BY_STAGE.get(stage, ())]
    return list(dict.fromkeys(found))
