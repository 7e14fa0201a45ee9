from datetime import UTC, datetime

import pytest

from jobs.calendars.replies import MOST_BYTES, read_mail
from tests.incoming import SENSIBLE, read_template

ORGANIZER = SENSIBLE["organizer"]
STAMP = datetime(2027, 1, 12, 10, tzinfo=UTC)


def test_yes_is_read_when_a_phone_sends_quoted_printable():
    mail = read_mail(read_template("phone_reply"))
    answer = mail.answer
    assert (mail.sender, mail.message_id) == ("pat@trades.example", "<PHONE-1@trades.example>")
    assert (answer.uid, answer.sequence, answer.participation, answer.stamped_at) == ("11aa", 0, "ACCEPTED", STAMP)
    assert answer.attendee == "pat@trades.example"


def test_no_is_read_when_there_is_no_organizer_and_the_part_is_base64():
    answer = read_mail(read_template("office_reply", partstat="DECLINED", sequence=4)).answer
    assert (answer.attendee, answer.participation, answer.sequence) == ("pat@trades.example", "DECLINED", 4)
    assert answer.comment.strip() == "Van is in the garage – sorry, can’t do it."


def test_proposed_time_is_read_when_a_counter_comes_marked_as_generated():
    answer = read_mail(read_template("web_counter")).answer
    assert (answer.proposed, answer.comment) == (datetime(2027, 1, 29, 8, tzinfo=UTC), "After the other job")


def test_all_recipients_are_seen_when_the_envelope_names_one():
    assert ORGANIZER in read_mail(read_template("phone_reply").replace(b"\r\nTo: ", b"\r\nX-No: ")).recipients


def test_bounce_is_ignored_when_it_quotes_our_invitation():
    assert read_mail(read_template("bounce")).ignored == "a delivery report"


def test_automatic_reply_is_ignored_when_somebody_is_away():
    assert read_mail(read_template("away")).ignored == "an automatic reply"


def test_words_are_kept_without_the_quotation_when_a_person_writes():
    mail = read_mail(read_template("letter"))
    assert (mail.answer, mail.words) == (None, "Friday is fine – is there parking at Tŷ Gwyn?")


def test_only_the_head_is_read_when_a_mail_is_too_large():
    mail = read_mail(read_template("phone_reply") + b"x" * MOST_BYTES)
    assert (mail.answer, "larger than 64 kB" in mail.fault, mail.sender) == (None, True, "pat@trades.example")


def test_nothing_is_read_when_the_header_and_the_calendar_name_different_methods():
    """RFC 6047 section 2.4: the parameter and the METHOD inside are the same."""
    raw = read_template("phone_reply").replace(b"method=REPLY", b"method=REQUEST")
    assert read_mail(raw).answer is None


def test_fault_is_told_when_the_calendar_part_is_broken():
    raw = read_template("phone_reply").replace(b"END:VEVENT\r\n", b"")
    assert "cannot be read" in read_mail(raw).fault


def test_same_mail_is_known_again_when_it_has_no_message_id():
    raw = read_template("letter").replace(b"Message-ID: <LETTER-1@trades.example>\r\n", b"")
    assert read_mail(raw).message_id == read_mail(raw).message_id != read_mail(raw + b"!").message_id


@pytest.mark.parametrize(
    "raw",
    [
        b"", b"\x00\xff\xfe", b"From: =?bad?q?=ff?= <\r\nTo: ,,,\r\n\r\nx", b"Content-Type: multipart/mixed\r\n\r\nx",
        b"From: a@b.example\r\nContent-Type: text/plain; charset=nonsense\r\n\r\n\xff",
        b"From: a@b.example\r\nContent-Type: text/calendar; method=REPLY\r\nContent-Transfer-Encoding: base64\r\n\r\n!!",
        b"From: a@b.example\r\nContent-Type: text/calendar\r\n\r\n" + b"BEGIN:VCALENDAR\r\n" * 3000,
    ],
)
def test_nothing_breaks_when_a_stranger_sends_rubbish(raw):
    assert read_mail(raw).answer is None
