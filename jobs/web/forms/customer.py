from django import forms
from django.core import signing

from jobs.models import Job, Photo, SecretLink, Variation

ANSWER_SALT = "jobs.customer.answer"
ANSWER_LASTS_SECONDS = 24 * 60 * 60


def answer_key(link: SecretLink, variation: Variation) -> str:
    """What only the confirming page can put in its form; it stands in for a token that needs a cookie."""
    return signing.dumps([link.pk, link.version, variation.pk], salt=ANSWER_SALT)


def is_own_key(key: str, link: SecretLink, variation: Variation) -> bool:
    try:
        found = signing.loads(key, salt=ANSWER_SALT, max_age=ANSWER_LASTS_SECONDS)
    except signing.BadSignature:
        return False
    return found == [link.pk, link.version, variation.pk]


class CustomerAnswerForm(forms.Form):
    key = forms.CharField(max_length=200)
    answer = forms.ChoiceField(choices=[("agree", "Yes"), ("decline", "No")])


class PhotoChoiceForm(forms.Form):
    photos = forms.ModelMultipleChoiceField(Photo.objects.none(), required=False)

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["photos"].queryset = Photo.objects.filter(room__job=job)
