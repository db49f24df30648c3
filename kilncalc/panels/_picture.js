// Draw a figure with plotly, whose code comes to the page once, with the first picture, however many there are.
const CONFIG = { displayModeBar: false, responsive: false };
const WAIT = 20000; // ms; then another picture asks again, should the one that asked have gone from the page

function fetched(model) {
  return new Promise((resolve) => {
    model.on("msg:custom", async (message, buffers) => {
      if (message.kind !== "plotly") return;
      const address = URL.createObjectURL(new Blob([buffers[0]], { type: "text/javascript" }));
      await import(address);
      URL.revokeObjectURL(address);
      resolve(globalThis.Plotly);
    });
    model.send({ kind: "plotly" });
  });
}

async function plotly(model) {
  if (globalThis.kilncalcPlotly) {
    const late = new Promise((resolve) => setTimeout(resolve, WAIT));
    const found = await Promise.race([globalThis.kilncalcPlotly, late]);
    if (found) return found;
  }
  return (globalThis.kilncalcPlotly = fetched(model));
}

function ranges(layout) {
  const axes = Object.entries(layout).filter(([name]) => /^[xy]axis/.test(name));
  return JSON.stringify(axes.map(([, axis]) => axis.range));
}

// On the page, where words have a size and the sliders stand beside the picture.
async function placed(el) {
  while (!el.isConnected) await new Promise(requestAnimationFrame);
}

// A slider of ipywidgets says a bare number, and not of what: let it say its label and the value beside it.
function speak(panel) {
  for (const slider of panel.querySelectorAll(".widget-slider")) {
    const handle = slider.querySelector(".noUi-handle");
    handle?.setAttribute("aria-label", slider.querySelector(".widget-label").textContent);
    handle?.setAttribute("aria-valuetext", slider.parentElement.querySelector("input")?.value ?? "");
  }
}

export default {
  async render({ model, el }) {
    const { newPlot, react, purge } = await plotly(model);
    await placed(el);
    const plot = el.appendChild(document.createElement("div"));
    let counts = null;
    let drawing = false;
    let stale = false;

    async function draw() {
      stale = true;
      if (drawing) return; // the one who draws sees that what he drew is out of date
      drawing = true;
      try {
        while (stale) {
          stale = false;
          const { data, layout } = JSON.parse(model.get("figure"));
          // Where axes count anew, as in other units, `react` would stretch a picture that is drawn to scale.
          const before = counts;
          counts = ranges(layout);
          await (counts === before ? react : newPlot)(plot, data, layout, CONFIG);
        }
      } finally {
        drawing = false;
      }
      speak(el.closest(".kilncalc-panel"));
    }

    model.on("change:figure", draw);
    await draw();
    return () => {
      model.off("change:figure", draw);
      purge(plot);
    };
  },
};
