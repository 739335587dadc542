"use strict";
const drawn = [];
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
window.addEventListener("resize", function () {
  for (const one of drawn) {
    if (one.box.clientWidth > 0 && one.box.clientWidth !== one.chart.getWidth()) {
      one.chart.resize();
      fit(one);
    }
  }
});
