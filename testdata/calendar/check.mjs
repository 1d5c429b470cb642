// Reads calendars with ical.js (MPL-2.0, tried with 2.2.1), which shares no code with ours, and prints
// each event; it ends with an error where one is no whole day, has no UID or shares it.
//   npm install ical.js, then beside node_modules: node check.mjs FILE.ics...
import ICAL from "ical.js";
import { readFileSync } from "node:fs";

for (const path of process.argv.slice(2)) {
  ICAL.design.strict = true;
  const root = new ICAL.Component(ICAL.parse(readFileSync(path, "utf8")));
  const uids = new Set();
  for (const part of root.getAllSubcomponents("vevent")) {
    const e = new ICAL.Event(part);
    const days = e.endDate.subtractDate(e.startDate).toSeconds() / 86400;
    if (!e.uid || uids.has(e.uid)) throw new Error(`${path}: UID ${e.uid} is missing or stands twice`);
    if (!e.startDate.isDate || !e.endDate.isDate || days !== 1) throw new Error(`${path}: ${e.summary} is no whole day`);
    uids.add(e.uid);
    console.log(e.startDate.toString(), JSON.stringify(e.summary), JSON.stringify(e.description));
  }
  console.log(`${path}: ${uids.size} events`);
}
