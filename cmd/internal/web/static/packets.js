// The writing of packets, with what became of each property, for two screens.
import { html, nothing } from "./lit.js";
import { send } from "./api.js";
import { fault } from "./parts.js";
import { many } from "./words.js";

/** Writes them; path is that of all properties or of one. state keeps the result. */
async function write(page, path) {
  const state = page.state;
  state.isWriting = true;
  state.packets = state.packetFault = null;
  page.redraw();
  try {
    state.packets = await send(path, {});
    const files = state.packets.properties.reduce((n, p) => n + p.files.length, 0);
    page.say(`${many(files, "file")} written${state.packets.failed ? `, ${many(state.packets.failed, "property", "properties")} failed` : ""}.`);
  } catch (error) {
    state.packetFault = error;
    page.say(error.message);
  }
  state.isWriting = false;
  page.redraw();
}

const link = (file) => html`<a href=${`/api/packets/${encodeURIComponent(file)}`} download>${file}</a>`;

/** The button, and below it what was written. */
export const packets = (page, path, label) => {
  const { packets: done, packetFault, isWriting } = page.state;
  return html`<p class="buttons"><button type="button" id="write-packets" ?disabled=${isWriting} @click=${() => write(page, path)}>${label}</button>${isWriting ? html`<span class="wait" role="status">Writing…</span>` : nothing}</p>
    ${fault(packetFault)}
    ${done
      ? html`<section class="sheet written" aria-label="Packets that were written">
          <p>In the folder <b>${done.folder}</b>, beside the property files:</p>
          <ul class="bare">
            ${done.properties.map((p) => html`<li><b>${p.id}</b>: ${p.files.length ? p.files.map((f, i) => html`${i ? ", " : ""}${link(f)}`) : html`<span class=${p.has_failed ? "late" : ""}>${p.state}</span>`}</li>`)}
          </ul>
          <p>Summary: ${done.summary.map((f, i) => html`${i ? ", " : ""}${link(f)}`)}</p>
        </section>`
      : nothing}`;
};
