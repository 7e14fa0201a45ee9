from io import StringIO

from django.core.mail import EmailMultiAlternatives

from rewire.readable_mail import EmailBackend


def test_words_are_printed_as_they_are_when_the_mail_is_encoded():
    mail = EmailMultiAlternatives("Dates, Tŷ Gwyn", "Tŷ Gwyn: Friday.\n", "office@firm.example", ["pat@trades.example"])
    mail.attach_alternative("BEGIN:VCALENDAR", "text/calendar; method=REQUEST")
    stream = StringIO()
    EmailBackend(stream=stream).send_messages([mail])
    shown = stream.getvalue()
    assert "Subject: Dates, Tŷ Gwyn\n" in shown
    assert "With it: text/calendar\n\nTŷ Gwyn: Friday.\n" in shown
