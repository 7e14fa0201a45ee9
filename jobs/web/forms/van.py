"""The form behind a tick of a van list: everything in it is hidden."""

from decimal import Decimal

from django import forms

from jobs.models import Drum, Firm, Item, Location, Person
from jobs.queries.balances import all_places


class PutOnForm(forms.Form):
    op_id = forms.UUIDField()
    person = forms.ModelChoiceField(Person.objects.none())
    on = forms.DateField()
    item = forms.ModelChoiceField(Item.objects.none())
    place = forms.ModelChoiceField(Location.objects.none())
    drum = forms.ModelChoiceField(Drum.objects.none(), required=False)
    quantity = forms.DecimalField(max_digits=10, decimal_places=2, min_value=Decimal("0.01"))

    def __init__(self, *args: object, firm: Firm, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = Person.objects.filter(firm=firm)
        self.fields["item"].queryset = Item.objects.filter(firm=firm)
        self.fields["place"].queryset = all_places(firm)
        self.fields["drum"].queryset = Drum.objects.filter(firm=firm).select_related("item", "firm")
