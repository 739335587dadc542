// Reads iCalendar files with ical.js, one after the other, as a calendar that follows a
// property does, and prints the events that it then shows:
// [{"uid", "start", "end", "summary", "sequence", "stamp", "status"}, …]. Of two events
// of one UID the one of the higher sequence counts, then that of the later stamp
// (RFC 5546, 2.1.5); one that is CANCELLED is not shown.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
const require = createRequire(process.env.EMBERQUILT_NODE + "/");
const loaded = await import(require.resolve("ical.js"));
const ICAL = loaded.default ?? loaded;
const shown = new Map();
for (const name of process.argv.slice(2)) {
  const component = new ICAL.Component(ICAL.parse(readFileSync(name, "utf8")));
  for (const c of component.getAllSubcomponents("vevent")) {
    const event = new ICAL.Event(c);
    const stamp = c.getFirstPropertyValue("dtstamp");
    const old = shown.get(event.uid);
    if (!old || event.sequence > old.event.sequence || (event.sequence === old.event.sequence && stamp.compare(old.stamp) >= 0)) {
      shown.set(event.uid, { event, stamp, status: c.getFirstPropertyValue("status") });
    }
  }
}
const out = [];
for (const { event, stamp, status } of shown.values()) {
  if (status === "CANCELLED") continue;
  out.push({
    uid: event.uid, start: event.startDate.toString(), end: event.endDate.toString(), summary: event.summary,
    sequence: event.sequence, stamp: stamp.toString(), status,
  });
}
console.log(JSON.stringify(out));
