"""Forms of the stores beside stock moves: counts, orders, items, suppliers."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from math import ceil
from uuid import uuid4

from django import forms

from jobs.actions.orders import Arrived, Wanted
from jobs.actions.stock import Counted
from jobs.core.figures import plain
from jobs.models import Drum, Firm, Item, Job, Order, Supplier
from jobs.queries.drums import DrumRow, next_labels
from jobs.queries.orders import LineRow
from jobs.queries.stores_page import FILTERS, ItemRow
from jobs.web.forms.blanks import name_blanks
from jobs.web.forms.stock import PlaceChoice, add_drum_rows, metres_field, note_field, pieces_field, read_drum_rows
from jobs.web.forms.trades import day_input

MOST_DRUMS = 12


class FindForm(forms.Form):
    q = forms.CharField(label="Find", required=False, max_length=80, widget=forms.SearchInput())
    only = forms.ChoiceField(label="Show", required=False, choices=list(FILTERS.items()))


class CountForm(forms.Form):
    """A shelf's sheet: what the books say of each thing there, and what is found; blank was not counted."""

    op_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    note = note_field()

    def __init__(self, *args: object, loose: Sequence[tuple[Item, Decimal]], drums: Sequence[DrumRow], **kwargs: object):
        super().__init__(*args, **kwargs)
        self.things: list[tuple[str, Item, Drum | None, Decimal]] = [
            *((f"item-{item.pk}", item, None, balance) for item, balance in loose),
            *((f"drum-{row.drum.pk}", row.drum.item, row.drum, row.metres) for row in drums),
        ]
        for name, item, drum, balance in self.things:
            field = metres_field(str(drum or item)) if item.is_cable else pieces_field(str(item))
            field.required = False
            self.fields[name] = field
            self.fields[f"seen-{name}"] = forms.DecimalField(widget=forms.HiddenInput, required=False, initial=balance)

    def rows(self) -> list[tuple[Item, Drum | None, Decimal, forms.BoundField, forms.BoundField]]:
        return [(item, drum, balance, self[name], self[f"seen-{name}"]) for name, item, drum, balance in self.things]

    def counted(self) -> list[Counted]:
        data = self.cleaned_data
        return [
            Counted(item, data[name], data[f"seen-{name}"], drum)
            for name, item, drum, _ in self.things if data[name] is not None
        ]

    def clean(self) -> None:
        if not any(self.cleaned_data.get(name) is not None for name, *_ in self.things) and not self.errors:
            raise forms.ValidationError("Enter what you found, on at least one line.")


class OrderForm(forms.Form):
    """An order to one supplier: quantities are proposed, blank lines are not ordered."""

    op_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    reference = forms.CharField(label="Reference", max_length=30, required=False, help_text="Blank = the next number")
    promised_on = forms.DateField(label="Wanted on", widget=day_input())
    job = forms.ModelChoiceField(Job.objects.none(), label="For a job", required=False, empty_label="For stock")
    note = forms.CharField(label="Note for the supplier", required=False, max_length=400)

    def __init__(
        self, *args: object, firm: Firm, rows: Sequence[ItemRow], wanted_on: date, until: date | None = None, **kwargs: object
    ) -> None:
        super().__init__(*args, **kwargs)
        self.item_rows = rows
        open_jobs = Job.objects.filter(firm=firm).exclude(state__in=(Job.State.HANDED_OVER, Job.State.DROPPED))
        self.fields["job"].queryset = open_jobs
        self.fields["promised_on"].initial = wanted_on
        for row in rows:
            field = metres_field(str(row.item)) if row.item.is_cable else pieces_field(str(row.item))
            proposed = row.projection.to_order(row.item.pack_size, until)
            field.required, field.initial = False, plain(proposed) if proposed else None
            self.fields[f"item-{row.item.pk}"] = field

    def rows(self) -> list[tuple[ItemRow, forms.BoundField]]:
        return [(row, self[f"item-{row.item.pk}"]) for row in self.item_rows]

    def wanted(self) -> list[Wanted]:
        quantities = ((row.item, self.cleaned_data[f"item-{row.item.pk}"]) for row in self.item_rows)
        return [Wanted(item, quantity) for item, quantity in quantities if quantity]


class OrderedForm(forms.Form):
    placed_on = forms.DateField(label="Ordered on", widget=day_input())

    def __init__(self, *args: object, today: date, **kwargs: object) -> None:
        super().__init__(*args, initial={"placed_on": today}, **kwargs)


class DeliveryForm(forms.Form):
    """What came on an order: pieces, or drums with their labels."""

    op_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    to = PlaceChoice("Put where")
    even_if_over = forms.BooleanField(label="More came than was ordered", required=False)
    note = note_field()

    def __init__(self, *args: object, firm: Firm, lines: Sequence[LineRow], **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.lines = lines
        self.fields["to"].choose_from(firm)
        cable = [row for row in lines if row.line.item.is_cable]
        labels = next_labels(firm, sum(map(self._drum_count, cable))) if cable else []
        for row in lines:
            if row.line.item.is_cable:
                own, labels = labels[: self._drum_count(row)], labels[self._drum_count(row) :]
                add_drum_rows(self, f"line-{row.line.pk}", own, Decimal(row.line.item.pack_size))
            else:
                self.fields[f"line-{row.line.pk}"] = pieces_field(str(row.line.item))
                self.fields[f"line-{row.line.pk}"].required = False

    def rows(self) -> list[tuple[LineRow, list[forms.BoundField]]]:
        """Each line with its fields: one for pieces, label and metres in turn for drums."""
        return [
            (row, [self[name] for name in self.fields if name == key or name.startswith(f"{key}-")])
            for row in self.lines for key in [f"line-{row.line.pk}"]
        ]

    def arrived(self) -> list[Arrived]:
        return [self._arrived(row) for row in self.lines]

    def _arrived(self, row: LineRow) -> Arrived:
        key = f"line-{row.line.pk}"
        if row.line.item.is_cable:
            return Arrived(row.line, drums=read_drum_rows(self, key))
        return Arrived(row.line, self.cleaned_data[key] or Decimal(0))

    def _drum_count(self, row: LineRow) -> int:
        """As many rows as drums may still come, and one more; no fewer than were sent."""
        sent = sum(name.startswith(f"line-{row.line.pk}-label-") for name in self.data)
        return max(sent, min(ceil(row.to_come / row.line.item.pack_size), MOST_DRUMS) + 1)


class ExpectForm(forms.Form):
    expected_on = forms.DateField(label="Expected now", widget=day_input())

    def __init__(self, *args: object, order: Order, **kwargs: object) -> None:
        super().__init__(*args, initial={"expected_on": order.expected_on}, **kwargs)


class ItemForm(forms.ModelForm):
    class Meta:
        model = Item
        fields = ["name", "unit", "pack_size", "supplier", "keep_at_least", "stands_in_for", "live_mm2", "cores",
                  "ways", "warranty_months", "warranty_needs"]
        labels = {
            "unit": "Counted in", "pack_size": "In a pack", "keep_at_least": "Always keep",
            "stands_in_for": "Another pack of", "live_mm2": "Live conductor, mm²", "cores": "Cores besides the earth",
            "ways": "Ways of a consumer unit", "warranty_months": "Warranty, months",
            "warranty_needs": "What keeps the warranty",
        }
        help_texts = {
            "live_mm2": "Of cable, such as 2.5", "cores": "Of cable: 2 in twin and earth",
            "stands_in_for": "The same thing in another pack: either meets a need of it",
        }

    def __init__(self, *args: object, firm: Firm, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["unit"].choices = [(Item.Unit.PIECE, "Pieces"), (Item.Unit.METRE, "Metres, on drums")]
        self.fields["supplier"].queryset = Supplier.objects.filter(firm=firm)
        others = Item.objects.filter(firm=firm, stands_in_for=None)
        self.fields["stands_in_for"].queryset = others.exclude(pk=self.instance.pk)
        self.fields["stands_in_for"].empty_label = "A thing of its own"
        name_blanks(self.fields, optional="none named")


class SupplierForm(forms.ModelForm):
    class Meta:
        model = Supplier
        fields = ["name", "email", "phone", "lead_working_days", "order_cut_off"]
        labels = {"email": "E-mail", "lead_working_days": "Comes after, working days", "order_cut_off": "Order by"}
        help_texts = {"lead_working_days": "0 = fetched before work begins; 1 = there on the next working day"}
        widgets = {
            "phone": forms.TextInput(attrs={"type": "tel"}),
            "order_cut_off": forms.TimeInput(format="%H:%M", attrs={"type": "time"}),
        }
