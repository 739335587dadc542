// The plan: units by years, the map of a year, acres against caps, classes against
// wanted bands, the shortfall by part and the proof.
import { html, svg, render, nothing } from "../lit.js";
import { cautions, fault, table } from "../parts.js";
import { grid } from "../grid.js";
import { map } from "../map.js";
import { axes, chart } from "../charts.js";
import * as edit from "../edit.js";
import { acres, capital, count, day, figure, many } from "../words.js";

export async function load(page) {
  const number = page.state.number ?? 0;
  const [plans, asked] = await Promise.all([page.ask("plans"), page.ask(`draft?plan=${number}`).catch(() => null)]);
  const line = plans.find((p) => (number ? p.plan === number : p.standing === "adopted"));
  // A plan whose years are over, or one that cannot stand, is only shown.
  const draft = !line || line.status === "infeasible" ? null : asked;
  page.state.edit = draft ? { ...edit.newEditing(draft), ...kept(page.state.edit, draft) } : null;
  page.state.act ??= edit.editor(page);
  const at = (what) => `${what}?number=${number}${draft ? "&brief=1" : ""}`;
  // What was shown of this plan stays until it is read anew.
  const before = draft && page.state.read?.program?.plan === line.plan ? page.state.read : {};
  const data = (page.state.read = { program: before.program ?? null, plans, drawing: before.drawing ?? null, beside: before.beside, error: null });
  // The table stands on the draft alone and is shown first; what is below it follows, so
  // that its making takes nothing from the table's.
  const later = (draft ? shown() : Promise.resolve()).then(() => Promise.all([page.ask(at("plan")), page.head.has_shapes ? page.ask(at("map")).catch(() => null) : null, plans.length > 1 ? page.ask("beside").catch(() => null) : null])).then(
    ([program, drawing, beside]) => Object.assign(data, { program, drawing, beside }),
  );
  if (!draft) await later;
  else later.catch((error) => (data.error = error)).then(page.redraw);
  return data;
}

// When what is drawn now has been shown; a window that nobody sees shows nothing.
const shown = () => Promise.race([new Promise((done) => requestAnimationFrame(() => setTimeout(done))), new Promise((done) => setTimeout(done, 500))]);

// What stays of the editing when the screen is read again.
const kept = (before, draft) => (before ? { note: before.note, other: before.other, cell: before.draft.edited.rows.length === draft.edited.rows.length ? before.cell : null } : {});

export function hears(page, event) {
  if (event.kind !== "draft") return false;
  page.state.act?.hears(event.data);
  return true;
}

export const lock = svg`<svg class="lock" viewBox="0 0 10 12" aria-hidden="true"><path fill="currentColor" d="M1 5h8v7H1zM2.5 5V3.2a2.5 2.5 0 0 1 5 0V5H6.1V3.2a1.1 1.1 0 0 0-2.2 0V5z"/></svg>`;

const marked = (y) => (y.done ? edit.marks.d : y.missed ? edit.marks.m : null);

/** What a unit does in a year, in words. */
export function says(program, unit, at) {
  const y = unit.years[at];
  const what = y.burn ? `burns, ${y.season ?? ""}` : `rests, stand age ${y.age}`;
  return [`${unit.unit}, ${y.year}: ${what}`, marked(y)?.says ?? "", y.overdue ? "overdue" : "", y.locked ? "locked" : "", y.changed ? "changed since the plan before" : ""].filter(Boolean).join("; ");
}

/** A cell of the table. */
export function cell(program, unit, at) {
  const y = unit.years[at];
  const mark = marked(y) ? html`<i aria-hidden="true" class=${`mark ${marked(y).kind}`}></i>` : nothing;
  if (y.burn) {
    const season = program.seasons.findIndex((s) => s.name === y.season);
    return html`<span class=${`cell burn s${Math.max(0, season) % 6}`}>${program.seasons[season]?.letter ?? "B"}${mark}${y.overdue ? "!" : ""}${y.locked ? lock : nothing}</span>`;
  }
  return html`<span class=${`cell ${y.overdue ? "over" : ""}`}>${y.age}${mark}${y.overdue ? "!" : ""}${y.locked ? lock : nothing}</span>`;
}

const key = (program) => html`<ul class="key">
  ${program.seasons.map((s, i) => html`<li><span class=${`chip s${i % 6}`}>${s.letter}</span>burns, ${s.name} (${s.dates})</li>`)}
  <li><span class="chip over">6!</span>rests, past its longest interval</li>
  <li><b>3</b> rests, at that stand age</li>
  <li><i class="mark done" aria-hidden="true"></i> has burned</li>
  <li><i class="mark missed" aria-hidden="true"></i> missed</li>
  <li>${lock} locked</li>
</ul>`;

// A year as the draft has it, or, without one, the plan that can be edited.
function draftMap(page, data, year) {
  const { drawing } = data;
  const { draft } = page.state.edit;
  const at = draft.edited.years.indexOf(year);
  const rows = new Map(draft.edited.rows.map((r, i) => [r.unit, i]));
  const sum = draft.edited.by_year[at];
  const isDraft = draft.is_draft;
  return html`<h2 id="map-title">Map of ${year}${isDraft ? ", as the draft has it" : ""}</h2>
    ${map(drawing.parts, `Map of ${year}${isDraft ? " as the draft has it" : ""}: ${many(sum.burns, "burn")}, ${acres(sum.acres_burned)} acres; the table says the same`, (i) => {
      const row = rows.get(drawing.units[i].unit);
      if (row === undefined) return {};
      const unit = draft.edited.rows[row];
      const season = edit.season(unit.stood, at);
      const mark = edit.marks[unit.mark[at]];
      const changed = edit.season(unit.plan, at) !== edit.season(unit.before, at);
      const burns = season !== -1;
      return {
        class: `${unit.gone ? "" : burns ? `f${Math.max(0, season) % 6}` : `a${unit.ages[at] > 1 ? 1 : 0} ${unit.late[at] === "!" ? "over" : ""}`}${changed ? " moved" : ""}`,
        title: edit.says(page.state.edit, row, at),
        detail: unit.gone ? "gone" : mark ? mark.says : season >= 0 ? draft.edited.seasons[season].name : `age ${unit.ages[at]}`,
        light: burns && !unit.gone,
        top: burns && !unit.gone,
      };
    })}
    <p class="quiet">${many(sum.burns, "burn")}, ${acres(sum.acres_burned)} acres.${isDraft ? ` A dotted edge marks what differs from plan ${draft.edited.plan}.` : ""}</p>`;
}

const pickMap = (page, data) => {
  const { program, drawing } = data;
  if (page.state.edit) {
    const { years } = page.state.edit.draft.edited;
    return draftMap(page, data, years.includes(page.state.year) ? page.state.year : years[0]);
  }
  const year = page.state.year ?? program.years[0];
  const at = program.years.indexOf(year);
  const states = drawing.years[at]?.states ?? [];
  return html`<h2 id="map-title">Map of ${year}</h2>
    ${map(
      drawing.parts,
      `Map of ${year}: ${drawing.years[at]?.note ?? ""}; the table says the same`,
      (i) => {
        const s = states[i] ?? {};
        const unit = program.units.find((u) => u.unit === drawing.units[i].unit);
        return {
          class: s.burns ? `f${Math.max(0, s.season) % 6}` : `a${s.class > 0 ? 1 : 0} ${s.overdue ? "over" : ""}`,
          title: unit ? says(program, unit, at) : drawing.units[i].unit,
          detail: s.done || !s.burns ? s.detail : (drawing.seasons[s.season] ?? "burns"),
          light: s.burns,
          top: s.burns,
        };
      },
    )}
    <p class="quiet">${drawing.years[at]?.note}</p>`;
};

const proof = (program) => html`<p class="proof">${program.gap_words}</p>`;

/** A shortfall with no more decimals than the plan's proof tells. */
const told = (program, v) => (program.shortfall_decimals > 0 ? figure(v) : count(v));

/** The adopted plan and every draft side by side. */
const besides = (beside) =>
  beside && beside.plans.length > 1
    ? html`<details>
        <summary>Plans side by side: what was tried</summary>
        ${table(
          `Program years ${beside.years[0]} to ${beside.years.at(-1)}; overdue acres are added over the years, the shortfall is that of all years solved`,
          [
            ["plan", "plan", (_, p) => html`${p.plan}${p.name ? html` <small>${p.name}</small>` : nothing}`],
            ["acres_burned", "acres", acres, true],
            ["burns", "burns", count, true],
            ["cost_cents", "cost", (v) => `$${count(v / 100)}`, true],
            ["overdue_acre_years", "overdue", acres, true],
            ["overdue_units", "units overdue", count, true],
            ["shortfall_text", "shortfall", (v) => v, true],
            ["difference", `from plan ${beside.plans[0].plan}`, (v) => v, true],
            ["gap_text", "gap", (v) => v, true],
          ],
          beside.plans,
        )}
        <ul>
          ${beside.plans.filter((p) => p.changed.length || p.changed_since).map((p) => html`<li>Plan ${p.plan}${p.name ? `, ${p.name}` : ""}: ${[...p.changed, p.changed_since].filter(Boolean).join("; ")}</li>`)}
          ${beside.notes.map((t) => html`<li>${t}</li>`)}
        </ul>
      </details>`
    : nothing;

const parts = (program) =>
  table(
    "Shortfall by part, in acre-years",
    [["name", "part"], ["words", "what it counts", (v) => html`<span class="sentence">${v}</span>`], ...program.years.map((year, i) => [`${year}`, `${year}`, (_, p) => told(program, p.by_year[i]), true]), ["later", "later", (v) => told(program, v), true], ["acre_years", "all", (v) => told(program, v), true]],
    program.parts.filter((p) => p.acre_years > 0),
  );

const caps = (program) =>
  table(
    "Caps: what the plan takes of each, of how much",
    [["name", "cap", (v, c) => html`${v}${v.includes(c.unit) ? nothing : html`<small> ${c.unit}</small>`}`], ...program.years.map((year, i) => [`${year}`, `${year}`, (_, c) => (c.years[i].limit == null ? figure(c.years[i].used) : html`${figure(c.years[i].used)} <small>of ${figure(c.years[i].limit)}</small>`), true])],
    program.caps,
  );

const classes = (program) =>
  program.mixes.map((mix) =>
    table(
      `Acres of ${mix.name} by age class, with the wanted band`,
      [
        ["name", mix.name, (v, c) => html`${v}<small> age ${c.ages}</small>`],
        ["wanted", "wanted", (_, c) => `${acres(c.min_acres)} to ${acres(c.max_acres)}`, true],
        ...program.years.map((year, i) => [`${year}`, `${year}`, (_, c) => html`${acres(c.years[i].acres)}${c.years[i].off_acres ? html`<small class="late"> ${c.years[i].off_acres > 0 ? "+" : "−"}${acres(Math.abs(c.years[i].off_acres))}</small>` : nothing}`, true]),
      ],
      mix.classes,
    ),
  );

/** What the figures below the table are of: the draft where there is one. */
const figuresOf = (page, { program }) => {
  const e = page.state.edit;
  if (!e?.draft.is_draft) return program;
  const { years, seasons, by_year, mixes, caps } = e.draft.edited;
  return { years, seasons, by_year, mixes, caps };
};

/** The table has a place of its own in the document: scrolling draws it alone. */
function drawTable(page, data) {
  const place = document.getElementById("plan-table");
  if (place) render(unitsAndYears(page, data, () => drawTable(page, data)), place);
}

export function drawn(page, data) {
  drawTable(page, data);
  if (!data.program) return;
  const program = figuresOf(page, data);
  const of = page.state.edit?.draft.is_draft ? page.state.edit.draft.edited : data.program;
  const years = program.years;
  chart(document.getElementById("chart-acres"), of, (c) => ({
    ...axes(c, years, "acres"),
    legend: { top: 0, left: 50, textStyle: { color: c.ink }, itemWidth: 18, itemHeight: 11 },
    aria: { enabled: true, decal: { show: true } },
    tooltip: { show: false },
    series: [
      ...program.seasons.map((s, i) => ({ name: s.name, type: "bar", stack: "acres", data: program.by_year.map((y) => Math.round(10 * (y.seasons[i]?.acres ?? 0)) / 10), itemStyle: { color: c.fills[i % 6], borderColor: c.card, borderWidth: 1 } })),
      ...program.caps
        .filter((cap) => cap.kind === "acres")
        .map((cap) => ({ name: "cap", type: "line", step: "middle", symbol: "none", lineStyle: { color: c.ink, width: 2, type: "dashed" }, itemStyle: { color: c.ink }, data: cap.years.map((y) => y.limit) })),
    ],
  }));
  program.mixes.forEach((mix, m) =>
    mix.classes.forEach((cl, k) =>
      chart(document.getElementById(`chart-class-${m}-${k}`), of, (c) => ({
        ...axes(c, years, "acres"),
        legend: { show: false },
        tooltip: { show: false },
        aria: { enabled: true },
        series: [
          { type: "line", stack: "band", symbol: "none", lineStyle: { opacity: 0 }, data: years.map(() => cl.min_acres), silent: true },
          { type: "line", stack: "band", symbol: "none", lineStyle: { opacity: 0 }, areaStyle: { color: c.band, opacity: 1 }, data: years.map(() => cl.max_acres - cl.min_acres), silent: true },
          { type: "line", symbol: "circle", symbolSize: 8, lineStyle: { color: c.ink, width: 2 }, itemStyle: { color: c.ink }, data: cl.years.map((y) => Math.round(10 * y.acres) / 10) },
        ],
      })),
    ),
  );
}

const choosePlan = (page, plans, number) =>
  plans.length > 1
    ? html`<label>Plan
        <select @change=${(e) => ((page.state.number = Number(e.target.value)), page.reload())}>
          ${plans
            .slice()
            .reverse()
            .map((p) => html`<option value=${p.plan} ?selected=${p.plan === number}>Plan ${p.plan}, made for ${day(p.made_for)}${p.trial ? `, tried: ${p.trial}` : ""}${p.standing === "adopted" ? ", in force" : p.standing === "draft" ? ", a draft" : ""}${p.note ? `: ${p.note}` : ""}</option>`)}
        </select>
      </label>`
    : nothing;

function unitsAndYears(page, data, scrolled) {
  const { program, drawing } = data;
  const { edit: editing, act } = page.state;
  const state = (page.state.grid ??= {});
  if (editing)
    return grid(
      state,
      {
        caption: "What each unit does in each year",
        years: editing.draft.edited.years,
        rows: () => editing.draft.edited.rows.length,
        heading: (row) => html`${editing.draft.edited.rows[row].unit}<small>${acres(editing.draft.edited.rows[row].acres)}</small>`,
        cell: (row, column) => edit.cell(editing, row, column, lock),
        name: (row, column) => edit.says(editing, row, column),
        chosen: editing.draft.edited.years.includes(page.state.year) ? page.state.year : editing.draft.edited.years[0],
        choose: page.head.has_shapes ? (year) => ((page.state.year = year), page.redraw()) : null,
        moved: (row, column) => act.choicesOf(row, column),
        key: act.key,
      },
      page.redraw,
      scrolled,
    );
  return grid(
    state,
    {
      caption: "What each unit does in each year",
      years: program.years,
      rows: () => program.units.length,
      heading: (row) => html`${program.units[row].unit}<small>${acres(program.units[row].acres)}</small>`,
      cell: (row, column) => cell(program, program.units[row], column),
      name: (row, column) => says(program, program.units[row], column),
      chosen: page.state.year ?? program.years[0],
      choose: drawing ? (year) => ((page.state.year = year), page.redraw()) : null,
      moved: (row, column) => (page.state.focused = [row, column]),
    },
    page.redraw,
    scrolled,
  );
}

export function view(page, data) {
  const { program, plans, drawing } = data;
  const at = page.state.focused ?? null;
  const { edit: editing, act } = page.state;
  if (!editing && (!program.units.length || program.status === "infeasible"))
    return html`<h1 tabindex="-1">Plan ${program.plan}</h1>
      <p class="proof">${program.gap_words}</p>
      ${program.clashes?.length ? html`<ul>${program.clashes.map((t) => html`<li>${t.words ?? t}</li>`)}</ul>` : nothing} ${choosePlan(page, plans, program.plan)}${cautions(program.cautions)}`;
  const number = program?.plan ?? editing.draft.edited.plan;
  const years = program?.years ?? editing.draft.edited.years;
  const later = (say) => (program ? say() : html`<span class="wait">…</span>`);
  return html`
    <h1 tabindex="-1">Plan ${number}, ${years[0]} to ${years.at(-1)}</h1>
    <dl class="facts">
      <div><dt>units</dt><dd>${count(editing ? editing.draft.edited.rows.length : program.units.length)}</dd></div>
      <div><dt>acres</dt><dd>${later(() => acres(program.acres))}</dd></div>
      <div><dt>shortfall</dt><dd>${later(() => html`${program.shortfall_text} <small>acre-years</small>`)}</dd></div>
      <div><dt>no plan is below</dt><dd>${later(() => html`${program.bound_text} <small>acre-years</small>`)}</dd></div>
      <div><dt>overdue in some year</dt><dd>${later(() => many(program.overdue.length, "unit"))}</dd></div>
    </dl>
    ${program?.stamp?.plan_overtaken && plans.find((p) => p.plan === number)?.standing !== "adopted" ? html`<p><strong>${program.stamp.plan_overtaken}</strong></p>` : nothing}
    <div class="plan-choice">${choosePlan(page, plans, number)}<button type="button" class="quiet-button" id="make-plan" ?disabled=${editing?.draft.is_draft} title=${editing?.draft.is_draft ? "Keep or discard the draft first" : nothing} @click=${page.makePlan}>Make a new plan</button></div>
    <div class="plan-top">
      <section aria-labelledby="table-title">
        <h2 id="table-title">Units and years</h2>
        ${editing ? edit.bar(editing, act, plans) : nothing}
        ${editing
          ? html`<div class="edit-table" @pointerdown=${act.press}>
              <div id="plan-table"></div>
              <p class="why-line">${edit.dragLine(editing) ?? (editing.cell ? edit.says(editing, ...editing.cell) : "Drag a burn to another year, or choose a cell: b burns, r rests, f leaves it free, u undoes, Shift+U does again, Enter asks why.")}</p>
              ${edit.panel(editing, act)}
            </div>`
          : html`<div id="plan-table"></div>
              <p class="why-line">${at ? says(program, program.units[at[0]], at[1]) : "Arrow keys move in the table; a year's button shows it on the map."}</p>`}
        ${key(editing?.draft.edited ?? program)}
        ${(editing?.draft.edited.rows ?? program.units).filter((u) => u.gone).map((u) => html`<p class="quiet">${u.gone}; the table shows it as the plan was made.</p>`)}
        ${editing
          ? html`<ul class="key">
              <li><span class="chip own-chip">B</span>your edit</li>
              <li><span class="chip moved-chip">3</span>changed because of an edit</li>
              ${editing.other ? html`<li><span class="chip"><i class="over-mark">–</i></span>plan ${editing.other.plan} decides otherwise: its sign</li>` : nothing}
            </ul>`
          : nothing}
        ${editing ? edit.changes(editing, act) : nothing}
      </section>
      <section aria-label="Map of a year">${drawing ? pickMap(page, data) : html`<h2>Map</h2>${page.head.has_shapes && !program ? html`<p class="wait">Reading…</p>` : html`<p class="quiet">No unit has a shape; an import brings shapes.</p>`}`}</section>
    </div>
    ${program ? below(page, data) : html`${data.error ? fault(data.error) : html`<p class="wait">Reading what the plan comes to…</p>`}${cautions(page.head.cautions)}`}
  `;
}

// What a plan comes to, below its table.
function below(page, data) {
  const { program } = data;
  const { edit: editing } = page.state;
  const shown = figuresOf(page, data);
  const ofDraft = editing?.draft.is_draft ? ", as the draft has it" : "";
  const most = page.state.allOverdue ? Infinity : 40;
  return html`
    ${editing?.draft.is_draft
      ? html`<h2>What the draft comes to</h2>
          ${table(
            `Shortfall by part beside plan ${editing.draft.edited.plan}, in acre-years`,
            [["name", "part"], ["words", "what it counts", (v) => html`<span class="sentence">${v}</span>`], ["difference_text", "difference", (v) => html`<b>${v}</b>`, true]],
            editing.draft.edited.parts ?? [],
          )}`
      : html`<h2>How good it is</h2>
          ${proof(program)} ${parts(program)}`}
    <h2>Acres burned against caps${ofDraft}</h2>
    <div class="chart" id="chart-acres" role="img" aria-label="Acres burned in each year by season, with the cap on acres; the table below says the same"></div>
    ${caps(shown)}
    ${shown.mixes.length
      ? html`<h2>Age classes against wanted bands${ofDraft}</h2>
          <div class="charts">
            ${shown.mixes.flatMap((mix, m) =>
              mix.classes.map(
                (c, k) => html`<figure>
                  <figcaption>${mix.name}: ${c.name}, age ${c.ages}</figcaption>
                  <div class="chart" id=${`chart-class-${m}-${k}`} role="img" aria-label=${`Acres of ${mix.name} in ${c.name} at the end of each year, before the wanted band; the table below says the same`}></div>
                </figure>`,
              ),
            )}
          </div>
          ${classes(shown)}`
      : nothing}
    ${program.overdue.length
      ? html`<h2>Overdue</h2>
          ${table("Units past their longest interval", [["unit", "unit"], ["acres", "acres", acres, true], ["max_interval", "longest interval", count, true], ["years", "overdue in", (v) => v.join(", ")], ["first_burn", "burns", (v) => v || "not in these years"]], program.overdue.slice(0, most))}
          ${program.overdue.length > most ? html`<button type="button" class="quiet-button" @click=${() => ((page.state.allOverdue = true), page.redraw())}>Show all ${count(program.overdue.length)}</button>` : nothing}`
      : nothing}
    ${program.standing?.changed?.length ? html`<p class="quiet">Tried: ${program.standing.changed.join("; ")}.</p>` : nothing} ${besides(data.beside)}
    ${program.contract_lines?.length
      ? html`<h2>Contract lines</h2>
          <ul>
            ${program.contract_lines.map((l) => html`<li>${l.trouble ? html`<strong>${l.words}</strong>` : l.words}</li>`)}
          </ul>`
      : nothing}
    <details>
      <summary>What was taken for granted</summary>
      <ul>
        ${program.assumptions.map((t) => html`<li>${t}</li>`)}
      </ul>
    </details>
    ${program.warnings.map((t) => html`<p class="quiet">${t}</p>`)} ${cautions(program.cautions)}
  `;
}
