"use strict";
const drawn = [];
let printing = false;
function fit(one) {
  const svg = one.box.querySelector("svg");
  if (svg) {
    svg.setAttribute("viewBox", "0 0 " + one.chart.getWidth() + " " + one.chart.getHeight());
    svg.setAttribute("aria-hidden", "true");
  }
}
function draw(id, option) {
  const one = { box: document.getElementById(id) };
  one.chart = echarts.init(one.box, null, { renderer: "svg" });
  one.chart.setOption(option);
  drawn.push(one);
  fit(one);
}
function size(one, box) {
  one.chart.resize(box);
  one.chart.getZr().refreshImmediately();
  fit(one);
}
addEventListener("resize", function () {
  for (const one of printing ? [] : drawn) {
    if (one.box.clientWidth > 0 && one.box.clientWidth !== one.chart.getWidth()) size(one);
  }
});
// Paper has a width of its own: charts are drawn for it, not shrunk to it.
addEventListener("beforeprint", function () {
  printing = true;
  for (const one of drawn) {
    const box = one.box.dataset.print.split("x");
    size(one, { width: Number(box[0]), height: Number(box[1]) });
  }
});
addEventListener("afterprint", function () {
  printing = false;
  for (const one of drawn) size(one, { width: "auto", height: "auto" });
});
