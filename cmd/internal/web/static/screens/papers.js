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

const form = (page, what, values, fields) => {
  const made = page.state.made?.what === what ? page.state.made : null;
  return html`<form @submit=${(e) => (e.preventDefault(), make(page, what, values))}>
    <div class="fields even">
      ${fields}
      <label>For the wind from<small>such as NNW; nothing for every wind that suits</small><input name=${`${what}-wind`} autocomplete="off" .value=${live(values.wind)} @input=${(e) => (values.wind = e.target.value)} /></label>
      <label>As<select name=${`${what}-as`} @change=${(e) => (values.as = e.target.value)}>${[["pdf", "a PDF, to print"], ["html", "a page for a browser"]].map(([v, words]) => html`<option value=${v} ?selected=${v === values.as}>${words}</option>`)}</select></label>
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
      html`<label>Season<select name="sheet-season" @change=${(e) => (s.sheet.season = e.target.value)}><option value="">the one under way, or next</option>${page.head.seasons.map((one) => html`<option value=${one.name} ?selected=${one.name === s.sheet.season}>${one.name}</option>`)}</select></label>
        <label>As of<small>today, where this is empty</small><input type="date" name="sheet-on" .value=${live(s.sheet.on)} @input=${(e) => (s.sheet.on = e.target.value)} /></label>`,
    )}
    <h2>The draft of a burn plan, of any unit</h2>
    ${form(page, "draft", s.draft, html`<label>Unit<select name="draft-unit" @change=${(e) => (s.draft.unit = e.target.value)}>${page.head.units.map((n) => html`<option ?selected=${n === s.draft.unit}>${n}</option>`)}</select></label>`)}`;
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
  ${page.head.units.length ? wanted(page) : nothing}
  ${page.head.contracts
    ? html`<h2>Cost-share packets</h2>
        <p>One for each of ${many(page.head.contracts, "contract")}, as PDF, workbook and CSV, with a summary.</p>
        ${packets(page, page.path("packets"), "Write all packets")}`
    : nothing}
  ${cautions(data.cautions)}
`;
