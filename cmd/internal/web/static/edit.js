// The editing of a plan: what the user changes is a draft in the property file, and
// the server looks for the plan that holds it. Three ways lead to the same edit: a
// burn is dragged to another year, a key is pressed on a cell, or a choice is made in
// the panel of the cell. What cannot be is said before, with the reason.
import { html, nothing } from "./lit.js";
import { fault } from "./parts.js";
import { figure, many } from "./words.js";

const rest = ".";

/** The index of the season that a row has in a year, −1 for a rest, −2 for a burn on
 * record in none. */
export const season = (text, column) => (text[column] === rest ? -1 : text[column] === "+" ? -2 : text.charCodeAt(column) - 48);

/** What the records say of a year beside what is planned. */
export const marks = { d: { kind: "done", says: "has burned" }, m: { kind: "missed", says: "missed" } };

const by = { l: "locked", e: "your edit", r: "on record", ".": "" };

/** What the editing of a screen holds. other is a plan laid over this one. */
export const newEditing = (draft) => ({ draft, version: draft?.version ?? 0, told: draft?.serial ?? 0, error: null, cell: null, choices: null, why: null, isAsking: false, drag: null, note: "", isKeeping: false, other: null });

const word = (e, s) => (s < 0 ? "rests" : `burns, ${e.draft.edited.seasons[s]?.name ?? ""}`);

/** A cell in words: what it does, who decided it, and what it did before. */
export function says(e, row, column) {
  const unit = e.draft.edited.rows[row];
  const [is, was] = [season(unit.plan, column), season(unit.before, column)];
  const over = otherAt(e, unit.unit, e.draft.edited.years[column]);
  return [
    `${unit.unit}, ${e.draft.edited.years[column]}: ${word(e, is)}${is < 0 ? `, stand age ${unit.ages[column]}` : ""}`,
    marks[unit.mark[column]]?.says ?? "",
    unit.late[column] === "!" ? "overdue" : "",
    by[unit.by[column]],
    is !== was ? `changed: plan ${e.draft.edited.plan} ${word(e, was)}` : "",
    over !== undefined && over !== is ? `plan ${e.other.plan} ${word(e, over)}` : "",
  ]
    .filter(Boolean)
    .join("; ");
}

const otherAt = (e, unit, year) => (e.other ? e.other.at.get(unit)?.[year] : undefined);

/** A cell of the table. Changes have an outline, solid for an edit and dashed for what
 * follows from one; a plan that is laid over shows its own sign in the corner. */
export function cell(e, row, column, lock) {
  const unit = e.draft.edited.rows[row];
  const seasons = e.draft.edited.seasons;
  const [is, was] = [season(unit.plan, column), season(unit.before, column)];
  const own = unit.by[column] === "e";
  const over = otherAt(e, unit.unit, e.draft.edited.years[column]);
  const late = unit.late[column] === "!";
  const mark = marks[unit.mark[column]];
  const drop = e.drag?.row === row && e.drag.isOn ? e.drag.at?.get(e.drag.years[column]) : null;
  const classes = ["cell", is >= 0 ? `burn s${is % 6}` : late ? "over" : "", is !== was ? "moved" : "", own ? "own" : "", drop ? (drop.reasons.length ? "shut" : "open") : "", e.drag?.row === row && e.drag.isOn && e.drag.column === column ? "held" : ""];
  return html`<span class=${classes.filter(Boolean).join(" ")} data-burn=${is >= 0 && unit.by[column] !== "r" ? "yes" : nothing}
    >${is >= 0 ? (seasons[is]?.letter ?? "B") : unit.ages[column]}${mark ? html`<i aria-hidden="true" class=${`mark ${mark.kind}`}></i>` : nothing}${late ? "!" : ""}${unit.by[column] === "l" || (unit.by[column] === "r" && !mark) ? lock : nothing}${drop
      ? html`<b class="drop" aria-hidden="true">${drop.reasons.length ? "✕" : seasons.find((s) => s.name === drop.season)?.letter}</b>`
      : nothing}${over !== undefined && over !== is ? html`<i class="over-mark" aria-hidden="true">${over < 0 ? "–" : (seasons[over]?.letter ?? "B")}</i>` : nothing}</span
  >`;
}

/** Makes what a screen calls. state holds what newEditing gives as state.edit. */
export function editor(page) {
  const e = () => page.state.edit;
  const plan = () => e().draft.edited.plan;

  const take = (draft) => {
    e().draft = draft;
    e().version = draft.version;
    // News of the server may have come before with the same figures: what counts is
    // whether this draft was told already.
    if (draft.holds_the_edits && draft.serial !== e().told) {
      e().told = draft.serial;
      page.say([draft.edited.words, draft.edited.differences[0] ?? ""].join(" "));
    }
    page.redraw();
  };

  const refresh = async () => {
    if (e().isAsking) {
      e().isStale = true;
      return;
    }
    e().isAsking = true;
    try {
      take(await page.ask(`draft?plan=${page.state.number ?? 0}`));
    } catch (error) {
      e().error = error;
      page.redraw();
    }
    e().isAsking = false;
    if (e().isStale) {
      e().isStale = false;
      refresh();
    }
  };

  const send = async (what, body) => {
    e().error = null;
    try {
      const draft = await page.send(`draft/${what}`, body);
      if (draft.edited) take(draft);
      if (e().cell) choicesOf(...e().cell);
      return draft;
    } catch (error) {
      e().error = error;
      page.say(error.message);
      page.redraw();
      return null;
    }
  };

  const edit = (step) => send("edit", { plan: plan(), step });

  let asked = 0;
  const choicesOf = async (row, column) => {
    const mine = ++asked;
    const unit = e().draft.edited.rows[row];
    e().cell = [row, column];
    if (!unit) return;
    const year = e().draft.edited.years[column];
    if (e().choices?.unit !== unit.unit || e().choices?.year !== year) e().choices = null;
    await new Promise((done) => setTimeout(done, 90)); // the keys may be moving on
    if (mine !== asked) return;
    try {
      const choices = await page.ask(`draft/choices?plan=${plan()}&unit=${encodeURIComponent(unit.unit)}&year=${year}`);
      if (mine !== asked) return;
      e().choices = choices;
      page.redraw();
    } catch (error) {
      if (mine === asked) e().error = error;
    }
  };

  const at = (row, column) => ({ unit: e().draft.edited.rows[row].unit, year: e().draft.edited.years[column] });

  const key = (event, row, column) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return false;
    const choice = { b: "burn", r: "rest", f: "free" }[event.key];
    if (choice) edit([{ ...at(row, column), do: choice }]);
    else if (event.key === "u") send("undo");
    else if (event.key === "U") send("redo");
    else if (event.key === "Enter") {
      document.getElementById("cell-panel")?.focus();
      why(row, column);
    }
    else if (event.key === "Escape" && e().drag) dropAway();
    else return false;
    return true;
  };

  let waits = null;
  /** Asks why of a cell: a second solve with the other choice, of the stored plan. */
  const why = async (row, column) => {
    waits?.abort();
    waits = new AbortController();
    const { unit, year } = at(row, column);
    const mine = (e().why = { unit, year, says: null, error: null });
    page.redraw();
    try {
      mine.says = await page.ask(`why?unit=${encodeURIComponent(unit)}&year=${year}`, { signal: waits.signal });
      page.say([mine.says.headline, mine.says.other_choice?.words].filter(Boolean).join(" "));
    } catch (error) {
      if (error.name === "AbortError") return;
      mine.error = error;
    }
    page.redraw();
  };

  const dropAway = () => {
    e().drag = null;
    page.redraw();
  };

  // A burn is dragged along its row with a mouse or a pen; a finger scrolls, and has
  // the panel.
  const press = async (event) => {
    const td = event.target.closest("[data-at]");
    if (!td || event.button || event.pointerType === "touch" || !td.querySelector("[data-burn]")) return;
    event.preventDefault(); // no text is chosen
    const [row, column] = td.dataset.at.split(" ").map(Number);
    const drag = (e().drag = { row, column, x: event.clientX, isOn: false, over: column, at: null, years: e().draft.edited.years });
    const box = td.closest(".plan-grid");
    td.focus({ preventScroll: true });
    const move = (ev) => {
      if (Math.abs(ev.clientX - drag.x) > 6) drag.isOn = true;
      const over = document.elementFromPoint(ev.clientX, ev.clientY)?.closest?.("[data-at]");
      const to = over?.dataset.at.split(" ").map(Number);
      const next = to && to[0] === row ? to[1] : null;
      if (drag.isOn && next !== drag.over) {
        drag.over = next;
        page.redraw();
      }
    };
    const stop = () => {
      removeEventListener("pointermove", move);
      removeEventListener("pointerup", up);
      removeEventListener("pointercancel", cancel);
    };
    const cancel = () => {
      stop();
      dropAway();
    };
    const up = () => {
      stop();
      const target = drag.isOn && drag.over !== null && drag.over !== drag.column ? drag.at?.get(drag.years[drag.over]) : null;
      const isOn = drag.isOn;
      dropAway();
      if (target?.reasons.length) page.say(target.reasons.join("; "));
      else if (target) edit(target.step).then(() => box.querySelector(`[data-at="${row} ${drag.over}"]`)?.focus());
      else if (!isOn) td.click();
    };
    addEventListener("pointermove", move);
    addEventListener("pointerup", up);
    addEventListener("pointercancel", cancel);
    try {
      const { unit, year } = at(row, column);
      const moves = await page.ask(`draft/moves?plan=${plan()}&unit=${encodeURIComponent(unit)}&year=${year}`);
      drag.at = new Map(moves.map((m) => [m.year, m]));
      if (e().drag === drag) page.redraw();
    } catch (error) {
      e().error = error;
    }
  };

  const keep = async (event) => {
    event.preventDefault();
    e().isKeeping = true;
    page.redraw();
    const kept = await send("keep", { note: e().note });
    e().isKeeping = false;
    if (kept) {
      e().note = "";
      page.say(`Plan ${kept.plan} is kept.`);
      page.state.number = 0;
      await page.reload();
    } else page.redraw();
  };

  const discard = async () => {
    if (await send("discard")) {
      page.say("The draft is discarded.");
      await page.reload();
    }
  };

  const layOver = async (number) => {
    if (!number) e().other = null;
    else {
      const program = await page.ask(`plan?number=${number}`);
      const seasons = e().draft.edited.seasons.map((s) => s.name);
      e().other = { plan: number, at: new Map(program.units.map((u) => [u.unit, Object.fromEntries(u.years.map((y) => [y.year, y.burn ? seasons.indexOf(y.season) : -1]))])) };
    }
    page.redraw();
  };

  /** The server told something of the draft: figures are shown at once, a newer plan is asked for. */
  const hears = (news) => {
    if (!e()?.draft) return;
    const { version, ...figures } = news;
    Object.assign(e().draft, figures);
    if (version > e().version) {
      e().version = version;
      refresh();
    }
    page.redraw();
  };

  return { key, press, choicesOf, why, edit, send, keep, discard, layOver, hears, refresh };
}

/** The line while a burn is dragged: why a year is shut, or what would be. */
export function dragLine(e) {
  const drag = e.drag;
  if (!drag?.isOn) return null;
  const target = drag.over === null ? null : drag.at?.get(drag.years[drag.over]);
  if (!drag.at) return "Looking where this burn can go…";
  if (!target) return "Drag to another year of the same unit.";
  return target.reasons.length ? `Not ${target.year}: ${target.reasons.join("; ")}.` : `${target.year}: it would burn in ${target.season}.`;
}

/** Figures of the plan under way and the buttons of the draft. */
export const bar = (e, act, plans) => {
  const d = e.draft;
  const f = d.figures;
  return html`<section class="edit-bar" aria-label="Draft">
    <div class="edit-state">
      <p>
        ${d.is_draft ? html`<b class="tag">draft of plan ${d.edited.plan}</b> ${many(d.edits.length, "decision")} fixed by you` : html`<span class="quiet">Change a cell, and the plan is solved again around it.</span>`}
      </p>
      <dl class="meter">
        <div>
          <dt>shortfall</dt>
          <dd>${f.shortfall_acre_years == null ? "…" : f.shortfall_text}${d.is_draft && f.keep_acre_years > 0 ? html` <small>with ${figure(f.keep_acre_years)} for leaving plan ${d.edited.plan}</small>` : nothing}</dd>
        </div>
        <div><dt>no plan is below</dt><dd>${f.bound_acre_years == null ? "…" : f.bound_text}</dd></div>
        <div><dt>gap</dt><dd>${f.gap == null ? "…" : `${(100 * f.gap).toFixed(1)}%`}</dd></div>
      </dl>
      <p class="quiet edit-run">${d.is_solving ? `${d.holds_the_edits ? "A plan holds your edits; looking for a better one" : "Looking for a plan that holds your edits"}… ${Math.round(d.seconds)} s` : d.is_draft && f.gap > 1e-6 ? "Stopped; there may be a better plan." : ""}</p>
    </div>
    <div class="buttons">
      <button type="button" class="quiet-button" ?disabled=${!d.undo_steps} @click=${() => act.send("undo")}>Undo</button>
      <button type="button" class="quiet-button" ?disabled=${!d.redo_steps} @click=${() => act.send("redo")}>Redo</button>
      ${d.is_solving
        ? html`<button type="button" class="quiet-button" @click=${() => act.send("stop")}>Stop here</button>`
        : d.is_draft && d.edits.length && f.gap > 1e-6
          ? html`<button type="button" class="quiet-button" @click=${() => act.send("go-on")}>Look longer</button>`
          : nothing}
      ${plans.length > 1
        ? html`<label class="lay-over">Lay over
            <select @change=${(ev) => act.layOver(Number(ev.target.value))}>
              <option value="0">no other plan</option>
              ${plans.filter((p) => p.plan !== d.edited.plan || d.is_draft).map((p) => html`<option value=${p.plan} ?selected=${p.plan === e.other?.plan}>plan ${p.plan}</option>`)}
            </select></label
          >`
        : nothing}
    </div>
    ${d.clashes.length
      ? html`<div class="fault" role="alert">
          <p>No plan holds this:</p>
          <ul>${d.clashes.map((c) => html`<li>${c}</li>`)}</ul>
        </div>`
      : nothing}
    ${d.fallen.length
      ? html`<div class="fault" role="status">
          <p>The property changed, and these edits fell away:</p>
          <ul>${d.fallen.map((c) => html`<li>${c.year}: ${c.unit}, ${c.do}: ${c.reason}</li>`)}</ul>
        </div>`
      : nothing}
    ${fault(e.error)}
  </section>`;
};

const label = (choice) => (choice.do === "burn" ? (choice.season ? `Burn in ${choice.season}` : "Burn, any season") : choice.do === "rest" ? "Rest" : "Leave it to the solver");

/** The panel of the cell in focus: what it does, who decided, and every choice; one
 * that cannot be has the reason beside it. */
export function panel(e, act) {
  if (!e.cell || !e.draft.edited.rows[e.cell[0]]) return nothing;
  const [row, column] = e.cell;
  const unit = e.draft.edited.rows[row];
  const year = e.draft.edited.years[column];
  const back = () => document.querySelector(`[data-at="${row} ${column}"]`)?.focus();
  return html`<section class="cell-panel" id="cell-panel" tabindex="-1" aria-label=${`${unit.unit}, ${year}`} @keydown=${(ev) => ev.key === "Escape" && back()}>
    <h3>${unit.unit}, ${year}</h3>
    <p>${says(e, row, column).split(": ").slice(1).join(": ")}. <small>Burns every ${unit.interval} years.</small></p>
    ${e.choices
      ? html`<ul class="choices">
          ${e.choices.choices.map(
            (c) =>
              html`<li>
                <button type="button" class="quiet-button" ?disabled=${c.reasons.length > 0} @click=${() => act.edit([{ unit: unit.unit, year, do: c.do, ...(c.season ? { season: c.season } : {}) }])}>${label(c)}</button>
                ${c.reasons.length ? html`<small>${c.reasons.join("; ")}</small>` : nothing}
              </li>`,
          )}
        </ul>`
      : html`<p class="quiet">Looking what can be…</p>`}
    ${reasons(e, act, unit.unit, year, row, column)}
  </section>`;
}

/** Why the plan in force decides the cell so, and what the other choice would mean. */
const reasons = (e, act, unit, year, row, column) => {
  const why = e.why?.unit === unit && e.why.year === year ? e.why : null;
  if (!why) return html`<p class="buttons"><button type="button" class="quiet-button" @click=${() => act.why(row, column)}>Why?</button></p>`;
  if (why.error) return fault(why.error);
  const w = why.says;
  if (!w) return html`<p class="wait" role="status">Looking why, by a second plan with the other choice…</p>`;
  return html`<div class="why">
    <h4>${w.headline}</h4>
    ${e.draft.is_draft ? html`<p class="quiet">This is of plan ${w.plan}, without your edits.</p>` : nothing}
    <ul>${w.reasons.map((t) => html`<li>${t}</li>`)}</ul>
    ${w.done || w.missed
      ? nothing
      : html`<h4>${w.burn ? "What a rest would mean" : "Why it does not burn instead"}</h4>
          <ul>
            ${w.obstacles.map((o) => html`<li>${o.words}</li>`)}
            ${w.obstacles.length || w.other_choice.impossible ? nothing : html`<li>No requirement stands in the way, the rest of the plan staying as it is.</li>`}
            <li>${w.other_choice.words}</li>
            ${w.clashes.map((t) => html`<li>${t}</li>`)}
          </ul>`}
    ${w.second_plan_differs.length
      ? html`<details>
          <summary>What else the second plan does otherwise</summary>
          <ul>${w.second_plan_differs.map((t) => html`<li>${t}</li>`)}</ul>
        </details>`
      : nothing}
  </div>`;
};

/** What the draft changes, in words, and the form that keeps it. */
export const changes = (e, act) => {
  const v = e.draft.edited;
  if (!e.draft.is_draft && !v.changes.length) return nothing;
  const most = 60;
  return html`<section class="edit-changes" aria-labelledby="changes-title">
    <h2 id="changes-title">What changes</h2>
    <p>${v.words}</p>
    <ul class="differences">${v.differences.map((t) => html`<li>${t}</li>`)}</ul>
    ${v.changes.length
      ? html`<ul class="change-list">
          ${v.changes.slice(0, most).map((c) => html`<li class=${c.own ? "own" : "other"}>${c.words}</li>`)}
          ${v.changes.length > most ? html`<li>and ${v.changes.length - most} more</li>` : nothing}
        </ul>`
      : nothing}
    ${e.draft.is_draft
      ? html`<form class="buttons" @submit=${act.keep}>
          <label>Note <input name="note" maxlength="500" .value=${e.note} @input=${(ev) => (e.note = ev.target.value)} /></label>
          <button ?disabled=${!e.draft.edits.length || e.isKeeping}>Keep as a new plan</button>
          <button type="button" class="quiet-button" @click=${act.discard}>Discard the draft</button>
        </form>`
      : nothing}
  </section>`;
};
