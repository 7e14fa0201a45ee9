// Reads a JSON list of calendars from standard input and says what ical.js makes of each event's times and words.
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const { default: ICAL } = await import(pathToFileURL(process.argv[2]).href);

function read(text) {
  const calendar = new ICAL.Component(ICAL.parse(text));
  ICAL.TimezoneService.reset();
  for (const zone of calendar.getAllSubcomponents("vtimezone")) {
    ICAL.TimezoneService.register(new ICAL.Timezone(zone));
  }
  return {
    method: calendar.getFirstPropertyValue("method"),
    events: calendar.getAllSubcomponents("vevent").map(readEvent),
  };
}

function readEvent(component) {
  const event = new ICAL.Event(component);
  return {
    uid: event.uid,
    sequence: event.sequence,
    starts: when(event.startDate),
    ends: when(event.endDate),
    summary: event.summary,
    place: event.location ?? "",
    status: component.getFirstPropertyValue("status"),
    alarms: component.getAllSubcomponents("valarm").map((alarm) => alarm.getFirstPropertyValue("trigger").toSeconds()),
    relations: component.getAllProperties("related-to").map((one) => [
      one.getFirstValue(), one.getParameter("reltype") ?? "PARENT", one.getParameter("gap") ?? "",
    ]),
  };
}

// A day as it stands; a moment as seconds since 1970, with the clock time as it is written and the zone's name.
function when(time) {
  return time.isDate ? time.toString() : { seconds: time.toUnixTime(), clock: time.toString(), zone: time.zone.tzid };
}

process.stdout.write(JSON.stringify(JSON.parse(readFileSync(0, "utf8")).map(read)));
