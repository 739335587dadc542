// Prints the table of county centers, habitat/county/centers.csv, from shapes of
// the US Census Bureau (cartographic boundaries, public domain) as the package
// us-atlas carries them. A center is the centroid of the county on the sphere, to a
// hundredth of a degree: about two thirds of a mile.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const from = createRequire(`${process.env.EMBERQUILT_NODE ?? process.cwd()}/package.json`);
const load = async (name) => import(pathToFileURL(from.resolve(name)));
const { feature } = await load("topojson-client");
const { geoCentroid } = await load("d3-geo");

const us = JSON.parse(readFileSync(from.resolve("us-atlas/counties-10m.json"), "utf8"));
const states = new Map(feature(us, us.objects.states).features.map((f) => [f.id, f.properties.name]));
const counties = feature(us, us.objects.counties).features.sort((a, b) => (a.id < b.id ? -1 : 1));
const out = ["fips,state,county,latitude,longitude"];
const names = new Map();
for (const f of counties) {
  const key = f.id.slice(0, 2) + f.properties.name;
  names.set(key, (names.get(key) ?? 0) + 1);
}
for (const f of counties) {
  const [longitude, latitude] = geoCentroid(f);
  let name = f.properties.name;
  // Some cities are counties of their own beside a county of their name.
  if (names.get(f.id.slice(0, 2) + name) > 1 && Number(f.id.slice(2)) >= 510) name += " (city)";
  out.push([f.id, states.get(f.id.slice(0, 2)), name, latitude.toFixed(2), longitude.toFixed(2)].join(","));
}
console.log(out.join("\n"));
