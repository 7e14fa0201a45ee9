from datetime import datetime
from uuid import UUID, uuid5

from django import forms


class MarkForm(forms.Form):
    """A mark on a line as the room page's own forms send it."""

    op_id = forms.UUIDField()
    kind = forms.CharField(max_length=20)
    replaces = forms.CharField(required=False, max_length=8000)
    share = forms.CharField(required=False, max_length=10)
    reason = forms.CharField(required=False, max_length=200)

    def as_operation(self, item: UUID, now: datetime) -> dict[str, object]:
        data = self.cleaned_data
        value: dict[str, object] = {"replaces": data["replaces"].split()}
        if data["kind"] == "tick":
            value["share"] = data["share"] or 1
        elif data["kind"] == "not_needed":
            value["reason"] = data["reason"]
        moment = now.isoformat()
        return {
            "op_id": str(data["op_id"]), "kind": data["kind"], "item": str(item), "value": value,
            "device_at": moment, "sent_at": moment,
        }


class RecordForm(forms.Form):
    """Anything else recorded on site, as the page's own forms send it; what its fields may hold, the core decides."""

    op_id = forms.UUIDField()
    kind = forms.CharField(max_length=20)
    item = forms.UUIDField()

    def as_operation(self, now: datetime, number: int = 0) -> dict[str, object]:
        """`number`: which of several pictures it goes with; each is an operation of its own."""
        own = {*self.fields, "csrfmiddlewaretoken"}
        value = {name: text for name, text in self.data.items() if name not in own}
        moment, data = now.isoformat(), self.cleaned_data
        op_id = uuid5(data["op_id"], str(number)) if number else data["op_id"]
        return {
            "op_id": str(op_id), "kind": data["kind"], "item": str(data["item"]), "value": value,
            "device_at": moment, "sent_at": moment,
        }
