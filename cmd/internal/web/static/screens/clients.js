// All properties of a folder: what is due, who is behind, contracts by fiscal year.
import { html, nothing } from "../lit.js";
import { cautions, fault, table } from "../parts.js";
import { ask } from "../api.js";
import { packets } from "../packets.js";
import { count, day, many } from "../words.js";

export const load = (page) => ask(`/api/clients?days=${page.state.days ?? 30}`);

const contract = (c) => html`<li>
  <b>${c.contract}</b>
  ${c.by_fiscal_year.map((y) => html`<div>fiscal year ${y.fiscal_year}: ${Object.entries(y.states).filter(([state]) => state !== "behind schedule").map(([state, n], i) => `${i ? ", " : ""}${n} ${state}`)}${y.behind ? html`${Object.keys(y.states).length > 1 || !y.states["behind schedule"] ? ", " : ""}<span class="late">${y.behind} behind schedule</span>` : nothing}</div>`)}
</li>`;

const due = (c) =>
  c.due.length
    ? html`<details>
        <summary>${many(c.due.length, "task")}${c.late ? html`, <span class="late">${c.late} late</span>` : nothing}</summary>
        <ul class="bare">
          ${c.due.map((t) => html`<li>${t.unit}: ${t.task}, by ${day(t.by)}${t.state === "late" ? html` <span class="late">late</span>` : nothing}</li>`)}
        </ul>
      </details>`
    : "nothing";

export const view = (page, data) => html`
  <h1 tabindex="-1">Clients</h1>
  <p class="buttons">
    <label>Due within<select @change=${(e) => ((page.state.days = Number(e.target.value)), page.reload())}>
      ${[7, 14, 30, 60, 90].map((n) => html`<option value=${n} ?selected=${n === data.days}>${n} days</option>`)}
    </select></label>
    <a class="button quiet-button" href="/first" @click=${page.follow}>A new property</a>
  </p>
  ${table(
    "Properties",
    [
      ["property", "property", (v, c) => html`<a href=${`/p/${encodeURIComponent(c.id)}/season`} @click=${page.follow}>${v || c.id}</a>${c.owner ? html`<small> ${c.owner}</small>` : nothing}${c.copy_of ? html`<small> ${c.copy_of}</small>` : nothing}`],
      ["due", "due", (_, c) => (c.fault ? fault(c.fault) : c.plan ? due(c) : "no plan yet")],
      ["contracts", "contracts", (v) => (v.length ? html`<ul class="bare">${v.map(contract)}</ul>` : "none")],
      ["units", "units", count, true],
      ["changed_at", "last change", (v, c) => (c.fault ? "" : html`<span>${day(v.slice(0, 10))}<small> ${c.last_change}</small></span>`)],
    ],
    data.clients,
    { class: "stack" },
  )}
  ${data.clients.some((c) => c.contracts.length) ? html`<h2>Cost-share packets</h2>${packets(page, "/api/packets", "Write all packets")}` : nothing}
  ${cautions(data.cautions)}
`;
