// node ical_js.mjs FOLDER FILE: FILE as ical.js reads it, the engine of a common mail client and of a common web
// calendar. FOLDER holds node_modules.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const [folder, file] = process.argv.slice(2);
const require = createRequire(join(folder, "here.cjs"));
const module = await import(pathToFileURL(require.resolve("ical.js")));
const ICAL = module.default ?? module;

const two = (number) => String(number).padStart(2, "0");
const utc = (date) => date.toISOString().replace(/[-:]/g, "").replace(/\.\d+Z$/, "Z");
const moment = (time) => {
  if (time.isDate) return `${time.year}${two(time.month)}${two(time.day)}`;
  if (time.zone.tzid === "floating") return `floating ${time}`;
  return utc(new Date(time.toUnixTime() * 1000));
};

const calendar = new ICAL.Component(ICAL.parse(readFileSync(file, "utf8")));
for (const zone of calendar.getAllSubcomponents("vtimezone")) ICAL.TimezoneService.register(zone);
const events = calendar.getAllSubcomponents("vevent").map((part) => ({
  uid: part.getFirstPropertyValue("uid"),
  start: moment(part.getFirstPropertyValue("dtstart")),
  end: moment(part.getFirstPropertyValue("dtend")),
  sequence: part.getFirstPropertyValue("sequence"),
  status: part.getFirstPropertyValue("status"),
  transparent: part.getFirstPropertyValue("transp") === "TRANSPARENT",
  alarms: part.getAllSubcomponents("valarm").map((alarm) => {
    const trigger = alarm.getFirstProperty("trigger");
    const related = trigger.getParameter("related") ?? "START";
    return related === "START" ? trigger.getFirstValue().toSeconds() : related;
  }),
}));
console.log(JSON.stringify(events));
