// What is handed over, taken back, or kept elsewhere: a copy, an archive for another
// machine, what was changed there, and the list of seals.
import { html, nothing, live } from "./lit.js";
import { saveFile } from "./api.js";
import { came, drop, send, withFiles } from "./parts.js";

/** Takes what an archive changed; where both sides changed a value, a side is asked for. */
async function take(page) {
  const s = page.state;
  const done = await send(page, "received", "received", withFiles({ sides: s.sides ?? {} }, s.archive), {});
  if (done) s.archive = s.sides = null;
  page.redraw();
}

const asked = (page, error) => {
  const s = page.state;
  const all = error.contradictions ?? [];
  if (!all.length) return nothing;
  s.sides ??= {};
  return html`<p>Nothing was changed. Say of each which side holds:</p>
    ${all.map(
      (c, i) => html`<fieldset class="sides">
        <legend class="plain-legend">${c.words}</legend>
        ${[["ours", "this file's holds"], ["theirs", "the archive's holds"]].map(
          ([side, words]) => html`<label class="choice"><input type="radio" name=${`side-${i}`} .checked=${live(s.sides[c.name] === side)} @change=${() => ((s.sides[c.name] = side), page.redraw())} /> ${words}</label>`,
        )}
      </fieldset>`,
    )}
    <p class="buttons"><button type="button" ?disabled=${s.isSending || all.some((c) => !s.sides[c.name])} @click=${() => take(page)}>Receive it so</button></p>`;
};

/** The last part of the screen of the settings. */
export const handover = (page) => {
  const s = page.state;
  return html`<h2>A copy of all of it</h2>
    <p>One file, as it stands now, to be kept elsewhere: every burn, plan and change is in it.</p>
    <p class="buttons"><a class="button quiet-button" href=${page.path("backup")} download>Download a copy</a></p>
    <h2>Hand it over, and take back</h2>
    <p>One archive with the property, the files of its records and contracts, and the packet of each contract, for somebody who works on it on another machine. It holds all that the property holds, names and phone numbers too: hand it to nobody who is not to have them.</p>
    <p class="buttons"><a class="button quiet-button" href=${page.path("sent")} download>Download the archive</a></p>
    ${drop(page, { key: "archive", name: "archive", label: "An archive that comes back", about: "what was changed there comes in, value by value; what only one side changed holds, and nothing of either is lost" }, (files) => {
      if (!files.length) return;
      s.archive = files;
      s.sides = null;
      take(page);
    })}
    ${came(page, "received", (error) => asked(page, error))}
    <h2>Seals, and whether the file is intact</h2>
    <p>Every change is sealed. The list of seals says number, time and seal of each change, and nothing else: kept where whoever has the property file cannot write, it shows later that nothing was altered.</p>
    <p class="buttons"><a class="button quiet-button" href=${page.path("seals")} download>Download the list of seals</a></p>
    ${drop(page, { key: "key", name: "signing-key", label: "Sign it with your own ssh key", about: "the file of a private key without a passphrase, such as id_ed25519; the program on this machine reads it, and keeps it nowhere. A signature says that whoever holds the key held the list to be right" }, ([file]) => file && sign(page, file))}
    ${came(page, "sign")}
    ${s.at === "sign" && s.signed ? html`<p class="buttons"><button type="button" class="quiet-button" @click=${() => saveFile(`${page.id}.seals`, new Blob([s.signed.text]))}>Download the list</button><button type="button" class="quiet-button" @click=${() => saveFile(`${page.id}.seals.sig`, new Blob([s.signed.signature]))}>Download its signature</button></p>` : nothing}
    <div class="fields"><label class="wide">Stamps of papers<small>such as “change 5 (b9dd05c4)”, one a line</small><textarea name="stamps" .value=${live(s.stamps ?? "")} @input=${(e) => (s.stamps = e.target.value)}></textarea></label></div>
    ${drop(page, { key: "seals", name: "seals", label: "A list that was kept", about: "with its signature (.sig) beside it, where it is signed, and the public key (.pub) that must have signed it, where you have it" }, (files) => files.length && check(page, files))}
    ${came(page, "seals")}
    <p class="buttons"><button type="button" class="quiet-button" id="check-file" ?disabled=${s.isSending} @click=${() => check(page, [])}>Check the file</button></p>`;
};

const check = (page, files) => send(page, "seals", "seals", withFiles({ stamps: page.state.stamps ?? "" }, files), { isChange: false });

async function sign(page, file) {
  const s = page.state;
  s.signed = null;
  s.signed = await send(page, "sign", "seals/sign", { key: await file.text() }, { isChange: false });
  page.redraw();
}
