// Questions to the server and changes. An error is a Fault, which parts.js shows.

export class Fault extends Error {
  constructor(status, body) {
    super(body.errors?.map((e) => e.found).join("; ") || "the server gave no answer");
    this.status = status;
    this.errors = body.errors ?? [{ found: this.message }];
    this.more = body.more ?? 0;
    this.next = body.next ?? "";
    this.overlap = body.overlap ?? false;
    this.contradictions = body.contradictions ?? [];
  }
}

async function exchange(path, options) {
  let answer, body;
  try {
    answer = await fetch(path, { credentials: "same-origin", ...options });
    if (answer.status === 204) return null;
    const isJSON = answer.headers.get("Content-Type")?.startsWith("application/json");
    body = isJSON ? await answer.json() : { error: { errors: [{ found: (await answer.text()).trim() || answer.statusText }] } };
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Fault(0, { errors: [{ found: "the program does not answer", hint: "emberquilt page starts it again; its new address is in the terminal" }] });
  }
  if (!answer.ok) throw new Fault(answer.status, body.error ?? {});
  return body;
}

/** Asks for a file, which is handed over to the user under the name that it has. */
export async function askFile(path) {
  const answer = await fetch(path, { credentials: "same-origin" }).catch(() => null);
  if (!answer?.ok) {
    const body = await answer?.json().catch(() => null);
    throw new Fault(answer?.status ?? 0, body?.error ?? { errors: [{ found: "the program does not answer" }] });
  }
  const name = /filename="([^"]*)"/.exec(answer.headers.get("Content-Disposition") ?? "")?.[1] ?? "paper";
  saveFile(name, await answer.blob());
  return name;
}

/** Hands over a file to the user. */
export function saveFile(name, blob) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

/** Asks for a value. */
export const ask = (path, options) => exchange(path, options);

const mostSent = 200; // MB; the server ends the connection of a larger form unread

/** Sends a change: a plain value as JSON, or a form with files. */
export async function send(path, body, options = {}) {
  const isForm = body instanceof FormData;
  const size = isForm ? [...body.values()].reduce((sum, value) => sum + (value.size ?? 0), 0) : 0;
  if (size > mostSent * 1024 * 1024) throw new Fault(413, { errors: [{ found: `the files together are larger than ${mostSent} MB; nothing was sent`, accepts: `up to ${mostSent} MB at once` }] });
  return exchange(path, {
    method: "POST",
    body: isForm ? body : JSON.stringify(body ?? {}),
    headers: isForm ? {} : { "Content-Type": "application/json" },
    ...options,
  });
}

/** Listens to what the server tells, across lost connections: the browser comes back
 * with the id of the last event it heard. */
export function listen(hear, state) {
  const source = new EventSource("/api/events");
  source.onopen = () => state(true);
  source.onerror = () => state(false);
  source.onmessage = (message) => hear(JSON.parse(message.data));
  return source;
}
