// Prints the US federal holidays, observed days included, of the years FIRST to
// LAST as date-holidays has them: [{"date": "2027-01-01", "name": …}, …].
import { createRequire } from "node:module";
const require = createRequire(process.env.EMBERQUILT_NODE + "/");
const Holidays = require("date-holidays");
const days = new Holidays("US");
const out = [];
for (let year = Number(process.argv[2]); year <= Number(process.argv[3]); year++) {
  for (const day of days.getHolidays(year, "en")) {
    if (day.type === "public") out.push({ date: day.date.slice(0, 10), name: day.name });
  }
}
console.log(JSON.stringify(out));
