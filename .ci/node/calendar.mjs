// Reads an iCalendar file with ical.js and prints its events:
// [{"uid", "start", "end", "summary"}, …].
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
const require = createRequire(process.env.EMBERQUILT_NODE + "/");
const loaded = await import(require.resolve("ical.js"));
const ICAL = loaded.default ?? loaded;
const component = new ICAL.Component(ICAL.parse(readFileSync(process.argv[2], "utf8")));
const out = component.getAllSubcomponents("vevent").map((c) => {
  const event = new ICAL.Event(c);
  return { uid: event.uid, start: event.startDate.toString(), end: event.endDate.toString(), summary: event.summary };
});
console.log(JSON.stringify(out));
