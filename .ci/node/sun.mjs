// Reads [{"date": "2027-03-04", "latitude": …, "longitude": …}, …] from standard
// input and prints the sunrise and sunset of each as suncalc has them, in
// milliseconds since 1970 UTC, null where the sun does not rise or set.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
const require = createRequire(process.env.EMBERQUILT_NODE + "/");
const loaded = await import(require.resolve("suncalc"));
const SunCalc = loaded.default ?? loaded;
const out = JSON.parse(readFileSync(0, "utf8")).map(({ date, latitude, longitude }) => {
  // suncalc wants an instant of the day: noon of local solar time.
  const noon = Date.parse(date + "T12:00:00Z") - longitude * 240000;
  const times = SunCalc.getTimes(new Date(noon), latitude, longitude);
  const ms = (t) => (Number.isNaN(t?.getTime?.() ?? NaN) ? null : t.getTime());
  return { sunrise: ms(times.sunrise), sunset: ms(times.sunset) };
});
console.log(JSON.stringify(out));
