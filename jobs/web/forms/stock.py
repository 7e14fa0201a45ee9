"""Forms of what happens to stock: one for each kind of happening, for pieces and for drums. Each runs one action."""

from datetime import datetime
from decimal import Decimal
from uuid import uuid4

from django import forms

from jobs.actions import drums, returns, stock
from jobs.actions.drums import NewDrum
from jobs.core.figures import plain
from jobs.models import Drum, Firm, Item, Job, Location, OrderLine, User
from jobs.queries.balances import all_places, own_places
from jobs.queries.drums import next_labels

DRUM_ROWS = 4


class PlaceChoice(forms.ModelChoiceField):
    """One of the firm's own places; things are taken from a closed site too, but none are put there."""

    def __init__(self, label: str, *, is_source: bool = False) -> None:
        super().__init__(Location.objects.none(), label=label, empty_label=None)
        self.is_source = is_source

    def choose_from(self, firm: Firm) -> None:
        self.queryset = all_places(firm) if self.is_source else own_places(firm)

    def label_from_instance(self, place: Location) -> str:
        return f"{place} (site)" if place.kind == Location.Kind.SITE else str(place)


class JobChoice(forms.ModelChoiceField):
    def __init__(self) -> None:
        super().__init__(Job.objects.none(), label="Job", empty_label="Choose the job")


class Happening(forms.Form):
    """`thing` is the item or drum it happens to. Each kind has a `run(by, at)` for the one action behind it."""

    verb = ""
    op_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)

    def __init__(self, *args: object, thing: Item | Drum, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.thing = thing
        for field in self.fields.values():
            if isinstance(field, PlaceChoice):
                field.choose_from(thing.firm)
            elif isinstance(field, JobChoice):
                field.queryset = Job.objects.filter(firm_id=thing.firm_id)

    @property
    def common(self) -> dict[str, object]:
        return {key: self.cleaned_data[key] for key in ("op_id", "note")}


def pieces_field(label: str = "Pieces") -> forms.DecimalField:
    return forms.DecimalField(label=label, max_digits=9, decimal_places=2, widget=number_input("numeric", "1"))


def metres_field(label: str = "Metres") -> forms.DecimalField:
    return forms.DecimalField(label=label, max_digits=9, decimal_places=2, widget=number_input("decimal", "0.01"))


def number_input(mode: str, step: str) -> forms.NumberInput:
    return forms.NumberInput(attrs={"inputmode": mode, "step": step, "min": "0", "autocomplete": "off"})


def note_field() -> forms.CharField:
    return forms.CharField(label="Note", max_length=200, required=False)


def short_field() -> forms.BooleanField:
    return forms.BooleanField(
        label="It is there all the same: book it, and flag the balance for a count", required=False
    )


class ReceivePieces(Happening):
    verb = "Receive"
    pieces = pieces_field("Pieces that came")
    to = PlaceChoice("Put where")
    note = note_field()

    def run(self, by: User, at: datetime) -> object:
        data = self.cleaned_data
        return stock.receive(item=self.thing, pieces=data["pieces"], to=data["to"], by=by, at=at, **self.common)


class ReceiveDrums(Happening):
    verb = "Receive"
    to = PlaceChoice("Put where")
    note = note_field()

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        labels = next_labels(self.thing.firm, DRUM_ROWS)
        self.rows = add_drum_rows(self, "drum", labels, Decimal(self.thing.pack_size))

    def run(self, by: User, at: datetime) -> object:
        return drums.receive_drums(
            item=self.thing, drums=read_drum_rows(self, "drum"), to=self.cleaned_data["to"], by=by, at=at, **self.common
        )


class MovePieces(Happening):
    verb = "Move"
    pieces = pieces_field()
    moved_from = PlaceChoice("From", is_source=True)
    moved_to = PlaceChoice("To")
    even_if_short = short_field()
    note = note_field()

    def run(self, by: User, at: datetime) -> object:
        data = self.cleaned_data
        return stock.move(
            item=self.thing, pieces=data["pieces"], moved_from=data["moved_from"], moved_to=data["moved_to"],
            even_if_short=data["even_if_short"], by=by, at=at, **self.common,
        )


class MoveDrum(Happening):
    verb = "Move"
    moved_to = PlaceChoice("To")
    note = note_field()

    def run(self, by: User, at: datetime) -> object:
        return drums.move_drum(drum=self.thing, moved_to=self.cleaned_data["moved_to"], by=by, at=at, **self.common)


class UsePieces(Happening):
    verb = "Book as used"
    pieces = pieces_field()
    job = JobChoice()
    moved_from = PlaceChoice("From", is_source=True)
    even_if_short = short_field()
    note = note_field()

    def run(self, by: User, at: datetime) -> object:
        data = self.cleaned_data
        return stock.use(
            item=self.thing, pieces=data["pieces"], job=data["job"], moved_from=data["moved_from"],
            even_if_short=data["even_if_short"], by=by, at=at, **self.common,
        )


class UseDrum(Happening):
    verb = "Book as used"
    metres = metres_field("Metres cut")
    job = JobChoice()
    even_if_short = short_field()
    note = note_field()

    def run(self, by: User, at: datetime) -> object:
        data = self.cleaned_data
        return drums.use_drum(
            drum=self.thing, metres=data["metres"], job=data["job"], even_if_short=data["even_if_short"], by=by, at=at,
            **self.common,
        )


class WastePieces(Happening):
    verb = "Book as waste"
    pieces = pieces_field()
    moved_from = PlaceChoice("From", is_source=True)
    note = note_field()

    def run(self, by: User, at: datetime) -> object:
        data = self.cleaned_data
        return stock.waste(
            item=self.thing, pieces=data["pieces"], moved_from=data["moved_from"], by=by, at=at, **self.common
        )


class WasteDrum(Happening):
    verb = "Book as waste"
    metres = metres_field("Metres of scrap")
    note = note_field()

    def run(self, by: User, at: datetime) -> object:
        return drums.waste_drum(drum=self.thing, metres=self.cleaned_data["metres"], by=by, at=at, **self.common)


class BringBackPieces(Happening):
    verb = "Bring back"
    pieces = pieces_field()
    job = JobChoice()
    to = PlaceChoice("Put where")
    note = note_field()

    def run(self, by: User, at: datetime) -> object:
        data = self.cleaned_data
        return stock.bring_back(
            item=self.thing, pieces=data["pieces"], job=data["job"], to=data["to"], by=by, at=at, **self.common
        )


class BringBackOffcut(Happening):
    verb = "Bring back"
    metres = metres_field("Metres of the offcut")
    label = forms.CharField(label="Label you write on it", max_length=20)
    job = JobChoice()
    to = PlaceChoice("Put where")
    note = note_field()

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["label"].initial = next_labels(self.thing.firm, 1)[0]

    def run(self, by: User, at: datetime) -> object:
        data = self.cleaned_data
        return drums.bring_back_offcut(
            item=self.thing, job=data["job"], label=data["label"], metres=data["metres"], to=data["to"], by=by, at=at,
            **self.common,
        )


class MeasureDrum(Happening):
    verb = "Save the length"
    found = metres_field("Metres on it now")
    seen = forms.DecimalField(widget=forms.HiddenInput, required=False)
    note = note_field()

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["seen"].initial = drums.whereabouts(self.thing)[1]

    def run(self, by: User, at: datetime) -> object:
        data = self.cleaned_data
        return drums.count_drum(drum=self.thing, found=data["found"], seen=data["seen"], by=by, at=at, **self.common)


def add_drum_rows(form: forms.Form, prefix: str, labels: list[str], full_metres: Decimal) -> list[tuple[str, str]]:
    """Add a label and a metres field for each new drum; blank rows are not drums. Returns their names in pairs."""
    names = []
    for number, label in enumerate(labels, 1):
        pair = f"{prefix}-label-{number}", f"{prefix}-metres-{number}"
        hint = forms.TextInput(attrs={"placeholder": label, "autocomplete": "off"})
        form.fields[pair[0]] = forms.CharField(label=f"Label {number}", max_length=20, required=False, widget=hint)
        form.fields[pair[1]] = metres_field(f"Metres {number}")
        form.fields[pair[1]].required = False
        form.fields[pair[1]].widget.attrs["placeholder"] = plain(full_metres)
        names.append(pair)
    return names


def read_drum_rows(form: forms.Form, prefix: str) -> tuple[NewDrum, ...]:
    """The drums filled in; one with only a label or only metres is passed on for the action to refuse."""
    names = sorted(name for name in form.fields if name.startswith(f"{prefix}-label-"))
    pairs = [(form.cleaned_data[name], form.cleaned_data[name.replace("-label-", "-metres-")]) for name in names]
    return tuple(NewDrum(label, metres or Decimal(0)) for label, metres in pairs if label or metres)


class LineChoice(forms.ModelChoiceField):
    def __init__(self) -> None:
        super().__init__(OrderLine.objects.none(), label="From order", required=False, empty_label="No order in the books")

    def choose_from(self, item: Item) -> None:
        lines = OrderLine.objects.filter(firm_id=item.firm_id, item=item, moves__isnull=False).distinct()
        self.queryset = lines.select_related("order__supplier", "item").order_by("-order__placed_on", "-pk")

    def label_from_instance(self, line: OrderLine) -> str:
        return f"{line.order}, {line.order.supplier}"


class ReturnPieces(Happening):
    verb = "Book as sent back"
    pieces = pieces_field("Pieces that go back")
    moved_from = PlaceChoice("From", is_source=True)
    order_line = LineChoice()
    note = note_field()

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["order_line"].choose_from(self.thing)

    def run(self, by: User, at: datetime) -> object:
        data = self.cleaned_data
        return returns.return_pieces(
            item=self.thing, pieces=data["pieces"], moved_from=data["moved_from"], order_line=data["order_line"], by=by,
            at=at, **self.common,
        )


class ReturnDrum(Happening):
    verb = "Book as sent back"
    order_line = LineChoice()
    note = note_field()

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["order_line"].choose_from(self.thing.item)

    def run(self, by: User, at: datetime) -> object:
        line = self.cleaned_data["order_line"]
        return returns.return_drum(drum=self.thing, order_line=line, by=by, at=at, **self.common)


HAPPENINGS: dict[str, tuple[str, type[Happening] | None, type[Happening] | None, type[Happening] | None]] = {
    "receive": ("Receive", ReceivePieces, ReceiveDrums, None),
    "move": ("Move", MovePieces, None, MoveDrum),
    "use": ("Use on a job", UsePieces, None, UseDrum),
    "bring-back": ("Bring back from a job", BringBackPieces, BringBackOffcut, None),
    "waste": ("Waste", WastePieces, None, WasteDrum),
    "return": ("Send back to the supplier", ReturnPieces, None, ReturnDrum),
    "measure": ("Measure a drum", None, None, MeasureDrum),
}
"""What can happen: its title, and the form for an item in pieces, for a cable, and for a drum."""


def form_for(what: str, thing: Item | Drum) -> type[Happening] | None:
    """The form for something that happens to an item or a drum; None where it cannot."""
    _, of_pieces, of_cable, of_drum = HAPPENINGS[what]
    if isinstance(thing, Drum):
        return of_drum
    return of_cable if thing.is_cable else of_pieces


def list_things(what: str, firm_items: list[Item], firm_drums: list) -> list[tuple[str, list[tuple[str, str]]]]:
    """What can be chosen for a happening: groups of (value, words)."""
    _, of_pieces, of_cable, of_drum = HAPPENINGS[what]
    items = [item for item in firm_items if (of_cable if item.is_cable else of_pieces)]
    groups = [("Items", [(f"item-{item.pk}", item.name) for item in items])]
    if of_drum:
        groups.insert(0, ("Drums", [(f"drum-{row.drum.pk}", _drum_words(row)) for row in firm_drums]))
    return [group for group in groups if group[1]]


def _drum_words(row: object) -> str:
    return f"{row.drum.label}: {row.drum.item}, {plain(row.metres)} m, {row.place or 'empty'}"
