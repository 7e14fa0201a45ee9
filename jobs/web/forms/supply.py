"""Forms of prices, lists brought in, and a supplier's closed days."""

from datetime import date
from decimal import Decimal

from django import forms

from jobs.core.figures import plain
from jobs.core.survey_file import MOST_BYTES
from jobs.core.survey_file.opening import too_large
from jobs.models import Firm, Item, StoresUpload, Supplier
from jobs.web.forms.stock import number_input
from jobs.web.forms.trades import day_input


class PriceForm(forms.Form):
    pounds = forms.DecimalField(
        label="Price, £ without VAT", min_value=0, max_digits=8, decimal_places=2, widget=number_input("decimal", "0.01")
    )
    per_quantity = forms.DecimalField(max_digits=8, decimal_places=2, min_value=Decimal("0.01"))
    from_on = forms.DateField(label="From", widget=day_input())
    supplier = forms.ModelChoiceField(Supplier.objects.none(), label="Supplier", required=False, empty_label="None named")

    def __init__(self, *args: object, item: Item, today: date, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        per = self.fields["per_quantity"]
        per.label = "For how many metres" if item.is_cable else "For how many"
        per.widget, per.initial = number_input("decimal", "any"), plain(item.pack_size)
        self.fields["from_on"].initial = today
        self.fields["supplier"].queryset = Supplier.objects.filter(firm_id=item.firm_id)
        self.fields["supplier"].initial = item.supplier_id

    def price(self) -> dict[str, object]:
        data = self.cleaned_data
        return {
            "pence": int(data["pounds"] * 100), "per_quantity": data["per_quantity"], "from_on": data["from_on"],
            "supplier": data["supplier"],
        }


class ListFileForm(forms.Form):
    """A stock list; a price list also names its supplier."""

    list_file = forms.FileField(
        label="File", help_text="CSV or XLSX, up to 10 MB", allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx,text/csv", "data-most-bytes": MOST_BYTES}),
    )
    supplier = forms.ModelChoiceField(Supplier.objects.none(), label="Whose prices", required=False, empty_label="None named")
    leaves_out_unknown = forms.BooleanField(label="Leave out items the firm does not keep", required=False)

    def __init__(self, *args: object, kind: str, firm: Firm, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["supplier"].queryset = Supplier.objects.filter(firm=firm)
        if kind == StoresUpload.Kind.STOCK:
            del self.fields["supplier"], self.fields["leaves_out_unknown"]

    def clean_list_file(self) -> object:
        file = self.cleaned_data["list_file"]
        if file.size > MOST_BYTES:
            raise forms.ValidationError(too_large(file.size))
        return file


class ClosureForm(forms.Form):
    first_on = forms.DateField(label="Closed from", widget=day_input())
    last_on = forms.DateField(label="Until", required=False, widget=day_input(), help_text="Blank = that day only")
    note = forms.CharField(label="Why", max_length=80, required=False)
