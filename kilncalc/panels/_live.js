// Bring plotly's widget code to the page once, when the first picture is drawn, however many panels there are.
const WAIT = 20000; // ms; then another picture asks again, should the one that asked have gone from the page

function fetched(model) {
  return new Promise((resolve) => {
    model.on("msg:custom", async (message, buffers) => {
      if (message.kind !== "plotly") return;
      const address = URL.createObjectURL(new Blob([buffers[0]], { type: "text/javascript" }));
      resolve((await import(address)).default);
      URL.revokeObjectURL(address);
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

export default () => ({
  initialize() {},
  async render({ model, el }) {
    const widget = (await plotly(model))();
    widget.initialize({ model });
    const remove = widget.render({ el });
    model.send({ kind: "drawn" });
    return remove;
  },
});
