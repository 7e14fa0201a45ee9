from django import forms

from jobs.models import Handover


class HandoverForm(forms.ModelForm):
    class Meta:
        model = Handover
        fields = ("words", "warranties", "is_shown_to_customer")
        widgets = {"words": forms.Textarea({"rows": 3}), "warranties": forms.Textarea({"rows": 5})}
        help_texts = {
            "is_shown_to_customer": "On their own page, with all photos of walls and ceilings that are in the pack, "
            "names of those who tested, and what is open"
        }
