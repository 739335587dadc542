// The ground: units, places, breaks, and the wind card of the unit that is pointed at.
import { html, svg, nothing, live } from "../lit.js";
import { came, cautions, empty, fault, send, table } from "../parts.js";
import { map } from "../map.js";
import { acres, capital, count, day, figure, percent } from "../words.js";

export { hearsOthers as hears } from "../parts.js";

export async function load(page) {
  const [one = "", two = ""] = page.head.units;
  page.state.pair ??= { units: [one, two], as: "neighbors", because: "" };
  page.state.rule ??= { longer_than: "", apart: false, apart_with: [], because: "" };
  return page.ask("ground");
}

async function choose(page, data, unit) {
  if (!unit || page.state.unit === unit) return;
  page.state.unit = unit;
  page.state.card = page.state.cardFault = null;
  page.redraw();
  try {
    const card = await page.ask(`card?unit=${encodeURIComponent(unit)}`);
    if (page.state.unit === unit) page.state.card = card;
  } catch (error) {
    if (page.state.unit === unit) page.state.cardFault = error;
  }
  page.redraw();
}

export function drawn(page, data) {
  if (!page.state.unit && data.units.length) choose(page, data, data.units[0].unit);
}

// How often a unit burns, and in which seasons, as people say it; a list of units spells
// both for machines.
function every({ min_interval: least, max_interval: most }) {
  if (most === 1) return "1 year";
  return least === most ? `${least} years` : `${least} to ${most} years`;
}

const seasonsInWords = (text) =>
  (text ?? "")
    .split(";")
    .map((one) => one.split(":"))
    .map(([season, penalty]) => (Number(penalty) > 0 ? `${season} (less wanted)` : season))
    .join(", ");

const kindOf = (d) => (d.suits ? "suits" : d.why_not === "smoke" ? "smoke" : "out");
const kindWords = { suits: "suits", smoke: "carries smoke", out: "outside the prescription" };

// A wedge toward where the wind comes from: as long as its share of the days that are
// candidates, or, without a record, as the hours to back through.
function rose(card) {
  const most = Math.max(...card.directions.map((d) => (card.has_shares ? (d.candidate_days_share ?? 0) : d.hours_to_back)), 1e-9);
  const at = (deg, r) => {
    const a = ((deg - 90) * Math.PI) / 180;
    return `${(r * Math.cos(a)).toFixed(1)} ${(r * Math.sin(a)).toFixed(1)}`;
  };
  return html`<svg class="wind" viewBox="-130 -125 260 250" role="img" aria-label=${`Wind card of ${card.unit}; the table below says the same`}>
    <circle r="50"></circle><circle r="100"></circle>
    ${card.directions.map((d) => {
      const value = card.has_shares ? (d.candidate_days_share ?? 0) : d.hours_to_back;
      const r = 8 + (92 * value) / most;
      return svg`<path class=${kindOf(d)} d=${`M0 0L${at(d.wind_from_deg - 10, r)}A${r} ${r} 0 0 1 ${at(d.wind_from_deg + 10, r)}Z`}><title>${d.wind_from}: ${kindWords[kindOf(d)]}</title></path>`;
    })}
    ${["N", "NE", "E", "SE", "S", "SW", "W", "NW"].map((n, i) => {
      const [x, y] = at(45 * i, 114).split(" ");
      return svg`<text x=${x} y=${Number(y) + 4}>${n}</text>`;
    })}
  </svg>`;
}

const windCard = (page) => {
  const { card, cardFault, unit } = page.state;
  if (cardFault) return html`<h2>Wind: ${unit}</h2>${fault(cardFault)}`;
  if (!card) return unit ? html`<h2>Wind: ${unit}</h2><p class="wait">Reading…</p>` : nothing;
  return html`<h2>Wind: ${card.unit}</h2>
    ${rose(card)}
    <ul class="key">
      <li><svg width="18" height="14" class="swatch"><rect class="suits" width="18" height="14"></rect></svg>suits</li>
      <li><svg width="18" height="14" class="swatch"><rect class="smoke" x="1" y="1" width="16" height="12"></rect></svg>carries smoke</li>
      <li><svg width="18" height="14" class="swatch"><rect class="out" x="1" y="1" width="16" height="12"></rect></svg>outside the prescription</li>
    </ul>
    <p class="quiet">
      ${card.prescription ? `Prescription ${card.prescription}${card.season ? `, ${card.season}` : ""}. ` : ""}Wedges point to where the wind comes from; their length is
      ${card.has_shares ? `the wind's share of the candidate days (${card.basis})` : "the hours to back through the unit"}.
    </p>
    ${card.notes.map((n) => html`<p class="quiet">${n}</p>`)}
    <details>
      <summary>The winds as a table</summary>
      ${table(
        `Winds of ${card.unit}`,
        [
          ["wind_from", "from"],
          ["suits", "it", (_, d) => kindWords[kindOf(d)]],
          ["run_ft", "longest run, ft", (v) => count(Math.round(v)), true],
          ["hours_to_back", "hours to back", (v) => figure(Math.round(v * 10) / 10), true],
          ["interior_lines", "interior lines", count, true],
          ["hours_line_to_line", "hours line to line", (v) => figure(Math.round(v * 10) / 10), true],
          ["start_at_edge", "start at edge"],
          ["candidate_days_share", "share of days", percent, true],
          ["smoke_reaches", "smoke reaches", (v) => (v ?? []).map((p) => p.place).join(", ")],
        ],
        card.directions,
      )}
    </details>`;
};

// How the unit is burned, as its manager says it: lines inside it, or hours in a row.
const firing = (page) => {
  const s = page.state;
  const { card } = s;
  if (!card) return nothing;
  if (s.firing?.unit !== card.unit) s.firing = { unit: card.unit, lines: "", hours: "" };
  const f = s.firing;
  const keep = async (body) => {
    const unit = card.unit;
    if (!(await send(page, "firing", "card", body))) return;
    s.firing = s.unit = s.card = null;
    await choose(page, null, unit);
  };
  return html`<details>
      <summary>How ${card.unit} is burned</summary>
      <form @submit=${(e) => (e.preventDefault(), keep(f))}>
        <div class="fields even">
          <label>Interior lines<input name="firing-lines" inputmode="numeric" .value=${live(f.lines)} @input=${(e) => ((f.lines = e.target.value), page.redraw())} /></label>
          <label>or hours in a row<input name="firing-hours" inputmode="numeric" .value=${live(f.hours)} @input=${(e) => ((f.hours = e.target.value), page.redraw())} /></label>
        </div>
        <p class="buttons"><button ?disabled=${s.isSending || !(f.lines.trim() || f.hours.trim())}>Keep it with the unit</button><button type="button" class="quiet-button" ?disabled=${s.isSending} @click=${() => keep({ unit: card.unit, lines: "", hours: "" })}>Take away what was kept</button></p>
      </form>
    </details>
    ${came(page, "firing")}`;
};

const breakWords = { program_year: "burn year", unit: "unit", burns: "burns", acres: "acres", each_alone_ft: "feet, each alone", saved_ft: "feet saved", boundary_ft: "feet of boundary", standing_ft: "feet that stand", break_ft: "feet to make" };
const breakWord = (key) => breakWords[key] ?? key.replace(/^acres_at_(.*)_ft$/, "acres at $1 ft");

const breaks = ({ title, basis, rows }) => {
  const keys = Object.keys(rows[0] ?? {});
  return html`<h2>Breaks to make</h2>
    ${table(
      title,
      keys.map((key) => [key, breakWord(key), key === "program_year" || key === "unit" ? null : key === "acres" || key.startsWith("acres_") ? figure : count, !["program_year", "unit"].includes(key)]),
      rows,
      { showCaption: true, class: "stack" },
    )}
    ${basis.map((t) => html`<p class="quiet">${t}</p>`)}`;
};

// What two units can be to each other.
const kinds = [["neighbors", "neighbors, burned together"], ["apart", "apart: never in one burn year"], ["none", "nothing to each other"]];

const pairForm = (page) => {
  const p = page.state.pair;
  const unit = (i, label) => html`<label>${label}<select name=${`pair-${i}`} @change=${(e) => (p.units[i] = e.target.value)}>${page.head.units.map((n) => html`<option ?selected=${n === p.units[i]}>${n}</option>`)}</select></label>`;
  return html`<form @submit=${async (e) => {
    e.preventDefault();
    if (await send(page, "pair", "neighbors", p)) p.because = "";
    page.redraw();
  }}>
    <h3>Say it of two units</h3>
    <div class="fields even">
      ${unit(0, "Unit")} ${unit(1, "and")}
      <label>are<select name="pair-as" @change=${(e) => (p.as = e.target.value)}>${kinds.map(([value, words]) => html`<option value=${value} ?selected=${value === p.as}>${words}</option>`)}</select></label>
      <label>Reason, kept with it<input name="pair-because" .value=${live(p.because)} @input=${(e) => (p.because = e.target.value)} /></label>
    </div>
    ${came(page, "pair")}
    <p class="buttons"><button ?disabled=${page.state.isSending}>Keep it</button></p>
  </form>`;
};

const shapesForm = (page) => {
  const r = page.state.rule;
  const keep = async (isDry) => {
    const done = await send(page, "rule", "neighbors/shapes", { ...r, dry_run: isDry }, { words: (a) => a.words, isChange: !isDry });
    page.state.isRuleShown = isDry && done?.changes > 0;
    page.redraw();
  };
  const touch = () => (page.state.isRuleShown = false);
  return html`<form @submit=${(e) => (e.preventDefault(), keep(true))}>
    <h3>Take it from the shapes</h3>
    <div class="fields even">
      <label>Boundaries longer than<small>feet; nothing for all</small><input name="rule-longer" inputmode="numeric" .value=${live(r.longer_than)} @input=${(e) => ((r.longer_than = e.target.value), touch())} /></label>
      <label>Reason, kept with it<input name="rule-because" .value=${live(r.because)} @input=${(e) => (r.because = e.target.value)} /></label>
    </div>
    <details class="few-units">
      <summary>${r.apart_with.length ? `never in one burn year with ${r.apart_with.join(", ")}` : "Units that never burn in one year with those beside them"}</summary>
      ${page.head.units.map((n) => html`<label class="choice"><input type="checkbox" .checked=${live(r.apart_with.includes(n))} @change=${(e) => ((r.apart_with = e.target.checked ? [...r.apart_with, n] : r.apart_with.filter((o) => o !== n)), touch(), page.redraw())} /> ${n}</label>`)}
    </details>
    ${came(page, "rule")}
    <p class="buttons">
      <button class="quiet-button" id="look-pairs" ?disabled=${page.state.isSending}>What would change</button>
      <button type="button" id="keep-pairs" ?disabled=${page.state.isSending || !page.state.isRuleShown} @click=${() => keep(false)}>Keep these pairs</button>
    </p>
  </form>`;
};

const neighbors = (page, data) => {
  const met = new Set((data.borders ?? []).map((b) => `${b.unit_a}\n${b.unit_b}`));
  const others = data.pairs.filter((p) => !met.has(`${p.unit_a}\n${p.unit_b}`));
  const rows = [...others, ...(data.borders ?? [])];
  return html`<h2>Neighbors</h2>
    ${rows.length
      ? html`${table(
            "Units that meet, and what they are kept as",
            [["unit_a", "unit"], ["unit_b", "and"], ["meet_at", "meet at a"], ["shared_feet", "shared feet", (v) => (v ? count(v) : ""), true], ["kept_as", "kept as"]],
            rows.slice(0, page.state.allBorders ? undefined : 12),
            { class: "stack" },
          )}
          ${rows.length > 12 && !page.state.allBorders ? html`<button type="button" class="quiet-button" @click=${() => ((page.state.allBorders = true), page.redraw())}>Show all ${rows.length}</button>` : nothing}`
      : html`<p class="quiet">No two units are kept as neighbors, and none has a shape that would show them.</p>`}
    ${data.units.length > 1
      ? html`<div class="two">
          <div>${pairForm(page)}</div>
          ${page.head.has_shapes ? html`<div>${shapesForm(page)}</div>` : nothing}
        </div>`
      : nothing}`;
};

export function view(page, data) {
  const chosen = page.state.unit;
  const units = data.units;
  if (!units.length) return html`<h1 tabindex="-1">Ground</h1>${empty("There are no units yet. An import brings them, as a list or as shapes.")}${cautions(data.cautions)}`;
  return html`
    <h1 tabindex="-1">Ground</h1>
    <p class="lede">${count(units.length)} units, ${acres(units.reduce((sum, u) => sum + u.acres, 0))} acres.</p>
    <div class="ground-top">
      <div>
        ${data.parts
          ? map(
              data.parts,
              `Map of the units of ${page.head.property}, with places and breaks`,
              (i) => ({ class: `a${i % 2} ${data.parts.units[i].unit === chosen ? "chosen" : ""}`, title: `${data.parts.units[i].unit}, ${acres(units[i]?.acres)} acres`, top: data.parts.units[i].unit === chosen }),
              (i) => choose(page, data, data.parts.units[i].unit),
            )
          : empty("No unit has a shape yet. An import brings shapes; then the map is drawn here.")}
        <p class="buttons">
          <label>Unit
            <select @change=${(e) => choose(page, data, e.target.value)}>
              ${units.map((u) => html`<option ?selected=${u.unit === chosen}>${u.unit}</option>`)}
            </select>
          </label>
        </p>
      </div>
      <section aria-live="polite">${windCard(page)} ${firing(page)}</section>
    </div>
    <h2>Units</h2>
    ${table(
      "Units",
      [
        ["unit", "unit"],
        ["acres", "acres", acres, true],
        ["interval", "burn every", (_, u) => every(u)],
        ["cover", "cover"],
        ["last_burn_on", "last burned", day],
        ["age", "stand age", (v, u) => (v == null ? "" : `${v}${u.age_assumed ? " (assumed)" : ""}`), true],
        ["seasons", "seasons", seasonsInWords],
        ["prescription", "prescription"],
      ],
      units,
      { class: "stack" },
    )}
    ${data.places.length
      ? html`<h2>Sensitive places</h2>
          ${table(
            "Sensitive places and their distance from the units",
            [["place", "place"], ["kind", "kind"], ["unit", "unit"], ["distance_ft", "feet", count, true], ["miles", "miles", null, true], ["toward", "toward"]],
            data.places.slice(0, page.state.allPlaces ? undefined : 12),
          )}
          ${data.places.length > 12 && !page.state.allPlaces
            ? html`<button type="button" class="quiet-button" @click=${() => ((page.state.allPlaces = true), page.redraw())}>Show all ${data.places.length}</button>`
            : nothing}`
      : nothing}
    ${data.breaks ? breaks(data.breaks) : nothing}
    ${data.standing.length
      ? html`<h2>Breaks that stand</h2>
          ${table("Breaks that stand", [["name", "break"], ["kind", "kind"], ["length_ft", "feet", count, true]], data.standing, { class: "stack" })}`
      : nothing}
    ${neighbors(page, data)}
    ${cautions(data.cautions)}
  `;
}
