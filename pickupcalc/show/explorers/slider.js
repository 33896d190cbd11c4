// The browser's own slider: named for a screen reader, told in words with its unit, moved by every key
// that the browser knows. Where it stands between two steps, the browser rounds and tells nobody.
const KEYS = /^(Arrow|Page|Home|End)/;

function render({ model, el }) {
  const label = document.createElement("label");
  const name = document.createElement("span");
  const input = document.createElement("input");
  label.className = "widget-inline-hbox pickupcalc-slider";
  name.className = "widget-label";
  input.type = "range";
  label.append(name, input);
  el.append(label);

  function show() {
    name.textContent = model.get("description");
    for (const key of ["min", "max", "step"]) input[key] = model.get(key);
    input.value = model.get("value");
    input.setAttribute("aria-valuetext", model.get("told"));
  }
  show();
  model.on("change", show);
  input.addEventListener("keydown", (event) => {
    if (KEYS.test(event.key)) event.stopPropagation(); // or JupyterLab folds headings with them
  });
  input.addEventListener("input", () => {
    model.set("value", input.valueAsNumber);
    model.save_changes();
  });
}

export default { render };
