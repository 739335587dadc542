"""Reads an iCalendar file with python3-icalendar and prints its events like
.ci/node/calendar.mjs: [{"uid", "start", "end", "summary"}, …]."""
import json
import sys

from icalendar import Calendar

with open(sys.argv[1], "rb") as file:
    calendar = Calendar.from_ical(file.read())
print(json.dumps([
    {
        "uid": str(event["UID"]),
        "start": event["DTSTART"].dt.isoformat(),
        "end": event["DTEND"].dt.isoformat(),
        "summary": str(event["SUMMARY"]),
    }
    for event in calendar.walk("VEVENT")
]))
