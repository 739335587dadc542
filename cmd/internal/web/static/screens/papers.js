// The papers: made on demand, downloaded.
import { html, nothing, live } from "../lit.js";
import { askFile } from "../api.js";
import { cautions, fault } from "../parts.js";
import { packets } from "../packets.js";
import { capital, day, many } from "../words.js";

export const load = (page) => page.ask("papers");

async function make(page, what, values) {
  const s = page.state;
  s.made = { what, isMaking: true };
  page.redraw();
  try {
    const name = await askFile(page.path(`wanted/${what}?${new URLSearchParams(Object.entries(values).filter(([, v]) => v))}`));
    s.made = { what, name };
    page.say(`${name} is made`);
  } catch (error) {
    s.made = { what, error };
    page.say(error.message);
  }
  page.redraw();
}

const print = [["pdf", "a PDF, to print"], ["html", "a page for a browser"]];

const form = (page, what, values, fields, forms = print) => {
  const made = page.state.made?.what === what ? page.state.made : null;
  return html`<form @submit=${(e) => (e.preventDefault(), make(page, what, values))}>
    <div class="fields even">
      ${fields}
      ${values.wind === undefined ? nothing : html`<label>For the wind from<small>such as NNW; nothing for every wind that suits</small><input name=${`${what}-wind`} autocomplete="off" .value=${live(values.wind)} @input=${(e) => (values.wind = e.target.value)} /></label>`}
      <label>As<select name=${`${what}-as`} @change=${(e) => (values.as = e.target.value)}>${forms.map(([v, words]) => html`<option value=${v} ?selected=${v === values.as}>${words}</option>`)}</select></label>
    </div>
    ${made?.isMaking ? html`<p class="wait" role="status">Making it…</p>` : nothing} ${fault(made?.error)} ${made?.name ? html`<p class="proof" role="status">${made.name} is made, and was handed to the browser.</p>` : nothing}
    <p class="buttons"><button class="quiet-button" ?disabled=${made?.isMaking}>Make it</button></p>
  </form>`;
};

// Papers that are made for a season, a day, a wind or a unit.
const wanted = (page) => {
  const s = page.state;
  s.sheet ??= { season: "", on: "", wind: "", as: "pdf" };
  s.draft ??= { unit: page.head.units[0] ?? "", wind: "", as: "pdf" };
  return html`<h2>A season's sheet, for another season, day or wind</h2>
    ${form(
      page,
      "sheet",
      s.sheet,
      html`<label>Season<select name="sheet-season" @change=${(e) => (s.sheet.season = e.target.value)}><option value="">now, else the next</option>${page.head.seasons.map((one) => html`<option value=${one.name} ?selected=${one.name === s.sheet.season}>${one.name}</option>`)}</select></label>
        <label>As of<small>today, where this is empty</small><input type="date" name="sheet-on" .value=${live(s.sheet.on)} @input=${(e) => (s.sheet.on = e.target.value)} /></label>`,
    )}
    <h2>The draft of a burn plan, of any unit</h2>
    ${form(page, "draft", s.draft, html`<label>Unit<select name="draft-unit" @change=${(e) => (s.draft.unit = e.target.value)}>${page.head.units.map((n) => html`<option ?selected=${n === s.draft.unit}>${n}</option>`)}</select></label>`)}`;
};

// Maps for the field and for map programs.
const maps = (page) => {
  const s = page.state;
  s.field ??= { as: "pdf" };
  s.units ??= { as: "gpkg" };
  return html`<h2>The map for the field</h2>
    <p>Units, breaks, places and escape ways, with their place on the ground: a phone that reads such maps shows where you stand on it.</p>
    ${form(page, "field", s.field, nothing, [["pdf", "a PDF that knows its place"], ["kmz", "a KMZ, for map programs on a phone"]])}
    <h2>The units and their plan, for map programs</h2>
    ${form(page, "units", s.units, nothing, [["gpkg", "GeoPackage"], ["geojson", "GeoJSON"], ["kml", "KML"], ["zip", "a shapefile, zipped"], ["csv", "CSV with the shape as text"]])}`;
};

// The packet of one contract, as it is or as it was.
const onePacket = (page, contracts) => {
  const s = page.state;
  s.packet ??= { contract: contracts[0], "as-of": "", as: "pdf" };
  return html`<h2>The packet of one contract, as it is or as it was</h2>
    ${form(
      page,
      "packet",
      s.packet,
      html`<label>Contract<select name="packet-contract" @change=${(e) => (s.packet.contract = e.target.value)}>${contracts.map((n) => html`<option ?selected=${n === s.packet.contract}>${n}</option>`)}</select></label>
        <label>As of<small>a date (2026-11-25), or a change or stamp as a paper prints it; today, where this is empty</small><input name="packet-as-of" autocomplete="off" .value=${live(s.packet["as-of"])} @input=${(e) => (s.packet["as-of"] = e.target.value)} /></label>`,
      [...print, ["xlsx", "a workbook"], ["csv", "a table (CSV)"]],
    )}`;
};

export const view = (page, data) => html`
  <h1 tabindex="-1">Papers</h1>
  <p class="lede">Each is made when it is asked for: as of ${day(data.stamp.on)}, from ${data.made_from}.</p>
  <ul class="paper-list">
    ${data.papers.map(
      (p) => html`<li>
        <div>
          <h2>${p.file}</h2>
          <p>${capital(p.about)}.</p>
        </div>
        <a class="button quiet-button" href=${page.path(`papers/${encodeURIComponent(p.file)}`)} download aria-label=${`Download ${p.file}`}>Download</a>
      </li>`,
    )}
  </ul>
  ${page.head.units.length ? wanted(page) : nothing} ${page.head.has_shapes ? maps(page) : nothing}
  ${page.head.contracts
    ? html`<h2>Cost-share packets</h2>
        <p>One for each of ${many(page.head.contracts, "contract")}, as PDF, workbook and CSV, with a summary.</p>
        ${packets(page, page.path("packets"), "Write all packets")} ${onePacket(page, data.contracts)}`
    : nothing}
  ${cautions(data.cautions)}
`;
