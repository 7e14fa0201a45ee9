from re import fullmatch

import pytest

from jobs.core.electrics.rule_book import every_rule
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.electrics.rules import CAUTION, CURRENT_EDITION, EDITION_NOTE, FROM_MEMORY, NO_SOURCE, Mark

UNFIT = ("forum", "shop", "blog", "http", "www", ".co", ".com")


def test_every_row_says_where_it_comes_from():
    assert [row.code for row in every_rule().values() if not row.source or not row.reference] == []


def test_rows_from_memory_and_practice_say_so():
    rows = every_rule().values()

    assert {row.source for row in rows if row.mark == Mark.MEMORY} == {FROM_MEMORY}
    assert {row.source for row in rows if row.mark == Mark.PRACTICE} == {NO_SOURCE}


def test_no_row_cites_what_is_not_fit_to_show():
    assert [row.code for row in every_rule().values() if any(word in row.reference for word in UNFIT)] == []


def test_every_code_can_stand_in_an_address():
    assert [code for code in every_rule() if not fullmatch(r"[A-Za-z0-9._-]+", code)] == []


def test_no_row_claims_the_current_edition_unchecked():
    assert [row.code for row in every_rule().values() if CURRENT_EDITION in row.edition] == []
    assert CURRENT_EDITION in EDITION_NOTE


def test_reference_names_edition_clause_and_source():
    assert rule("CMIN").reference == "BS 7671:2018+A2:2022 or earlier, 411.4.4: as cited in trade articles"
    assert rule("PFC").reference == "common practice, no source"


def test_figure_is_asked_for_in_vain_when_a_rule_is_words():
    with pytest.raises(ValueError, match="has no figure"):
        value("POLARITY")


def test_caution_defers_to_codes_and_competent_persons():
    assert "competent" in CAUTION
    assert "building control" in CAUTION
