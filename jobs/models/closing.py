"""Stock carried forward, so that reading it does not add up a firm's whole past each time."""

from django.db import models

from jobs.models.firm import FirmOwned


class StockClosing(FirmOwned):
    """The books closed for a night. `up_to` is the last move carried forward; `seen` the newest there was, which the next
    closing carries: by then no move with a lower number can still be on its way into the database.
    """

    up_to = models.ForeignKey("jobs.StockMove", on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    seen = models.ForeignKey("jobs.StockMove", on_delete=models.CASCADE, related_name="+")
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"stock up to move {self.up_to_id}"


class CarriedStock(FirmOwned):
    """What one of the firm's own places held of an item, loose or on a drum, by a closing; never zero."""

    closing = models.ForeignKey(StockClosing, on_delete=models.CASCADE, related_name="carried")
    item = models.ForeignKey("jobs.Item", on_delete=models.CASCADE, related_name="+")
    place = models.ForeignKey("jobs.Location", on_delete=models.CASCADE, related_name="+")
    drum = models.ForeignKey("jobs.Drum", on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    quantity = models.DecimalField(max_digits=14, decimal_places=2, help_text="Pieces, or metres of cable")

    def __str__(self) -> str:
        return f"{self.quantity} of {self.item_id} at {self.place_id}"
