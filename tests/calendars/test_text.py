from jobs.calendars.text import clean


def test_controls_are_dropped_when_a_reader_would_stumble_over_them():
    assert clean("a\x00b\x07c\x1bd\x7fe\x9bf") == "abcdef"


def test_tab_and_newline_are_kept_when_text_has_them():
    assert clean("a\tb\nc") == "a\tb\nc"


def test_every_line_break_becomes_a_newline_when_text_mixes_them():
    assert clean("a\r\nb\rc\x85d\u2028e\u2029f") == "a\nb\nc\nd\ne\nf"


def test_lone_surrogates_are_dropped_when_they_could_not_be_encoded():
    assert clean("a\ud83db") == "ab"


def test_whole_emoji_stays_when_text_has_one():
    assert clean("keys 🔑 under pot") == "keys 🔑 under pot"


def test_byte_order_mark_is_dropped_when_pasted_text_carries_one():
    assert clean("\ufeffPlastering") == "Plastering"
