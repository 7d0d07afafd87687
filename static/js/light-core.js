// The light of a room in the browser: its packed basis unpacked, mixed by levels, and drawn. The same
// sums in the same order as docs/calculations/light.md says, so that screen and print agree.

const DEGREES = 180 / Math.PI;
const AT_OPENING_M = 0.3;
const TABLE = 16384;
const TABLE_END = 8; // square root of exposure times luminance, where the tone is white

// ---------- The basis ----------

export async function fetchBasis(address) {
  const response = await fetch(address, { credentials: "same-origin" });
  if (!response.ok) throw new Error(`${response.status}`);
  const stream = response.body.pipeThrough(new DecompressionStream("deflate"));
  return unpacked(new Uint8Array(await new Response(stream).arrayBuffer()));
}

export function unpacked(bytes) {
  const cut = bytes.indexOf(0);
  const head = JSON.parse(new TextDecoder().decode(bytes.subarray(0, cut)));
  let at = cut + 1;
  const number = () => {
    let z = bytes[at++];
    if (z === 255) {
      z = bytes[at] | (bytes[at + 1] << 8);
      at += 2;
    }
    return z & 1 ? -((z + 1) >> 1) : z >> 1;
  };
  const lattice = (rows, columns, peak, into, start) => {
    const above = new Int32Array(columns);
    const step = peak > 0 ? Math.log1p(head.range) / head.levels : 0;
    for (let row = 0; row < rows; row += 1) {
      let sum = 0;
      for (let column = 0; column < columns; column += 1) {
        above[column] += number();
        sum += above[column];
        into[start + row * columns + column] = (peak / head.range) * Math.expm1(sum * step);
      }
    }
  };
  const faces = head.faces.map(readFace);
  let cells = 0;
  for (const face of faces) {
    face.start = cells;
    cells += face.counts[0] * face.counts[1];
  }
  const [, rows, columns] = head.plane;
  const circuits = head.circuits.map((circuit) => {
    const light = new Float32Array(cells);
    const plane = new Float32Array(rows * columns);
    for (const face of faces) lattice(...face.counts, circuit.peak, light, face.start);
    lattice(rows, columns, circuit.peak, plane, 0);
    return { ...circuit, light, plane };
  });
  const full = circuits.reduce((sum, circuit) => sum + circuit.mean, 0);
  return { head, faces, cells, circuits, full, rows, columns, mixed: new Float32Array(cells * 3) };
}

function readFace(entry) {
  const [axis, isFar, place, low1, low2, high1, high2, count1, count2, red, green, blue, ...rest] = entry;
  const own = rest.slice(0, 3);
  return {
    axis,
    isFar: Boolean(isFar),
    place,
    low: [low1, low2],
    high: [high1, high2],
    counts: [count1, count2],
    along: [0, 1, 2].filter((other) => other !== axis),
    colour: [red, green, blue],
    own: own.length ? own : [0, 0, 0],
    isPane: rest.length > 3,
    start: 0,
  };
}

// ---------- Levels to weights ----------

const mired = (kelvin) => 1e6 / kelvin;

function coolShare(from, to, wanted) {
  const share = (mired(from) - mired(wanted)) / (mired(from) - mired(to));
  return Math.min(1, Math.max(0, share));
}

const linear = (part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);

// The share of its light that a circuit gives at a level: by its curve's shares at 0, 1, … 100 %.
export function lightOf(level, curve) {
  if (!curve) return level;
  const place = Math.min(1, Math.max(0, level)) * 100, below = Math.floor(place + 1e-9);
  const above = Math.min(100, below + 1);
  return curve[below] + Math.max(0, place - below) * (curve[above] - curve[below]);
}

// levels: circuit → [level, colour temperature or 0, colour or ""]; curves: name → shares by percent
export function weightsOf(basis, controls, levels, curves = {}) {
  const named = {};
  for (const [circuit, kind, keys, from, to, curve] of controls) {
    const [level, kelvin, colour] = levels[circuit] ?? [0, 0, ""];
    if (!(level > 0)) continue;
    const share = lightOf(level, curves[curve]);
    if (kind === "plain") named[keys[0]] = share;
    else if (kind === "colour") {
      if (colour) {
        [0, 2, 4].forEach((place, channel) => {
          named[keys[channel]] = share * linear(parseInt(colour.slice(place, place + 2), 16) / 255);
        });
      } else (keys.length === 4 ? keys.slice(3) : keys).forEach((key) => { named[key] = share; });
    } else {
      const wanted = kind === "tunable" ? kelvin || 2900 : from + (to - from) * share;
      const cool = coolShare(from, to, wanted);
      named[keys[0]] = share * (1 - cool);
      named[keys[1]] = share * cool;
    }
  }
  return basis.circuits.map((circuit) => named[circuit.key] ?? 0);
}

// What every cell sends to the eye, red, green and blue, with its own light and what night leaves.
export function mix(basis, weights) {
  const { head, faces, circuits, full, mixed, cells } = basis;
  mixed.fill(0);
  circuits.forEach(({ light, colour: [red, green, blue] }, number) => {
    const weight = weights[number];
    if (!(weight > 0)) return;
    const r = weight * red, g = weight * green, b = weight * blue;
    for (let cell = 0, at = 0; cell < cells; cell += 1, at += 3) {
      const value = light[cell];
      mixed[at] += r * value;
      mixed[at + 1] += g * value;
      mixed[at + 2] += b * value;
    }
  });
  for (const face of faces) {
    const end = (face.start + face.counts[0] * face.counts[1]) * 3;
    for (let channel = 0; channel < 3; channel += 1) {
      const sends = face.colour[channel] / Math.PI;
      const always = full * (face.own[channel] + head.tone.night[channel] * face.colour[channel]);
      for (let at = face.start * 3 + channel; at < end; at += 3) mixed[at] = mixed[at] * sends + always;
    }
  }
  return mixed;
}

export function planeOf(basis, weights, maintenance) {
  const plane = new Float32Array(basis.rows * basis.columns);
  basis.circuits.forEach((circuit, number) => {
    const weight = weights[number] * maintenance;
    if (!(weight > 0)) return;
    for (let at = 0; at < plane.length; at += 1) plane[at] += weight * circuit.plane[at];
  });
  return plane;
}

// ---------- The stage: all of a picture that no level changes ----------

const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const minus = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];

export function aspectOf(basis, view) {
  const { across, down } = basis.head.views[view];
  return Math.hypot(...across) / Math.hypot(...down);
}

export function stageOf(basis, view, width) {
  const { eye, corner, across, down } = basis.head.views[view];
  const height = Math.max(16, Math.round(width / aspectOf(basis, view)));
  const pixels = width * height;
  const rays = new Float32Array(pixels * 3);
  for (let j = 0, at = 0; j < height; j += 1) {
    for (let i = 0; i < width; i += 1) {
      for (let axis = 0; axis < 3; axis += 1, at += 1) {
        rays[at] = corner[axis] + ((i + 0.5) / width) * across[axis] + ((j + 0.5) / height) * down[axis] - eye[axis];
      }
    }
  }
  const stage = {
    width, height, pixels, rays,
    depth: new Float32Array(pixels).fill(Infinity),
    face: new Int16Array(pixels).fill(-1),
    cell: new Int32Array(pixels),
    stride: new Int32Array(pixels),
    first: new Float32Array(pixels),
    second: new Float32Array(pixels),
    shade: new Float32Array(pixels).fill(1),
    shapes: new Uint8Array(pixels),
    light: new Float32Array(pixels * 3),
    image: new ImageData(width, height),
    frame: frameOf(eye, corner, across, down),
  };
  basis.faces.forEach((face, number) => hit(stage, face, number, eye, basis.head.size_m));
  basis.faces.forEach((face, number) => blend(stage, face, number, eye));
  edges(stage, basis.head.tone.edge);
  grain(stage, eye, basis.head.tone.grain);
  if (basis.faces.some((face) => face.isPane)) dusk(stage, basis.faces, basis.head.tone.dusk);
  const index = Object.keys(basis.head.views).indexOf(view);
  stage.glows = basis.circuits.map((circuit) => glowOf(stage, circuit.fittings, eye, basis.head.size_m, basis.head.tone, index));
  stage.image.data.fill(255);
  return stage;
}

function frameOf(eye, corner, across, down) {
  const normal = [
    across[1] * down[2] - across[2] * down[1],
    across[2] * down[0] - across[0] * down[2],
    across[0] * down[1] - across[1] * down[0],
  ];
  const size = Math.hypot(...normal);
  const facing = normal.map((part) => part / size);
  const from = minus(corner, eye);
  return { corner: from, across, down, normal: facing, plane: dot(from, facing) };
}

// What hangs wholly at the wall that is left out is left out with it.
function isAtOpening(eye, size, axis, ...places) {
  if (eye[axis] < 0) return Math.max(...places) < AT_OPENING_M;
  return eye[axis] > size[axis] && size[axis] - Math.min(...places) < AT_OPENING_M;
}

function hit({ rays, depth, face: faceOf, pixels }, face, number, eye, size) {
  const ahead = face.place - eye[face.axis];
  if (ahead === 0 || ahead > 0 !== face.isFar) return;
  const [u, v] = face.along;
  if (isAtOpening(eye, size, face.axis, face.place)) return;
  if (face.along.some((axis, way) => isAtOpening(eye, size, axis, face.low[way], face.high[way]))) return;
  const slack = 1e-6;
  for (let pixel = 0, at = 0; pixel < pixels; pixel += 1, at += 3) {
    const time = ahead / rays[at + face.axis];
    if (!(time > 1e-9 && time < depth[pixel])) continue;
    const first = eye[u] + time * rays[at + u];
    const second = eye[v] + time * rays[at + v];
    if (first < face.low[0] - slack || first > face.high[0] + slack) continue;
    if (second < face.low[1] - slack || second > face.high[1] + slack) continue;
    depth[pixel] = time;
    faceOf[pixel] = number;
  }
}

function blend(stage, face, number, eye) {
  const { rays, depth, face: faceOf, pixels } = stage;
  const [u, v] = face.along;
  const step = (place, way) => {
    const at = ((place - face.low[way]) / (face.high[way] - face.low[way])) * face.counts[way] - 0.5;
    return Math.min(face.counts[way] - 1, Math.max(0, at));
  };
  for (let pixel = 0, at = 0; pixel < pixels; pixel += 1, at += 3) {
    if (faceOf[pixel] !== number) continue;
    const first = step(eye[u] + depth[pixel] * rays[at + u], 0);
    const second = step(eye[v] + depth[pixel] * rays[at + v], 1);
    const row = Math.min(Math.floor(first), face.counts[0] - 2);
    const column = Math.min(Math.floor(second), face.counts[1] - 2);
    stage.cell[pixel] = (face.start + row * face.counts[1] + column) * 3;
    stage.stride[pixel] = face.counts[1] * 3;
    stage.first[pixel] = first - row;
    stage.second[pixel] = second - column;
  }
}

function edges({ face, shade, width, height }, kept) {
  for (let j = 0; j < height; j += 1) {
    for (let i = 0; i < width; i += 1) {
      const at = j * width + i;
      const right = i + 1 < width && face[at + 1] !== face[at];
      const below = j + 1 < height && face[at + width] !== face[at];
      if (right || below) shade[at] = kept;
    }
  }
}

// Floorboards that differ from one another, and the skirting along the walls.
function grain({ rays, depth, face, shade, pixels }, eye, [along, width, length, much, skirting, gain, one, other, bits]) {
  const across = 1 - along;
  for (let pixel = 0, at = 0; pixel < pixels; pixel += 1, at += 3) {
    const number = face[pixel], time = depth[pixel];
    if (number === 0) {
      const row = Math.floor((eye[across] + time * rays[at + across]) / width);
      const shift = ((((row * 7) % 11) + 11) % 11) / 11;
      const board = Math.floor((eye[along] + time * rays[at + along]) / length + shift);
      const mixed = (Math.imul(row, one) ^ Math.imul(board, other)) >>> 0;
      shade[pixel] *= 1 + much * (2 * (((mixed ^ (mixed >>> 13)) & bits) / bits) - 1);
    } else if (number > 1 && number < 6 && eye[2] + time * rays[at + 2] < skirting) shade[pixel] *= gain;
  }
}

// In a window a sky that is brightest low down, over land whose outline lies at the height of the eye.
function dusk({ rays, face, shade, pixels }, faces, [glow, high, fade, land, ridge, soft, ...waves]) {
  for (let pixel = 0, at = 0; pixel < pixels; pixel += 1, at += 3) {
    if (!faces[face[pixel]]?.isPane) continue;
    const rise = rays[at + 2] / Math.hypot(rays[at], rays[at + 1]), way = Math.atan2(rays[at], rays[at + 1]);
    const outline = waves.reduce((sum, [much, often, from]) => sum + much * Math.sin(often * way + from), ridge);
    const sky = high + (glow - high) * Math.exp(-Math.max(rise, 0) / fade);
    const over = Math.min(1, Math.max(0, 0.5 + (rise - outline) / (2 * soft)));
    shade[pixel] *= land + (sky - land) * over;
  }
}

// What the fittings of a circuit add at full level: where, and how much.
function glowOf(stage, fittings, eye, size, tone, view) {
  const sum = new Float32Array(stage.pixels);
  const isSeen = ([, start, end]) => !start.some((_place, axis) => isAtOpening(eye, size, axis, start[axis], end[axis]));
  for (const fitting of fittings.filter(isSeen)) shine(stage, sum, fitting, eye, tone, view);
  const where = [];
  for (let pixel = 0; pixel < sum.length; pixel += 1) if (sum[pixel] > 0) where.push(pixel);
  return { where: Int32Array.from(where), much: Float32Array.from(where, (pixel) => sum[pixel]) };
}

function shine(stage, sum, [shape, start, end, aim, size, seen], eye, tone, view) {
  const radius = size / 2;
  const middle = start.map((value, axis) => (value + end[axis]) / 2);
  const length = Math.hypot(...minus(end, start));
  const way = minus(eye, middle);
  const cosine = Math.abs(dot(way, aim)) / Math.max(Math.hypot(...way) * Math.hypot(...aim), 1e-6);
  let area = Math.PI * radius * radius;
  if (shape === "bar") area = Math.max(length, size) * size;
  else if (shape === "disc") area *= Math.max(cosine, 0.15);
  const bright = seen[view] / area;
  const meets = shape === "disc" ? discOf(start, aim, radius, eye) : capsuleOf(start, end, radius, eye);
  const places = shape === "bar" ? tone.bar_veils : 1;
  const veils = Array.from({ length: places }, (_none, part) => {
    const share = (part + 0.5) / places;
    const away = start.map((value, axis) => value + share * (end[axis] - value) - eye[axis]);
    return { away, squared: dot(away, away) };
  });
  const much = (tone.veil * seen[view]) / places;
  const core = tone.veil_core_deg ** 2, reach = tone.veil_reach_deg ** 2;
  const { rays, depth, shapes } = stage;
  const tangent = 1.35 * Math.tan(tone.veil_reach_deg / DEGREES);
  const near = Math.max(4 * radius, 0.05) / Math.max(0.3, Math.hypot(...way) - length / 2);
  eachIn(stage, [start, end], eye, near, (pixel, at) => {
    const x = rays[at], y = rays[at + 1], z = rays[at + 2];
    const time = meets(x, y, z, x * x + y * y + z * z);
    if (time > 0 && time <= depth[pixel] * 1.02) {
      shapes[pixel] = 1;
      sum[pixel] += bright;
    }
  });
  for (const { away, squared } of veils) {
    const [a, b, c] = away;
    eachIn(stage, [[a + eye[0], b + eye[1], c + eye[2]]], eye, tangent, (pixel, at) => {
      const x = rays[at], y = rays[at + 1], z = rays[at + 2];
      const along = x * a + y * b + z * c;
      if (along <= 0) return;
      const angle = (((x * x + y * y + z * z) * squared) / (along * along) - 1) * DEGREES * DEGREES;
      if (angle >= reach) return;
      const fade = 1 - angle / reach;
      sum[pixel] += ((much / squared) * fade * fade) / (angle + core);
    });
  }
}

// The pixels that light round some places can reach: a box on the picture, all of it where one is beside the eye.
function eachIn({ width, height, frame }, places, eye, reach, found) {
  let [left, right, top, bottom] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const place of places) {
    const away = minus(place, eye);
    const ahead = dot(away, frame.normal) / frame.plane;
    if (ahead <= 1e-3) {
      [left, right, top, bottom] = [0, 1, 0, 1];
      break;
    }
    const on = away.map((part) => part / ahead);
    const radius = (reach * dot(on, on)) / Math.abs(frame.plane);
    const at = minus(on, frame.corner);
    const i = dot(at, frame.across) / dot(frame.across, frame.across), wide = radius / Math.hypot(...frame.across);
    const j = dot(at, frame.down) / dot(frame.down, frame.down), high = radius / Math.hypot(...frame.down);
    [left, right] = [Math.min(left, i - wide), Math.max(right, i + wide)];
    [top, bottom] = [Math.min(top, j - high), Math.max(bottom, j + high)];
  }
  const from = Math.max(0, Math.floor(left * width) - 1), to = Math.min(width, Math.ceil(right * width) + 2);
  const first = Math.max(0, Math.floor(top * height) - 1), last = Math.min(height, Math.ceil(bottom * height) + 2);
  for (let row = first; row < last; row += 1) {
    for (let pixel = row * width + from, end = row * width + to; pixel < end; pixel += 1) found(pixel, pixel * 3);
  }
}

// Each gives how far along a sight line the shape is met, or −1.
function discOf(place, aim, radius, eye) {
  const size = Math.hypot(...aim);
  const facing = aim.map((part) => part / size);
  const away = minus(eye, place);
  const ahead = -dot(away, facing);
  return (x, y, z) => {
    const time = ahead / (x * facing[0] + y * facing[1] + z * facing[2]);
    if (!(time > 0)) return -1;
    const a = away[0] + time * x, b = away[1] + time * y, c = away[2] + time * z;
    return a * a + b * b + c * c <= radius * radius ? time : -1;
  };
}

function capsuleOf(start, end, radius, eye) {
  const along = minus(end, start), away = minus(start, eye);
  const aa = dot(along, along), aw = dot(along, away);
  return (x, y, z, rr) => {
    const ra = x * along[0] + y * along[1] + z * along[2];
    const rw = x * away[0] + y * away[1] + z * away[2];
    let share = 0;
    if (aa >= 1e-12) share = Math.min(1, Math.max(0, (ra * rw - rr * aw) / Math.max(rr * aa - ra * ra, 1e-12)));
    const time = (rw + share * ra) / rr;
    if (!(time > 0)) return -1;
    const a = away[0] + share * along[0] - time * x;
    const b = away[1] + share * along[1] - time * y;
    const c = away[2] + share * along[2] - time * z;
    return a * a + b * b + c * c <= radius * radius ? time : -1;
  };
}

// ---------- The picture ----------

// Bytes by the square root of exposure times luminance: even steps to the eye.
function toneTable({ contrast, shoulder }) {
  const table = new Uint8ClampedArray(TABLE + 1);
  for (let step = 0; step <= TABLE; step += 1) {
    const lit = ((step / TABLE) * TABLE_END) ** 2;
    const share = 1 - (1 + lit ** contrast / shoulder) ** -shoulder;
    const signal = share <= 0.0031308 ? 12.92 * share : 1.055 * share ** (1 / 2.4) - 0.055;
    table[step] = Math.floor(255 * signal + 0.5);
  }
  return table;
}

// The eye follows the colour of the light in part.
function whiteGain({ circuits, head: { tone } }, weights) {
  const [adaptation, least, ...luminance] = tone.white;
  const colour = [0, 1, 2].map((channel) => circuits.reduce(
    (sum, circuit, number) => sum + weights[number] * circuit.mean * circuit.colour[channel], 0,
  ));
  const bright = dot(colour, luminance);
  return colour.map((part) => (bright > 0 ? (least + ((1 - least) * part) / bright) ** -adaptation : 1));
}

export function paint(basis, stage, weights) {
  const { head: { tone }, circuits, full } = basis;
  const mixed = mix(basis, weights);
  const { light, image: { data }, cell, stride, first, second, shade, shapes, pixels } = stage;
  const body = [0, 1, 2].map((channel) => tone.body * (circuits.reduce(
    (sum, circuit, number) => sum + weights[number] * circuit.mean * circuit.colour[channel], 0,
  ) + (tone.night[channel] * full) / 2));
  for (let pixel = 0, at = 0; pixel < pixels; pixel += 1, at += 3) {
    if (shapes[pixel]) {
      light[at] = body[0];
      light[at + 1] = body[1];
      light[at + 2] = body[2];
      continue;
    }
    const a = cell[pixel], c = a + stride[pixel];
    const v = second[pixel], u = first[pixel], s = shade[pixel];
    const w1 = (1 - u) * (1 - v) * s, w2 = (1 - u) * v * s, w3 = u * (1 - v) * s, w4 = u * v * s;
    light[at] = w1 * mixed[a] + w2 * mixed[a + 3] + w3 * mixed[c] + w4 * mixed[c + 3];
    light[at + 1] = w1 * mixed[a + 1] + w2 * mixed[a + 4] + w3 * mixed[c + 1] + w4 * mixed[c + 4];
    light[at + 2] = w1 * mixed[a + 2] + w2 * mixed[a + 5] + w3 * mixed[c + 2] + w4 * mixed[c + 5];
  }
  circuits.forEach(({ colour: [red, green, blue] }, number) => {
    const weight = weights[number];
    if (!(weight > 0)) return;
    const { where, much } = stage.glows[number];
    for (let place = 0; place < where.length; place += 1) {
      const at = where[place] * 3, add = weight * much[place];
      light[at] += add * red;
      light[at + 1] += add * green;
      light[at + 2] += add * blue;
    }
  });
  const scene = circuits.reduce((sum, circuit, number) => sum + weights[number] * circuit.mean, 0);
  const exposure = tone.key / ((scene + tone.darkest * full) ** tone.adaptation * full ** (1 - tone.adaptation));
  const gain = whiteGain(basis, weights);
  basis.table ??= toneTable(tone);
  const { table } = basis;
  const scale = TABLE / TABLE_END;
  const [red, green, blue] = gain.map((part) => part * exposure);
  for (let at = 0, out = 0; at < light.length; at += 3, out += 4) {
    data[out] = table[Math.min(TABLE, (Math.sqrt(red * light[at]) * scale + 0.5) | 0)];
    data[out + 1] = table[Math.min(TABLE, (Math.sqrt(green * light[at + 1]) * scale + 0.5) | 0)];
    data[out + 2] = table[Math.min(TABLE, (Math.sqrt(blue * light[at + 2]) * scale + 0.5) | 0)];
  }
  return stage.image;
}
