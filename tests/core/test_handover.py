"""Packs as blocks: what counts as a change."""

from dataclasses import replace

from jobs.core.handover import CAUTIONS, NO_CERTIFICATE, Pack, Part, Section, Words, name_changes

PACK = Pack("Mill Lane", "Own Wires", ("For Ada",), tuple(Section(part, (Words(part.label),)) for part in Part))


def changed(part: Part) -> Pack:
    sections = tuple(Section(one.part, (Words("else"),)) if one.part == part else one for one in PACK.sections)
    return replace(PACK, sections=sections)


def test_nothing_is_named_when_nothing_changed() -> None:
    assert name_changes(PACK.sums, PACK.sums) == []


def test_sections_are_named_in_their_order_when_they_differ() -> None:
    both = changed(Part.OPEN).sums | {Part.ROOMS.value: "x"}
    assert name_changes(PACK.sums, both) == [Part.ROOMS.label, Part.OPEN.label]


def test_everything_is_named_when_the_pack_was_made_before_sections_had_sums() -> None:
    assert len(name_changes({}, PACK.sums)) == len(Part) + 1


def test_new_address_counts_as_a_change_when_it_is_in_the_head() -> None:
    assert name_changes(PACK.sums, replace(PACK, title="Elm Row").sums) == ["Addresses"]


def test_pack_defers_to_the_competent_person_when_it_speaks_of_readings_and_rules() -> None:
    assert "certifies nothing" in NO_CERTIFICATE
    assert any("competent" in words and "registered" in words for words in CAUTIONS)
