from collections.abc import Iterator
from datetime import date

from django import forms
from django.core import signing

from jobs.core.stages import Half
from jobs.models import SecretLink, ToldDate

ANSWER_SALT = "jobs.outside.answer"
ANSWER_LASTS_SECONDS = 14 * 24 * 60 * 60


def answer_key(link: SecretLink, told: ToldDate) -> str:
    """What only the page itself can put in its form: which date of which link an answer is for.

    It stands in for the usual token against forged posts, which needs a cookie and the Origin header that browsers
    blank on pages with the policy no-referrer.
    """
    return signing.dumps([link.pk, link.version, told.pk], salt=ANSWER_SALT)


class SuggestedDaysForm(forms.Form):
    """Up to three days somebody could come on, each from the morning or from midday."""

    day_1 = forms.DateField(label="First choice", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    half_1 = forms.ChoiceField(label="From the", choices=[(half.value, half.label) for half in Half], required=False)
    day_2 = forms.DateField(label="Second choice", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    half_2 = forms.ChoiceField(label="From the", choices=[(half.value, half.label) for half in Half], required=False)
    day_3 = forms.DateField(label="Third choice", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    half_3 = forms.ChoiceField(label="From the", choices=[(half.value, half.label) for half in Half], required=False)

    @property
    def day_fields(self) -> Iterator[forms.BoundField]:
        return (self[name] for number in (1, 2, 3) for name in (f"day_{number}", f"half_{number}"))

    def clean(self) -> dict[str, object]:
        data = super().clean()
        if data.get("answer") == ToldDate.Answer.SUGGESTED and not self.errors and not self.days:
            self.add_error("day_1", "Give at least one day you could come.")
        return data

    @property
    def days(self) -> list[tuple[date, str]]:
        """The days that were filled in."""
        data = self.cleaned_data
        found = ((data.get(f"day_{number}"), data.get(f"half_{number}")) for number in (1, 2, 3))
        return [(on, half or Half.MORNING.value) for on, half in found if on]


class AnswerForm(SuggestedDaysForm):
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
