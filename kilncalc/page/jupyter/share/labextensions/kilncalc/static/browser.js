// The page where there is no server, in the browser edition (.ci/browser-edition). What the server would say is said
// by the list of lessons beside this file, by what the browser keeps, and by the kernel.
const COUNT = `print(__import__("kilncalc.page.lessons", fromlist=["answered_here"]).answered_here())`;
const KEPT = ["answers.csv", "answers-more.csv"];
const EDITION = "kilncalc-edition"; // where the browser remembers which edition it had last
const VIEW = "application/vnd.jupyter.widget-view+json";
const PLAIN_HTTP = "The address of this page begins with http, so this browser keeps your answers only while it has room for them: "
  + "press Hand in, on Start here, when you have finished. Where the address begins with https or is localhost, it is asked to "
  + "keep them until they are cleared.";
const FORGOTTEN = "This browser has been told to forget this site, and your answers with it. Load this page anew before you go on: "
  + "until then it keeps none.";
const KERNEL_WAIT = 240000; // ms; the first time the browser fetches Python

const carried = (call) => `__import__("kilncalc.page.carried", fromlist=["lay"]).${call}`;

// Returns what a page gets from a server elsewhere. `page()` is the one in front, `tell` shows a title and a sentence.
export async function browserEdition(app, page, tell) {
  const { contents, workspaces } = app.serviceManager;
  const here = new URL(".", import.meta.url);
  globalThis.kilncalcPlotlyAt = new URL("plotly.min.js", here).href; // for _picture.js
  const lessons = await (await fetch(new URL("lessons.json", here))).json();
  // The browser's stores are made when they are first asked for; two at once, in a browser that has never been here,
  // would wait for each other for good. So one after the other, before a page asks.
  await contents.get("");
  await contents.listCheckpoints(lessons[0].file);
  workspaces.save = async () => {}; // each lesson that was open would start again behind the one that is asked for
  forgetWidgets(contents);
  await makeWay(contents, lessons, new URL("../../../files/", here), tell);
  navigator.storage?.persist?.(); // not to be thrown away when the disk gets full; not there over plain http
  linksBeside(app);

  // As lessons.check does: the code itself is compared, whatever a notebook says of itself.
  function check({ code, lesson }) {
    const wanted = code.map((source) => source.replaceAll("\r\n", "\n")).filter((source) => source.trim());
    const same = (ours) => ours.length === wanted.length && ours.every((source, place) => source === wanted[place]);
    const found = lessons.find((one) => same(one.code) || same(one.code_without_notes));
    if (found) return { lesson: found.label, why: "" };
    const claimed = lessons.find((one) => one.label === lesson);
    if (!claimed) return { lesson: "", why: "It is not a lesson of this kilncalc." };
    const differs = claimed.code.findIndex((source, place) => source !== wanted[place]);
    const cell = (differs < 0 ? claimed.code.length : differs) + 1;
    return { lesson: "", why: `Its code is not that of lesson ${lesson}: it differs from code cell ${cell} on.` };
  }

  // What is answered is for the kernel to say, who marks: when a page is alive, and again after each new answer.
  let counted = null;
  let counts = null;
  async function count(place, names) {
    const kernel = page()?.panel.sessionContext.session?.kernel;
    if (kernel?.status !== "idle" || page().bar.dataset.state !== "alive") return;
    const there = KEPT.filter((name) => names.includes(name));
    const kept = JSON.stringify(await Promise.all(there.map((name) => textOf(contents, place + name))));
    if (kept === counted) return;
    counted = kept;
    counts = JSON.parse(await printed(kernel, COUNT));
  }

  async function folder(place) {
    const names = (await filesIn(contents, place)).map(({ name }) => name);
    const units = names.includes("session.json") && JSON.parse(await textOf(contents, `${place}session.json`)).units;
    await count(place, names);
    const found = lessons.filter(({ file }) => names.includes(file)).map(({ file, label, title, minutes, core }) => ({
      file, label, title, minutes,
      exercises: counts ? core.length : 0,
      answered: core.filter((key) => counts?.answered.includes(key)).length,
      right: core.filter((key) => counts?.right.includes(key)).length,
    }));
    return { units: units || "metric", lessons: found };
  }

  const kernels = ["python3", "python"]; // as the lessons come, and as JupyterLite calls its own
  const ask = async (what, given) => (what === "check" ? check(given) : folder(decodeURIComponent(what.split("=")[1])));
  const shown = ({ path }) => history.replaceState(null, "", `?path=${encodeURIComponent(path)}`); // for who loads it anew
  return { ask, shown, kernels, kernelWait: KERNEL_WAIT, carry: carrier(contents) };
}

// A panel's link to another lesson leads to a file beside this one, which a server would open as a page.
function linksBeside(app) {
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.(".kilncalc-page a[target=_blank][href$='.ipynb']");
    if (!link) return;
    event.preventDefault();
    app.commands.execute("docmanager:open", { path: link.getAttribute("href") });
  });
}

// What the browser keeps comes without its content unless that is asked for.
const textOf = async (contents, path) => (await contents.get(path, { type: "file", format: "text", content: true })).content;

async function filesIn(contents, place) {
  return (await contents.get(place.replace(/\/$/, ""), { type: "directory", content: true })).content;
}

async function printed(kernel, code) {
  let said = "";
  const asked = kernel.requestExecute({ code, store_history: false });
  asked.onIOPub = ({ content }) => {
    if (content.name === "stdout") said += content.text;
  };
  await asked.done;
  return said;
}

// Over plain http a kernel cannot reach what the browser keeps, so the page carries it: out of the kernel what an answer
// has changed there, then in what other pages have kept. Returns a sentence where the browser does not keep it, or not for
// sure. Where a kernel reaches all by itself it does so by the service worker, which is gone when site data are cleared.
function carrier(contents) {
  const known = new WeakMap(); // kernel -> what it has, as far as it was carried; null: it reaches all by itself

  return async function carry(kernel, place) {
    const reached = () => (navigator.serviceWorker.controller ? "" : FORGOTTEN);
    if (known.get(kernel) === null) return reached();
    const lying = JSON.parse(await printed(kernel, `print(${carried("lying()")})`));
    const before = known.get(kernel) ?? {};
    known.set(kernel, lying);
    if (lying === null) return reached();
    const names = (await filesIn(contents, place)).filter(({ type, name }) => type === "file" && !name.endsWith(".zip")).map(({ name }) => name);
    const kept = Object.fromEntries(await Promise.all(names.map(async (name) => [name, await textOf(contents, place + name)])));
    try {
      for (const [name, now] of Object.entries(lying)) {
        const was = before[name] ?? "";
        const other = kept[name] ?? ""; // nothing: new, or the browser has been told to forget it
        const behind = other !== now && now.startsWith(other);
        if (now === was && !behind) continue;
        kept[name] = behind || !now.startsWith(was) ? now : other + now.slice(was.length);
        await contents.save(place + name, { type: "file", format: "text", content: kept[name] });
      }
    } catch (error) {
      return `This browser does not keep your answers (${error.message}): press Hand in before you close this page.`;
    }
    const changed = Object.entries(kept).filter(([name, now]) => lying[name] !== now);
    if (changed.length) {
      await printed(kernel, carried(`lay(${JSON.stringify(JSON.stringify(Object.fromEntries(changed)))})`));
      known.set(kernel, { ...lying, ...kept });
    }
    return PLAIN_HTTP;
  };
}

// As the server's forget_widgets does: a page opened the next day shows its words, not widgets that are gone.
function forgetWidgets(contents) {
  const save = contents.save.bind(contents);
  contents.save = (path, model) => {
    if (model?.type === "notebook" && model.content && !model.content.metadata.widgets) {
      for (const output of model.content.cells.flatMap((cell) => cell.outputs ?? [])) {
        if (output.data?.["text/plain"]) delete output.data[VIEW];
      }
    }
    return save(path, model);
  };
}

// What the browser keeps hides the site's own file of that name. When the edition has changed, a kept lesson that is
// locked, so that nothing of a person's own is in it, makes way for the newer; beside a changed one the newer is laid.
async function makeWay(contents, lessons, files, tell) {
  const edition = JSON.stringify(lessons.map(({ digest }) => digest));
  const before = localStorage.getItem(EDITION);
  for (const { file, digest, version } of before && before !== edition ? lessons : []) {
    const kept = await contents.get(file, { type: "notebook", format: "json", content: true });
    if (kept.content.metadata.kilncalc?.digest === digest) continue;
    if (kept.content.cells.every((cell) => cell.metadata.editable === false)) {
      await contents.delete(file);
      continue;
    }
    const beside = file.replace(/\.ipynb$/, `-new-${version}.ipynb`);
    const content = await (await fetch(new URL(file, files))).json();
    await contents.save(beside, { type: "notebook", format: "json", content });
    tell("A newer lesson", `You have changed ${file}, so it stays as it is. The newer one is beside it: ${beside}.`);
  }
  localStorage.setItem(EDITION, edition);
}
