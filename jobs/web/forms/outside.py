from django import forms
from django.core import signing

from jobs.models import SecretLink, ToldDate

ANSWER_SALT = "jobs.outside.answer"
ANSWER_LASTS_SECONDS = 14 * 24 * 60 * 60


def answer_key(link: SecretLink, told: ToldDate) -> str:
    """What only the page itself can put in its form: which date of which link an answer is for.

    It stands in for the usual token against forged posts, which needs a cookie and the Origin header that browsers
    blank on pages with the policy no-referrer.
    """
    return signing.dumps([link.pk, link.version, told.pk], salt=ANSWER_SALT)


class AnswerForm(forms.Form):
    key = forms.CharField(max_length=200, widget=forms.HiddenInput)
    answer = forms.ChoiceField(choices=ToldDate.Answer.choices[1:])
    note = forms.CharField(
        label="Why, or anything we should know", max_length=300, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    can_come_on = forms.DateField(
        label="The first day you could come", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )

    def told_pk(self, link: SecretLink) -> int | None:
        """The told date the answer is for; None when the key is forged, too old or another link's."""
        try:
            link_pk, version, told_pk = signing.loads(
                self.data.get("key", ""), salt=ANSWER_SALT, max_age=ANSWER_LASTS_SECONDS
            )
        except signing.BadSignature:
            return None
        return told_pk if (link_pk, version) == (link.pk, link.version) else None
