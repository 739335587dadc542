"""Reads iCalendar files with python3-icalendar, one after the other, as a calendar that
follows a property does, and prints the events that it then shows like
.ci/node/calendar.mjs: [{"uid", "start", "end", "summary", "sequence", "stamp",
"status"}, …]. Of two events of one UID the one of the higher sequence counts, then that
of the later stamp (RFC 5546, 2.1.5); one that is CANCELLED is not shown."""
import json
import sys

from icalendar import Calendar

shown = {}
for name in sys.argv[1:]:
    with open(name, "rb") as file:
        calendar = Calendar.from_ical(file.read())
    for event in calendar.walk("VEVENT"):
        uid = str(event["UID"])
        new = (int(event["SEQUENCE"]), event["DTSTAMP"].dt)
        if uid not in shown or new >= shown[uid][0]:
            shown[uid] = (new, event)
print(json.dumps([
    {
        "uid": uid,
        "start": event["DTSTART"].dt.isoformat(),
        "end": event["DTEND"].dt.isoformat(),
        "summary": str(event["SUMMARY"]),
        "sequence": int(event["SEQUENCE"]),
        "stamp": event["DTSTAMP"].dt.strftime("%Y-%m-%dT%H:%M:%SZ"),
        "status": str(event["STATUS"]),
    }
    for uid, (_, event) in shown.items()
    if event["STATUS"] != "CANCELLED"
]))
