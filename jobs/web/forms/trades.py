from django import forms
from django.conf import settings

from jobs.core.stages import Half
from jobs.models import Contact, ContactAway, ToldDate, Visit
from jobs.queries.contacts import list_choosable
from jobs.web.forms.blanks import name_blanks
from jobs.web.forms.outside import SuggestedDaysForm

NOBODY = "Nobody yet"


def day_input() -> forms.DateInput:
    return forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})


class ContactForm(forms.ModelForm):
    class Meta:
        model = Contact
        fields = ["name", "business", "trade", "email", "phone", "channel", "notes"]
        labels = {"email": "E-mail", "channel": "Messages go"}
        help_texts = {
            "channel": "Whoever cannot be reached that way gets messages ready to copy.",
            "notes": "Only the office sees these.",
        }
        widgets = {"phone": forms.TextInput(attrs={"type": "tel"}), "notes": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        name_blanks(self.fields)
        if not settings.TEXT_GATEWAY and self.instance.channel != Contact.Channel.TEXT:
            kept = [choice for choice in Contact.Channel.choices if choice[0] != Contact.Channel.TEXT]
            self.fields["channel"].choices = kept


class HoldBackForm(forms.Form):
    reason = forms.CharField(max_length=300)


class TurnDownForm(forms.Form):
    reason = forms.CharField(label="Why, in words for them", max_length=300, required=False)


class ContactAwayForm(forms.ModelForm):
    class Meta:
        model = ContactAway
        fields = ["starts_on", "ends_on", "note"]
        labels = {"starts_on": "First day", "ends_on": "Last day"}
        widgets = {"starts_on": day_input(), "ends_on": day_input()}


class VisitForm(forms.Form):
    contact = forms.ModelChoiceField(Contact.objects.none(), label="Who comes", required=False, empty_label=NOBODY)
    not_before_on = forms.DateField(label="Not before", required=False, widget=day_input())

    def __init__(self, *args: object, visit: Visit, **kwargs: object) -> None:
        initial = {"contact": visit.contact_id, "not_before_on": visit.not_before_on}
        super().__init__(*args, initial=initial, **kwargs)
        field = self.fields["contact"]
        field.queryset = Contact.objects.filter(firm_id=visit.firm_id)
        field.choices = [("", NOBODY), *_choices(visit)]


class PhoneAnswerForm(SuggestedDaysForm):
    answer = forms.ChoiceField(label="They said", choices=ToldDate.Answer.choices[1:])
    note = forms.CharField(label="Note", max_length=300, required=False)
    can_come_on = forms.DateField(label="First day they could come", required=False, widget=day_input())
    field_order = ("answer", "note", "can_come_on")

    def clean(self) -> dict[str, object]:
        data = super().clean()
        days = self.days if data.get("answer") == ToldDate.Answer.SUGGESTED else []
        return {"days": days} | {name: data.get(name) for name in self.field_order}


class AgreedForm(forms.Form):
    starts_on = forms.DateField(label="Day they start", widget=day_input())
    starts_half = forms.ChoiceField(label="From the", choices=[(half.value, half.label) for half in Half])


class GoAheadForm(forms.Form):
    override_reason = forms.CharField(
        label="Why it may be covered up all the same", max_length=300, required=False,
        help_text="Kept with your name on the job page and at hand-over.",
    )


class FinishForm(forms.Form):
    started_on = forms.DateField(label="Day they started", widget=day_input())


def _choices(visit: Visit) -> list[tuple[int, str]]:
    contacts = list_choosable(visit.firm, visit.kind.trade)
    return [(contact.pk, f"{contact}, {contact.get_trade_display().lower()}") for contact in contacts]
