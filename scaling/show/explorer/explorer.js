"use strict";
// Reads ports between the evaluated ones of a grid and shows them. Every number comes from the embedded tables.
(() => {
const data = explorerData;
const root = document.getElementById("explorer");
const part = (name) => root.querySelector(`[data-ex="${name}"]`);
const control = (name) => document.getElementById(`ex-${name}`);
const { element, drawOutlines } = explorerDrawing;
const ABSENT = 65535;
const BESIDE = 1e-7; // two factors as near as this lie on either side of a step: nothing is between them

// Reading the grid ----------------------------------------------------------------------------------------------------

// All tables: the differences of their places from factor to factor, low bytes first, then high ones.
async function unpacked() {
  const packed = Uint8Array.from(atob(data.packed), (mark) => mark.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate"));
  const bytes = new Uint8Array(await new Response(stream).arrayBuffer());
  const rows = data.factors.length, high = bytes.length / 2;
  let from = 0;
  return data.tables.map((table) => {
    const columns = Math.max(1, table.u.length), values = new Float64Array(rows * columns);
    for (let column = 0; column < columns; column += 1) {
      for (let row = 0, place = 0; row < rows; row += 1, from += 1) {
        place = (place + bytes[from] + 256 * bytes[high + from]) & 0xffff;
        values[row * columns + column] = place === ABSENT ? NaN : table.low + place * table.step;
      }
    }
    return { shares: table.u, plain: table.plain, values, columns };
  });
}

let tables = [];

// The node at or before a value, and how far it is to the next in logarithms.
function cell(nodes, value) {
  let low = 0, high = nodes.length - 1;
  if (value <= nodes[0]) return [0, 0];
  if (value >= nodes[high]) return [high, 0];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (nodes[middle] <= value) low = middle; else high = middle;
  }
  const step = Math.log(nodes[low + 1] / nodes[low]), along = Math.log(value / nodes[low]) / step;
  return [low, step < BESIDE ? Math.round(along) : along];
}

const mixed = (one, other, weight) => (weight === 0 ? one : one + (other() - one) * weight);

function read(table, factor, share) {
  const [row, along] = cell(data.factors, factor);
  const [column, aside] = table.columns > 1 ? cell(table.shares, share) : [0, 0];
  const at = (down, across) => table.values[(row + down) * table.columns + column + across];
  const line = (down) => mixed(at(down, 0), () => at(down, 1), aside);
  const found = mixed(line(0), () => line(1), along);
  return table.plain ? found : Math.exp(found);
}

// The port that the controls ask for ----------------------------------------------------------------------------------

const state = { start: data.start, machine: 0, drive: "", rule: null, factor: 1, speed: 0, clock: "" };

function caseNow() {
  return data.cases.find((each) => each.machine === state.machine && each.drive === state.drive);
}

function portNow() {
  const own = caseNow();
  const port = { factor: state.factor, values: {}, share: 1, reached: true, reach: null, base: null, volts: own.volts };
  if (own.base !== undefined) {
    port.base = read(tables[own.base], state.factor, 1);
    port.reach = own.reach === null ? null : read(tables[own.reach], state.factor, 1);
    if (state.rule) state.speed = port.base * read(tables[own.rules[state.rule]], state.factor, 1);
    port.share = state.rule ? read(tables[own.rules[state.rule]], state.factor, 1) : state.speed / port.base;
    port.share = Math.min(Math.max(port.share, data.span[0]), data.span[1]);
    state.speed = port.share * port.base;
    port.speed = state.speed;
    port.reached = port.reach === null || port.share <= port.reach * (1 + 1e-6);
  }
  data.names.forEach((name, place) => {
    port.values[name] = read(tables[own.tables[place]], state.factor, port.share);
  });
  const [row, along] = cell(data.factors, state.factor);
  const near = along > 0.5 ? row + 1 : row;
  port.misfits = own.misfits.filter(([from, to]) => from <= near && near <= to).flatMap(([, , said]) => said);
  return port;
}

const quantity = Object.fromEntries(data.names.map((name, place) => [name, data.quantities[place]]));
const hollow = (port, name) => !port.reached && quantity[name].turning === true && name !== "rotor_speed";

function drift(port, name) {
  const about = quantity[name];
  const powers = about.alike && about.alike[state.clock || about.clock];
  const value = port.values[name];
  if (!powers || !about.own || Number.isNaN(value)) return NaN;
  const heavier = Math.log(port.values.mass / quantity.mass.own);
  return value / about.own / Math.exp(powers[0] * heavier + powers[1] * Math.log(port.factor) + powers[2] * Math.log(port.volts));
}

// Words ---------------------------------------------------------------------------------------------------------------

function number(value, digits) {
  if (value === 0) return "0";
  const rounded = Number(value.toPrecision(digits));
  const size = Math.floor(Math.log10(Math.abs(rounded)));
  if (size < -3 || size >= 6) return value.toExponential(digits - 1);
  return rounded.toFixed(Math.max(0, digits - 1 - size));
}

function shown(name, value, digits = 4, unit = true) {
  if (Number.isNaN(value)) return "-";
  const about = quantity[name];
  return number(value * about.scale, digits) + (unit && about.unit ? `\u00a0${about.unit}` : "");
}

function percent(value) {
  if (Number.isNaN(value)) return "-";
  if (value <= 0) return "-";
  const off = Math.round(100 * (value - 1));
  return off > 999 ? `${number(value, 3)}\u00a0×` : `${off > 0 ? "+" : ""}${off}\u00a0%`;
}

const inBrackets = (text, is) => (is && text !== "-" ? `(${text})` : text);
const lower = (label) => (/^[A-Z][a-z ]/.test(label) ? label[0].toLowerCase() + label.slice(1) : label);

function misses(port) {
  const found = [];
  for (const limit of data.limits) {
    const value = port.values[limit.name];
    const over = limit.side === "at most" ? value > limit.value * (1 + 2e-5) : value < limit.value * (1 - 2e-5);
    if (!over) continue;
    if (limit.kind === "mass") found.push(`${Math.max(1, Math.round(1e3 * (value - limit.value)))}\u00a0g over`);
    else if (limit.kind === "size") found.push(`${number(1e3 * (value - limit.value), 2)}\u00a0mm too ${limit.word}`);
    else {
      const side = limit.side === "at most" ? "above" : "below";
      found.push(`${lower(quantity[limit.name].label)} ${shown(limit.name, value)} ${side} ${limit.text}`);
    }
  }
  if (!port.reached) found.push(`motor ${Math.max(1, Math.round(100 * (1 - port.reach / port.share)))}\u00a0% short`);
  return [...found, ...port.misfits];
}

function verdict(port) {
  const found = misses(port);
  const left = data.limits[0].value - port.values.mass;
  const margins = ladderNames.filter((name) => !hollow(port, name) && !Number.isNaN(port.values[name]));
  const lost = margins.filter((name) => port.values[name] < 1 && quantity[name].own >= 1);
  const known = margins.filter((name) => port.values[name] < 1 && quantity[name].own < 1);
  const texts = [found.length ? `Misses: ${found.join("; ")}` : `Fits: ${Math.round(1e3 * left)}\u00a0g left`];
  if (!found.length && port.reach !== null && port.base !== null) {
    texts[0] += `, rotor at ${Math.round((100 * port.share) / port.reach)}\u00a0% of its motor's reach`;
  }
  if (lost.length) {
    const worst = lost.reduce((one, other) => (port.values[one] < port.values[other] ? one : other));
    const more = lost.length > 1 ? `, worst of ${lost.length} that the reference keeps` : "";
    texts.push(`Falls below 1: ${lower(quantity[worst].label)} (${shown(worst, port.values[worst], 3)}${more})`);
  } else texts.push(known.length ? "No further margin is below 1" : "No margin here is below 1");
  const also = `; ${known.length}${lost.length ? " more" : ""} ${known.length === 1 ? "is" : "are"} so on the reference too`;
  return [found.length > 0, `${texts.join(". ")}${known.length ? also : ""}.`];
}

// Drawing -------------------------------------------------------------------------------------------------------------

// A row of a chart: what it is, a strip from one end of a log scale to the other, and its number.
function row(place, name, ends) {
  const made = { name, ends, line: element("div", { class: "ex-row", "data-name": name }) };
  made.label = element("span", { class: "ex-label" }, quantity[name].label);
  made.strip = element("svg", { class: "ex-strip", "aria-hidden": "true" });
  made.text = element("span", { class: "ex-number" });
  made.line.append(made.label, made.strip, made.text);
  place.append(made.line);
  return made;
}

// The place of a value in per cent of a strip, a mark's width off its ends.
function across(ends, value) {
  const share = value > 0 ? Math.log(value / ends[0]) / Math.log(ends[1] / ends[0]) : 0;
  return 4 + 92 * Math.min(1, Math.max(0, share));
}

function drawDrift(made, port) {
  const value = drift(port, made.name), about = quantity[made.name];
  const open = hollow(port, made.name), middle = across(made.ends, 1);
  made.strip.replaceChildren(element("line", { class: "ex-one", x1: `${middle}%`, x2: `${middle}%`, y1: 0, y2: 16 }));
  const off = Math.abs(Math.log(value));
  const alike = off <= Math.log(1 + data.alike);
  const against = !alike && (about.better === "same" || (about.better === "higher") === (value < 1));
  made.line.dataset.value = port.values[made.name];
  made.line.classList.toggle("ex-against", against && !open);
  made.text.textContent = inBrackets(percent(value), open);
  if (!(value > 0)) return;
  const to = across(made.ends, value);
  const kind = alike ? "ex-alike" : against ? "ex-bad" : "ex-good";
  const box = { x: `${Math.min(middle, to)}%`, width: `${Math.max(0.4, Math.abs(to - middle))}%`, y: 3, height: 10 };
  made.strip.append(element("rect", { ...box, class: `${kind}${open ? " ex-open" : ""}` }));
}

function drawMargin(made, port) {
  const value = port.values[made.name], own = quantity[made.name].own;
  const open = hollow(port, made.name), one = across(made.ends, 1);
  made.strip.replaceChildren(
    element("rect", { class: "ex-below", x: 0, y: 0, width: `${one}%`, height: 16 }),
    element("line", { class: "ex-one", x1: `${one}%`, x2: `${one}%`, y1: 0, y2: 16 }),
    element("circle", { class: "ex-ring", cx: `${across(made.ends, own)}%`, cy: 8, r: 4.2 }),
  );
  const below = value < 1;
  made.line.dataset.value = value;
  made.line.classList.toggle("ex-against", below && own >= 1 && !open);
  made.text.textContent = inBrackets(shown(made.name, value, 3), open);
  if (Number.isNaN(value)) return;
  const kind = `${below ? "ex-bad" : "ex-good"}${open ? " ex-open" : ""}`;
  made.strip.append(element("circle", { class: kind, cx: `${across(made.ends, value)}%`, cy: 8, r: 4.2 }));
}

const views = element("svg", { role: "img" });
part("views").append(views);

// Rows ----------------------------------------------------------------------------------------------------------------

const TABLE = ["mass", "length", "rotor_speed", "tip_speed", "rotor_energy", "specific_energy", "spin_up_time", "bite",
  "throw_height_bound", "throw_slide_bound", "top_speed", "half_turn_time", "gyro_lift_yaw_rate", "top_yaw_rate", "traction_acceleration", "drive_push_margin", "arena_crossing_time",
  "pack_energy"];
const tableNames = TABLE.filter((name) => quantity[name]);
const byRole = (...roles) => data.names.filter((name) => roles.includes(quantity[name].role));
const ladderNames = byRole("survival", "budget").filter((name) => quantity[name].margin);
const LADDER = [0.1, 20], DRIFT = [0.4, 2.5];
const own = (name) => (name === "mass" ? "Mass" : name === "length" ? "Length" : quantity[name].label);

const tableRows = tableNames.map((name) => {
  const line = element("tr", { "data-name": name });
  const cells = { name, now: element("td", { class: "number ex-here" }), ratio: element("td", { class: "number" }) };
  line.append(element("th", { scope: "row" }, own(name)));
  line.append(element("td", { class: "number" }, shown(name, quantity[name].own)), cells.now, cells.ratio);
  part("table").tBodies[0].append(line);
  return cells;
});
const ladder = ladderNames.map((name) => row(part("ladder"), name, LADDER));
const handling = byRole("handling");
const survival = byRole("survival");
const rest = byRole("yardstick", "budget");
const drifts = [["handling", handling], ["survival", survival], ["rest", rest]]
  .flatMap(([place, names]) => names.map((name) => row(part(place), name, DRIFT)));
part("survival-part").hidden = survival.length === 0;

function draw() {
  const port = portNow();
  const [missed, text] = verdict(port);
  if (part("verdict").textContent !== text) part("verdict").textContent = text;
  part("verdict").classList.toggle("ex-missed", missed);
  drawControls(port);
  for (const cells of tableRows) {
    const value = port.values[cells.name];
    const open = hollow(port, cells.name) || (cells.name === "rotor_speed" && !port.reached);
    cells.now.textContent = inBrackets(shown(cells.name, value), open);
    const ratio = value / quantity[cells.name].own;
    cells.ratio.textContent = Number.isFinite(ratio) ? inBrackets(number(ratio, 3), open) : "-";
  }
  part("hollow").hidden = port.reached;
  for (const made of drifts) drawDrift(made, port);
  for (const made of ladder) drawMargin(made, port);
  const level = (made) => (Number.isNaN(port.values[made.name]) ? Infinity : port.values[made.name]);
  ladder.sort((one, other) => level(one) - level(other));
  part("ladder").append(...ladder.map((made) => made.line));
  drawOutlines(views, data, quantity, port);
  views.setAttribute("aria-label", `Side and top outline to one scale: the port is ${shown("length", port.values.length, 3)} long, `
    + `the reference ${shown("length", quantity.length.own, 3)}.`);
}

// Controls ------------------------------------------------------------------------------------------------------------

const PLACES = 1000;
const RPM = quantity.rotor_speed ? quantity.rotor_speed.scale : 1;

function drawControls(port) {
  const factor = control("factor"), speed = control("speed");
  if (Number(factor.value) !== Number(state.factor.toFixed(3))) factor.value = state.factor.toFixed(3);
  const told = number(state.factor, 4);
  part("factor-out").textContent = told;
  factor.setAttribute("aria-valuetext", `${told} times the reference`);
  if (port.base === null) return;
  speed.min = Math.ceil((port.base * data.span[0] * RPM) / speed.step) * speed.step;
  speed.max = Math.floor((port.base * data.span[1] * RPM) / speed.step) * speed.step;
  speed.value = Math.round((state.speed * RPM) / speed.step) * speed.step;
  const share = port.reach === null ? "" : `, ${Math.round((100 * port.share) / port.reach)}\u00a0% of reach`;
  part("speed-out").textContent = `${shown("rotor_speed", state.speed)}${share}`;
  speed.setAttribute("aria-valuetext", `${shown("rotor_speed", state.speed)}${share}`);
  control("rule").value = state.rule || "";
}

function options(place, rows) {
  place.replaceChildren(...rows.map(([value, text]) => element("option", { value }, text)));
}

function startFrom(place) {
  const port = data.ports[place];
  const rule = data.speedRules.some(([name]) => name === port.speed) ? port.speed : null;
  Object.assign(state, { start: place, machine: port.machine, drive: port.drive, factor: port.factor, rule });
  const own = caseNow();
  if (own.base !== undefined && !rule) state.speed = port.own ?? read(tables[own.base], state.factor, 1);
  control("start").value = String(place);
  control("drive").value = port.drive;
  const closed = port.levers.length ? [`Closed as port ${port.letter}: ${port.levers.join("; ")}.`] : [];
  if (port.freed.length) closed.push(`Freed as at port ${port.letter}, in proportion to its factor: ${port.freed.join(", ")}.`);
  part("levers").textContent = closed.join(" ");
  draw();
}

async function begin() {
  tables = await unpacked();
  const factor = control("factor"), speed = control("speed");
  factor.min = Math.ceil(data.factors[0] * PLACES) / PLACES;
  factor.max = Math.floor(data.factors[data.factors.length - 1] * PLACES) / PLACES;
  factor.step = 1 / PLACES;
  options(control("start"), data.ports.map((port, at) => [String(at), `${port.letter}: ${port.words}, factor ${number(port.factor, 4)}`]));
  options(control("drive"), data.driveRules);
  options(control("rule"), [...data.speedRules, ["", "by hand, with the slider"]]);
  part("drive-choice").hidden = data.driveRules.length < 2;
  part("speed-choice").hidden = part("speed-slider").hidden = data.span === null;
  if (data.span !== null) {
    const highest = quantity.rotor_speed.own * RPM;
    speed.step = highest > 2000 ? 10 : 1;
    speed.addEventListener("input", () => { state.rule = null; state.speed = Number(speed.value) / RPM; draw(); });
    control("rule").addEventListener("change", (event) => { state.rule = event.target.value || null; draw(); });
  }
  factor.addEventListener("input", () => { state.factor = Number(factor.value); draw(); });
  control("start").addEventListener("change", (event) => startFrom(Number(event.target.value)));
  control("drive").addEventListener("change", (event) => { state.drive = event.target.value; draw(); });
  control("clock").addEventListener("change", (event) => { state.clock = event.target.value; draw(); });
  part("back").addEventListener("click", () => startFrom(state.start));
  if (data.unread.length) {
    part("unread").textContent = `Changes too abruptly to be read between the factors, so not looked at here: ${data.unread.join(", ")}.`;
  }
  root.hidden = false;
  startFrom(data.start);
}

begin();
})();
