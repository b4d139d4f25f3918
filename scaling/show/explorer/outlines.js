"use strict";
// Draws the reference and a port from the side and from above, to one scale, from their own dimensions.
const explorerDrawing = (() => {
const holder = document.createElement("template");
holder.innerHTML = "<svg></svg>";
const DRAWN = holder.content.firstChild.namespaceURI;

function element(tag, attributes = {}, text = null) {
  const drawn = ["svg", "line", "rect", "circle", "path"].includes(tag);
  const made = drawn ? document.createElementNS(DRAWN, tag) : document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text !== null) made.textContent = text;
  return made;
}

// Where a machine begins and ends, and where its rotor's axle is, in metres ahead of the rear contact.
function extent(axis, of) {
  const length = of("length"), reach = of(axis === "along" ? "rotor.width" : "rotor.diameter", 0);
  const middle = of("wheelbase", length / 2) / 2;
  const lever = of("rotor.axle_lever"), centre = of("cg_ahead");
  const known = axis && lever !== undefined && centre !== undefined;
  const front = known ? centre + lever + reach / 2 : middle + length / 2;
  return { rear: front - length, front, axle: front - reach / 2, nose: axis ? Math.min(front, front - 0.4 * reach) : front };
}

// Shapes in metres: tag, place (from the left, from the floor or the middle), size, what it is. z or y goes up.
function shapes(axis, wheels, of) {
  const { rear, front, axle, nose } = extent(axis, of);
  const width = of("width"), height = of("height"), across = of("rotor.diameter"), thick = of("rotor.width", 0);
  const hub = of("rotor.axle_height", across / 2), wheel = of("wheel.diameter", height / 2), tyre = 0.12 * width;
  const side = [["rect", rear, 0.12 * height, nose - rear, 0.88 * height, "ex-body"]];
  const top = [["rect", rear, -width / 2, nose - rear, width, "ex-body"]];
  for (const x of wheels > 2 ? [0, of("wheelbase", 0)] : [0]) {
    side.push(["circle", x, wheel / 2, wheel / 2, 0, "ex-wheel"]);
    for (const y of [tyre / 2 - width / 2, width / 2 - 1.5 * tyre]) top.push(["rect", x - wheel / 2, y, wheel, tyre, "ex-wheel"]);
  }
  const disc = (height_) => ["circle", axle, height_, across / 2, 0, "ex-rotor"];
  const edge = (long, high, height_) => ["rect", axle - long / 2, height_ - high / 2, long, high, "ex-rotor"];
  if (axis) side.push(axis === "across" ? disc(hub) : axis === "upright" ? edge(across, thick, hub) : edge(thick, across, hub));
  if (axis) top.push(axis === "across" ? edge(across, thick, 0) : axis === "upright" ? disc(0) : edge(thick, across, 0));
  return { side, top, rear, front };
}

function drawShapes(place, list, left, base, scale, extra) {
  for (const [tag, x, y, one, two, kind] of list) {
    const attributes = tag === "circle"
      ? { cx: left + x * scale, cy: base - y * scale, r: one * scale }
      : { x: left + x * scale, y: base - (y + two) * scale, width: one * scale, height: two * scale };
    place.append(element(tag, { ...attributes, class: `${kind} ${extra}` }));
  }
}

const WIDE = 320, PAD = 8, GAP = 14, FOOT = 18, BAR = 0.1;

// The largest machine that the sliders give sets the scale, so that a slider changes the size that is seen.
function drawOutlines(place, data, quantity, port) {
  const reader = (value) => (name, other) => (quantity[name] ? value(name) : other);
  const own = shapes(data.axis, data.wheels, reader((name) => quantity[name].own));
  const now = shapes(data.axis, data.wheels, reader((name) => port.values[name]));
  const most = data.factors[data.factors.length - 1];
  const grown = reader((name) => quantity[name].own * most);
  const scale = (WIDE - 2 * PAD) / (most * (own.front - own.rear));
  const level = data.axis && data.axis !== "upright" ? grown("rotor.axle_height", 0) + grown("rotor.diameter") / 2 : 0;
  const tall = Math.max(grown("height"), level);
  const broad = Math.max(grown("width"), data.axis === "upright" ? grown("rotor.diameter") : 0);
  const ground = PAD + tall * scale, middle = ground + GAP + (broad / 2) * scale, bottom = middle + (broad / 2) * scale + FOOT;
  place.setAttribute("viewBox", `0 0 ${WIDE} ${bottom.toFixed(1)}`);
  place.replaceChildren(element("line", { class: "ex-ground", x1: 0, x2: WIDE, y1: ground, y2: ground }));
  for (const [list, base] of [["side", ground], ["top", middle]]) {
    drawShapes(place, now[list], PAD - now.rear * scale, base, scale, "ex-now");
    drawShapes(place, own[list], PAD - own.rear * scale, base, scale, "ex-was");
  }
  drawBox(place, data.limits, ground, middle, scale);
  const end = WIDE - PAD, bar = BAR * scale;
  place.append(element("path", { class: "ex-bar", d: `M${end - bar} ${bottom - 10}v4h${bar}v-4` }));
}

function drawBox(place, limits, ground, middle, scale) {
  const sizes = limits.filter((each) => each.kind === "size").map((each) => [each.name, each.value * scale]);
  const { length: long, width, height } = Object.fromEntries(sizes);
  if (long && height) place.append(element("rect", { class: "ex-box", x: PAD, y: ground - height, width: long, height }));
  if (long && width) place.append(element("rect", { class: "ex-box", x: PAD, y: middle - width / 2, width: long, height: width }));
}

return { element, drawOutlines };
})();
