// node node_ical.mjs FOLDER FILE: FILE as node-ical reads it. FOLDER holds node_modules.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";

const [folder, file] = process.argv.slice(2);
const ical = createRequire(join(folder, "here.cjs"))("node-ical");

const two = (number) => String(number).padStart(2, "0");
const day = (date) => `${date.getFullYear()}${two(date.getMonth() + 1)}${two(date.getDate())}`;
const utc = (date) => date.toISOString().replace(/[-:]/g, "").replace(/\.\d+Z$/, "Z");
const moment = (date) => (date.dateOnly ? day(date) : utc(date));
// node-ical keeps a duration as it is written.
const seconds = (text) => {
  const [, sign, days, hours, minutes, rest] = text.match(
    /^([-+]?)P(?:(\d+)D)?(?:T(?:(\d+)H)?(?:(\d+)M)?(?:(\d+)S)?)?$/,
  );
  const whole = ((Number(days ?? 0) * 24 + Number(hours ?? 0)) * 60 + Number(minutes ?? 0)) * 60 + Number(rest ?? 0);
  return sign === "-" ? -whole : whole;
};
const plain = (value) => (typeof value === "object" ? value.val : value);

// An alarm that has a UID stands in its event under that, the others in a list.
const alarms = (event) => [
  ...(event.alarms ?? []),
  ...Object.values(event).filter((part) => part?.type === "VALARM"),
];

const events = Object.values(ical.sync.parseICS(readFileSync(file, "utf8")))
  .filter((part) => part.type === "VEVENT")
  .map((part) => ({
    uid: part.uid,
    start: moment(part.start),
    end: moment(part.end),
    sequence: Number(part.sequence),
    status: part.status,
    transparent: part.transparency === "TRANSPARENT",
    alarms: alarms(part).map((alarm) =>
      alarm.trigger?.params?.RELATED === "END" ? "END" : seconds(String(plain(alarm.trigger))),
    ),
  }));
console.log(JSON.stringify(events));
