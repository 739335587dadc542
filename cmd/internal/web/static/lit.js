// The reactive library, in one place: templates in which every value is text.
export { html, svg, render, nothing, noChange } from "./lit-html/lit-html.js";
export { repeat } from "./lit-html/directives/repeat.js";
export { live } from "./lit-html/directives/live.js";
