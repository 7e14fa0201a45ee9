from django import forms

ALARMS = [("", "None"), ("15", "15 minutes before"), ("60", "An hour before"), ("120", "Two hours before")]


class LinkOptionsForm(forms.Form):
    """What a calendar shows beside the work; `shows_people`: it is of people, who may be away; `shows_work`: of whole jobs."""

    shows_days_away = forms.BooleanField(label="College and holidays too", required=False)
    shows_order = forms.BooleanField(
        label="What waits for what", required=False,
        help_text="For programs that draw plans (RFC 9253): the last day of one work names what may start then. Most calendars "
        "leave it out.",
    )
    alarm_minutes = forms.TypedChoiceField(
        label="Reminders", choices=ALARMS, coerce=int, empty_value=None, required=False,
        help_text="Before whole days: at six the evening before. Some calendars leave reminders of subscribed calendars out.",
    )

    def __init__(self, *args: object, shows_people: bool, shows_work: bool, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        if not shows_people:
            del self.fields["shows_days_away"]
        if not shows_work:
            del self.fields["shows_order"]
