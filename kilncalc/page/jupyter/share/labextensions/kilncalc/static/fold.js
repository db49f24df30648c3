// Folds what is tagged `see`, `teacher` or `further` away behind a button that says what it is.
import { make } from "./dom.js";

const KINDS = { further: "Further", teacher: "For the teacher", see: "What to see" }; // outermost first

export const tags = (cell) => cell.model.getMetadata("tags") ?? [];

export function fold(cells) {
  const groups = Object.keys(KINDS).flatMap((kind) => runs(cells, kind));

  function show() {
    for (const cell of cells) {
      const around = groups.filter((group) => group.cells.includes(cell));
      const shut = around.find((group) => !group.open);
      cell.node.classList.toggle("kilncalc-stub", Boolean(shut) && shut.cells[0] === cell);
      cell.node.classList.toggle("kilncalc-away", Boolean(shut) && shut.cells[0] !== cell);
      for (const group of around) {
        if (group.cells[0] === cell) group.button.hidden = Boolean(shut) && around.indexOf(group) > around.indexOf(shut);
      }
    }
    for (const group of groups) group.button.setAttribute("aria-expanded", String(group.open));
  }

  for (const group of groups.toReversed()) {
    group.open = false;
    group.button = make("button", { type: "button", class: `kilncalc-fold kilncalc-fold-${group.kind}` }, title(group));
    group.button.addEventListener("click", () => {
      group.open = !group.open;
      show();
    });
    group.cells[0].node.prepend(group.button);
    for (const cell of group.cells) {
      cell.node.classList.add(`kilncalc-in-${group.kind}`);
      cell.node.addEventListener("kilncalc-unfold", () => {
        group.open = true;
        show();
      });
    }
  }
  show();
}

function runs(cells, kind) {
  const found = [];
  let run = null;
  for (const cell of cells) {
    if (!tags(cell).includes(kind)) run = null;
    else if (run) run.cells.push(cell);
    else found.push((run = { kind, cells: [cell] }));
  }
  return found;
}

function title({ kind, cells }) {
  if (kind !== "further") return KINDS[kind];
  const exercises = cells.filter((cell) => tags(cell).includes("exercise"));
  if (exercises.length === cells.length) return `Further exercises (${cells.length})`;
  const heads = cells.flatMap((cell) => cell.model.sharedModel.source.match(/^## .+$/gm) ?? []);
  return heads.length ? `Further: ${heads.map((head) => head.slice(3).replace(/^Further: /, "")).join("; ")}` : "Further";
}
