// The light on the plane seen from above: shades, lines of equal light, values.

const DARKEST = 2, BRIGHTEST = 1000;
// Which edges a line joins, by which corners of a cell are above the level (edges: low y, high x, high y, low x).
const EDGES = [
  [], [[3, 0]], [[0, 1]], [[3, 1]], [[1, 2]], [[3, 0], [1, 2]], [[0, 2]], [[3, 2]],
  [[2, 3]], [[0, 2]], [[0, 1], [2, 3]], [[1, 2]], [[3, 1]], [[0, 1]], [[3, 0]], [],
];

export function figuresOf(plane) {
  let sum = 0, least = Infinity, most = 0;
  for (const value of plane) {
    sum += value;
    least = Math.min(least, value);
    most = Math.max(most, value);
  }
  const average = sum / plane.length;
  return { average, minimum: least, maximum: most, uniformity: average > 0 ? least / average : 0 };
}

function shade(value, stops) {
  const share = Math.min(1, Math.max(0, Math.log(Math.max(value, 1e-9) / DARKEST) / Math.log(BRIGHTEST / DARKEST)));
  const next = Math.max(1, stops.findIndex(([place]) => place >= share));
  const [[low, one], [high, other]] = [stops[next - 1], stops[next]];
  const part = (share - low) / (high - low);
  return one.map((channel, at) => Math.round(channel + part * (other[at] - channel)));
}

function blended(plane, rows, columns, x, y) {
  const u = Math.min(columns - 1, Math.max(0, x)), v = Math.min(rows - 1, Math.max(0, y));
  const i = Math.min(columns - 2, Math.floor(u)), j = Math.min(rows - 2, Math.floor(v));
  const a = u - i, b = v - j, at = j * columns + i;
  return (1 - b) * ((1 - a) * plane[at] + a * plane[at + 1])
    + b * ((1 - a) * plane[at + columns] + a * plane[at + columns + 1]);
}

export function valueAt(plane, rows, columns, x, y) {
  return blended(plane, rows, columns, x * columns - 0.5, y * rows - 0.5);
}

export function drawMap(canvas, plane, { rows, columns, size, bands, stops, standing, mark }) {
  const scale = Math.max(1, Math.min(2, window.devicePixelRatio || 1));
  const width = Math.round(Math.min(900, canvas.parentElement.clientWidth || 600) * scale);
  const height = Math.round((width * size[1]) / size[0]);
  if (canvas.width !== width || canvas.height !== height) Object.assign(canvas, { width, height });
  const context = canvas.getContext("2d");
  const small = { width: columns * 4, height: rows * 4 };
  const ground = new ImageData(small.width, small.height);
  for (let j = 0, out = 0; j < small.height; j += 1) {
    for (let i = 0; i < small.width; i += 1, out += 4) {
      const value = valueAt(plane, rows, columns, (i + 0.5) / small.width, 1 - (j + 0.5) / small.height);
      ground.data.set([...shade(value, stops), 255], out);
    }
  }
  const sheet = new OffscreenCanvas(small.width, small.height);
  sheet.getContext("2d").putImageData(ground, 0, 0);
  context.drawImage(sheet, 0, 0, width, height);
  const place = (x, y) => [((x + 0.5) / columns) * width, height - ((y + 0.5) / rows) * height];
  context.lineWidth = 1.25 * scale;
  for (const level of bands.slice(1)) {
    context.strokeStyle = level <= 50 ? "rgb(255 236 205 / 55%)" : "rgb(16 19 22 / 70%)";
    context.beginPath();
    lines(plane, rows, columns, level, (one, other) => {
      context.moveTo(...place(...one));
      context.lineTo(...place(...other));
    });
    context.stroke();
  }
  outlines(context, standing, width / size[0], scale);
  values(context, plane, rows, columns, place, scale);
  if (mark) cross(context, mark, width, height, scale);
}

// What stands in the room, seen from above: [x, y from the back wall, width, depth] in metres.
function outlines(context, standing, perMetre, scale) {
  context.lineWidth = scale;
  context.strokeStyle = "rgb(16 19 22 / 45%)";
  context.setLineDash([5 * scale, 4 * scale]);
  for (const each of standing) context.strokeRect(...each.map((part) => part * perMetre));
  context.setLineDash([]);
}

function lines(plane, rows, columns, level, found) {
  for (let y = 0; y < rows - 1; y += 1) {
    for (let x = 0; x < columns - 1; x += 1) {
      const at = y * columns + x;
      const corners = [plane[at], plane[at + 1], plane[at + columns + 1], plane[at + columns]];
      const kind = corners.reduce((sum, value, number) => sum + (value >= level ? 1 << number : 0), 0);
      for (const [one, other] of EDGES[kind]) found(cut(one, x, y, corners, level), cut(other, x, y, corners, level));
    }
  }
}

function cut(edge, x, y, corners, level) {
  const places = [[x, y], [x + 1, y], [x + 1, y + 1], [x, y + 1]];
  const [one, other] = [corners[edge], corners[(edge + 1) % 4]];
  const share = other === one ? 0.5 : (level - one) / (other - one);
  const [from, to] = [places[edge], places[(edge + 1) % 4]];
  return [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])];
}

function values(context, plane, rows, columns, place, scale) {
  const down = Math.min(4, Math.max(2, Math.floor(rows / 4)));
  const across = Math.min(7, Math.max(3, Math.floor(columns / 4)));
  context.font = `${13 * scale}px Barlow, sans-serif`;
  context.textAlign = "center";
  context.textBaseline = "middle";
  for (let j = 0; j < down; j += 1) {
    for (let i = 0; i < across; i += 1) {
      const y = Math.floor(((j + 0.5) * rows) / down), x = Math.floor(((i + 0.5) * columns) / across);
      const value = plane[y * columns + x];
      context.fillStyle = value > 60 ? "#101316" : "#e8eae7";
      context.fillText(value < 10 ? value.toFixed(1) : value.toFixed(0), ...place(x, y));
    }
  }
}

function cross(context, [x, y], width, height, scale) {
  const [i, j] = [x * width, (1 - y) * height];
  context.strokeStyle = "#ffffff";
  context.lineWidth = 1.5 * scale;
  context.beginPath();
  context.arc(i, j, 7 * scale, 0, 2 * Math.PI);
  context.moveTo(i - 12 * scale, j);
  context.lineTo(i + 12 * scale, j);
  context.moveTo(i, j - 12 * scale);
  context.lineTo(i, j + 12 * scale);
  context.stroke();
}
