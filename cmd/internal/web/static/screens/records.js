// Burns on record, their history.
import { html, nothing } from "../lit.js";
import { cautions, empty, fault, table } from "../parts.js";
import { acres, day } from "../words.js";

export const title = "Records";

export const load = (page) => page.ask("burns").then((burns) => ({ burns }));

async function history(page, number) {
  const state = page.state;
  state.open = state.open === number ? 0 : number;
  state.versions = state.fault = null;
  page.redraw();
  if (!state.open) return;
  try {
    state.versions = await page.ask(`burns/${number}/history`);
  } catch (error) {
    state.fault = error;
  }
  page.redraw();
}

const versions = (page) => html`
  <section aria-live="polite">
    <h2>History of burn ${page.state.open}</h2>
    ${fault(page.state.fault)}
    <ol class="history">
      ${(page.state.versions ?? []).map(
        (v) => html`<li>
          <b>Version ${v.version}</b>${v.withdrawn ? html` <span class="tag alarm">withdrawn</span>` : nothing}
          <div>${v.reason} <small>${v.made_at}</small></div>
          ${v.since_before.length ? html`<ul>${v.since_before.map((t) => html`<li>${t}</li>`)}</ul>` : nothing}
        </li>`,
      )}
    </ol>
  </section>
`;

export const view = (page, { burns }) => html`
  <h1 tabindex="-1">Records</h1>
  ${burns.length
    ? html`${page.state.open ? versions(page) : nothing}
      ${table(
        "Burns on record, the newest first",
        [
          ["date", "date", (v, b) => html`${day(v)}${b.through ? html` to ${day(b.through)}` : nothing}`],
          ["unit", "unit"],
          ["kind", "kind"],
          ["acres", "acres", acres, true],
          ["program_year", "burn year", null, true],
          ["season", "season"],
          ["number", "versions", (n) => html`<button type="button" class="plain" aria-expanded=${page.state.open === n} @click=${() => history(page, n)}>History<span class="unseen"> of burn ${n}</span></button>`],
        ],
        burns.slice().reverse(),
        { showCaption: true },
      )}`
    : empty("No burn is on record yet.")}
  ${cautions(page.head.cautions)}
`;
