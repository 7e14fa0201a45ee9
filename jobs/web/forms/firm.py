from django import forms

from jobs.core.workdays import REGIONS
from jobs.models import CalendarDay, Firm
from jobs.web.forms.people import day_input


def time_input() -> forms.TimeInput:
    return forms.TimeInput(format="%H:%M", attrs={"type": "time"})


class FirmForm(forms.ModelForm):
    holiday_region = forms.ChoiceField(label="Bank holidays of", choices=list(REGIONS.items()))

    class Meta:
        model = Firm
        fields = [
            "name", "phone", "email", "address", "holiday_region", "zone", "morning_starts", "morning_ends",
            "afternoon_starts", "afternoon_ends", "order_cut_off", "cable_slack_metres", "cable_waste_percent",
            "occupied_factor", "spare_ways_percent", "morning_message_at", "evening_summary_at", "wants_evening_summary",
            "quiet_from", "quiet_until", "has_quiet_days", "reminds_trades", "chase_after_days", "prompts_at",
        ]
        labels = {
            "email": "E-mail",
            "zone": "Time zone",
            "order_cut_off": "Order by",
            "cable_slack_metres": "Cable slack at each end, metres",
            "cable_waste_percent": "Cable waste, %",
            "occupied_factor": "Hours in a lived-in house, times",
            "spare_ways_percent": "Spare ways of a board, %",
            "morning_message_at": "Morning message at",
            "evening_summary_at": "Evening summary at",
            "wants_evening_summary": "Send the evening summary",
            "quiet_from": "Quiet from",
            "quiet_until": "Quiet until",
            "has_quiet_days": "Quiet on Sundays and bank holidays",
            "reminds_trades": "Remind trades the working day before",
            "chase_after_days": "Ask again after, working days",
            "prompts_at": "Reminders leave at",
        }
        help_texts = {
            "quiet_from": "Messages about dates wait until the quiet is over, unless their day would have come by then",
            "has_quiet_days": "All day",
            "chase_after_days": "When a date is not answered; twice at most. 0 = never",
            "prompts_at": "On working days",
            "zone": "For example Europe/London",
            "order_cut_off": "For delivery the next working day, unless a wholesaler has its own hour",
            "occupied_factor": "1.30 = 30 % more hours than in an empty house",
        }
        widgets = {
            "phone": forms.TextInput(attrs={"type": "tel"}),
            "address": forms.Textarea(attrs={"rows": 3}),
            "morning_starts": time_input(),
            "morning_ends": time_input(),
            "afternoon_starts": time_input(),
            "afternoon_ends": time_input(),
            "order_cut_off": time_input(),
            "morning_message_at": time_input(),
            "evening_summary_at": time_input(),
            "quiet_from": time_input(),
            "quiet_until": time_input(),
            "prompts_at": time_input(),
        }


class FirmDayForm(forms.Form):
    on = forms.DateField(label="Day", widget=day_input())
    is_working = forms.TypedChoiceField(
        label="The firm", coerce=lambda value: value == "works", choices=[("rests", "does not work"), ("works", "works")]
    )
    name = forms.CharField(
        label="Why", max_length=CalendarDay._meta.get_field("name").max_length, help_text="For example: winter shut-down"
    )
