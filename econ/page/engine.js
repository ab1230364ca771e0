// The model and its samples: the same numbers, to the last bit, as the program that wrote this page.
const interp = (xs, ys, x) => {
  const n = xs.length;
  if (!(x > xs[0])) return x !== x ? x : ys[0];
  if (x >= xs[n - 1]) return ys[n - 1];
  let j = 0;
  while (xs[j + 1] <= x) j++;
  return xs[j] === x ? ys[j] : (ys[j + 1] - ys[j]) / (xs[j + 1] - xs[j]) * (x - xs[j]) + ys[j];
};
const step = (edges, values, x) => {
  let i = 0;
  while (i < edges.length && !(x <= edges[i])) i++;
  return values[i];
};

// 64-bit words as two halves; the last product stands in HIGH and LOW.
let HIGH = 0, LOW = 0;
const TWO32 = 4294967296;
const upper = (a, b) => { // upper half of the product of two 32-bit words
  const a1 = a >>> 16, a0 = a & 65535, b1 = b >>> 16, b0 = b & 65535;
  const middle = a0 * b1 + a1 * b0 + Math.floor(a0 * b0 / 65536);
  return a1 * b1 + Math.floor(middle / 65536);
};
const times = (h, l, bh, bl) => {
  HIGH = (upper(l, bl) + Math.imul(h, bl) + Math.imul(l, bh)) >>> 0;
  LOW = Math.imul(l, bl) >>> 0;
};
const hashed = (word, keyHigh, keyLow) => { // the finaliser of word * golden ratio + key
  times(0, word, 0x9E3779B9, 0x7F4A7C15);
  let l = LOW + keyLow, h = (HIGH + keyHigh + (l >= TWO32 ? 1 : 0)) >>> 0;
  l >>>= 0;
  times((h ^ (h >>> 30)) >>> 0, (l ^ ((l >>> 30) | (h << 2))) >>> 0, 0xBF58476D, 0x1CE4E5B9);
  h = HIGH; l = LOW;
  times((h ^ (h >>> 27)) >>> 0, (l ^ ((l >>> 27) | (h << 5))) >>> 0, 0x94D049BB, 0x133111EB);
  h = HIGH; l = LOW;
  LOW = (l ^ ((l >>> 31) | (h << 1))) >>> 0;
  HIGH = (h ^ (h >>> 31)) >>> 0;
};
const turned = (one, other, high, low, size) => {
  hashed(other, high, low);
  const moved = Math.floor(HIGH * size / TWO32) + one;
  return moved >= size ? moved - size : moved;
};
// Shares of the samples 0 to count - 1 of one input: one in every Nth, N = all; keys are high and low halves.
const shares = (keys, count, all) => {
  const tall = Math.max(1, Math.ceil(Math.sqrt(all))), wide = Math.ceil(all / tall);
  const last = keys.length - 2, found = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    let place = i;
    do {
      let column = Math.floor(place / tall), row = place % tall;
      for (let k = 0; k < last; k += 4) {
        row = turned(row, column, keys[k], keys[k + 1], tall);
        column = turned(column, row, keys[k + 2], keys[k + 3], wide);
      }
      place = column * tall + row;
    } while (place >= all);
    hashed(i, keys[last], keys[last + 1]);
    const within = (HIGH * 2097152 + (LOW >>> 11) + 0.5) * 2 ** -53;
    found[i] = Math.min((place + within) / all, 1 - 2 ** -53);
  }
  return found;
};

// Ascending figures at a share of the way from the first to the last, straight between neighbours.
const percentile = (sorted, percent) => {
  const at = percent / 100 * (sorted.length - 1), below = Math.floor(at), t = at - below;
  if (below >= sorted.length - 1) return sorted[sorted.length - 1];
  const a = sorted[below], b = sorted[below + 1], d = b - a;
  return t < 0.5 ? a + d * t : b - d * (1 - t);
};
// A sum in the order in which arrays are summed elsewhere: eight at a time, halves of long rows apart.
const summed = (a, from, n) => {
  if (n < 8) {
    let total = 0;
    for (let i = 0; i < n; i++) total += a[from + i];
    return total;
  }
  if (n > 128) {
    let half = Math.floor(n / 2);
    half -= half % 8;
    return summed(a, from, half) + summed(a, from + half, n - half);
  }
  const r = [0, 1, 2, 3, 4, 5, 6, 7].map((k) => a[from + k]);
  let i = 8;
  for (; i < n - n % 8; i += 8) for (let k = 0; k < 8; k++) r[k] += a[from + i + k];
  let total = ((r[0] + r[1]) + (r[2] + r[3])) + ((r[4] + r[5]) + (r[6] + r[7]));
  for (; i < n; i++) total += a[from + i];
  return total;
};
const mean = (a) => summed(a, 0, a.length) / a.length;

// The rate at which yearly flows are worth nothing, by halving; null where they turn more than once or never.
const rateOfReturn = (flows) => {
  const largest = Math.max(...flows.map(Math.abs));
  const clean = flows.map((flow) => Math.abs(flow) <= 1e-14 * largest ? 0 : flow);
  const signs = clean.filter((flow) => flow !== 0).map(Math.sign);
  if (signs.filter((sign, i) => i && sign !== signs[i - 1]).length !== 1) return null;
  const worth = (rate) => clean.reduceRight((total, flow) => total / (1 + rate) + flow, 0) * signs[0];
  let low = -0.999999, high = 1;
  while (worth(high) < 0 && high < 1e9) high *= 2;
  for (let i = 0; i < 200; i++) {
    const middle = (low + high) / 2;
    if (worth(middle) > 0) high = middle; else low = middle;
  }
  return (low + high) / 2;
};

const rounded = (x) => { // halves to even
  const low = Math.floor(x), rest = x - low;
  return rest < 0.5 ? low : rest > 0.5 ? low + 1 : low % 2 ? low + 1 : low;
};

// From a share to a value, by low, value and high of an input and the name of its shape.
const horner = (coefficients, x) => coefficients.reduce((total, one) => total * x + one);
// Series in + - * / and powers of two alone, as in the program.
const LN2_HIGH = 6.93147180369123816490e-1, LN2_LOW = 1.90821492927058770002e-10;
const EXP = [], LOG = [], SINE = [];
const factorial = (n) => n < 2 ? 1 : n * factorial(n - 1);
for (let n = 14; n >= 0; n--) EXP.push(1 / factorial(n));
for (let n = 23; n > 0; n -= 2) LOG.push(2 / n);
for (let n = 27; n > 0; n -= 2) SINE.push((n % 4 === 3 ? -1 : 1) / factorial(n));
const timesTwos = (x, twos) => {
  for (; twos >= 1; twos--) x *= 2;
  for (; twos < -1000; twos += 1000) x *= 2 ** -1000;
  return x * 2 ** twos;
};
const plainExp = (x) => {
  const twos = rounded(Math.max(x, -746) / (LN2_HIGH + LN2_LOW));
  return timesTwos(horner(EXP, Math.max(x, -746) - twos * LN2_HIGH - twos * LN2_LOW), twos);
};
const plainLog = (x) => {
  if (!(x > 0)) return -Infinity;
  let twos = 0;
  for (; x >= 1; twos++) x /= 2;
  for (; x < 0.5; twos--) x *= 2;
  if (x < 0.7) { x *= 2; twos--; }
  const s = (x - 1) / (x + 1);
  return twos * LN2_HIGH + (s * horner(LOG, s * s) + twos * LN2_LOW);
};
const plainSine = (x) => x * horner(SINE, x * x);

// The standard normal distribution: Wichura 1988, algorithm AS 241, and Hart's approximation as printed by West.
const deviate = (share) => {
  const q = share - 0.5;
  if (Math.abs(q) <= 0.425) {
    const r = 0.180625 - q * q;
    return q * horner(NORMAL.centreAbove, r) / horner(NORMAL.centreBelow, r);
  }
  const depth = Math.min(Math.sqrt(-plainLog(Math.min(share, 1 - share))), 27);
  const size = depth <= 5 ? horner(NORMAL.nearAbove, depth - 1.6) / horner(NORMAL.nearBelow, depth - 1.6) :
    horner(NORMAL.farAbove, depth - 5) / horner(NORMAL.farBelow, depth - 5);
  return q < 0 ? -size : size;
};
const shareBelow = (x) => {
  const size = Math.abs(x), bell = plainExp(-0.5 * size * size);
  let tail = bell * horner(NORMAL.hartAbove, size) / horner(NORMAL.hartBelow, size);
  if (!(size < 7.07106781186547)) {
    const chain = [4, 3, 2, 1].reduce((found, step) => size + step / found, size + 0.65);
    tail = bell / chain / 2.506628274631000502;
  }
  return x > 0 ? 1 - tail : tail;
};
// Low is P10 and high P90 in every shape: where the triangle with its peak at the value begins and ends.
const BEYOND = 0.1;
const triangleEnds = (low, value, high) => {
  const below = value - low, above = high - value;
  let least = BEYOND, most = 1 - BEYOND, p, q;
  for (let i = 0; i < 60; i++) {
    p = (least + most) / 2;
    q = 1 - p;
    if ((p - Math.sqrt(BEYOND * p)) * above < (q - Math.sqrt(BEYOND * q)) * below) least = p; else most = p;
  }
  p = (least + most) / 2;
  q = 1 - p;
  const width = (below + above) / (1 - Math.sqrt(BEYOND * p) - Math.sqrt(BEYOND * q));
  return [value - p * width, value + q * width];
};
const SHAPES = {
  fixed: (low, value) => () => value,
  uniform: (low, value, high) => {
    const beyond = (high - low) * BEYOND / (1 - 2 * BEYOND);
    return (share) => low - beyond + share * (high - low + 2 * beyond);
  },
  triangular: (low, value, high) => {
    const [start, end] = triangleEnds(low, value, high);
    const span = end - start, below = value - start, above = end - value, turn = below / span;
    return (share) => share < turn ? start + Math.sqrt(share * span * below) :
      end - Math.sqrt((1 - share) * span * above);
  },
  lognormal: (low, value, high) => {
    const middle = plainLog(value);
    const below = plainLog(value / low) / 1.2815515655446004, above = plainLog(high / value) / 1.2815515655446004;
    return (share) => {
      const one = deviate(share);
      return plainExp(middle + (one < 0 ? below : above) * one);
    };
  },
};
const column = ([shape, low, value, high, lowest, highest, whole], places) => {
  if (!(low < high)) return places.map(() => value);
  const made = SHAPES[shape](low, value, high);
  return places.map((share) => {
    let found = whole ? rounded(made(share)) : made(share);
    if (lowest !== null) found = Math.max(found, lowest);
    return highest === null ? found : Math.min(found, highest);
  });
};

// The plant with some inputs moved: `moves` maps the place of an input to its value in the model's unit.
const AT = (name) => DATA.figures.indexOf(name);
const streams = [];
const streamOf = (j, count) => {
  if (!streams[j] || streams[j].length < count) streams[j] = shares(DATA.streams[j], count, DATA.samples);
  return streams[j].subarray(0, count);
};
const joined = [];
// Places of an input in its distribution: those of its stream, or, where it goes together with others, moved
// through normal deviates by a row of the triangle of their correlations.
const placesOf = (j, count) => {
  const row = DATA.tied.indexOf(j);
  if (row < 1) return streamOf(j, count);
  if (!joined[j] || joined[j].length < count) {
    const others = DATA.tied.slice(0, row + 1).map((one) => streamOf(one, count).map(deviate));
    joined[j] = others[0].map((_, i) => {
      let moved = DATA.triangle[row][0] * others[0][i];
      for (let k = 1; k <= row; k++) moved += DATA.triangle[row][k] * others[k][i];
      return Math.min(Math.max(shareBelow(moved), 2 ** -53), 1 - 2 ** -53);
    });
  }
  return joined[j].subarray(0, count);
};
// A moved input keeps the range that was typed; a range by default follows the value.
const settled = (j, moves) => {
  const spec = DATA.drawn[j].slice();
  if (!(j in moves)) return spec;
  const value = spec[2] = moves[j], [, , , , lowest, highest] = spec;
  if (!DATA.rules[j]) return spec;
  const [measure, low, high, isAbove] = DATA.rules[j];
  const ends = measure === 'plus' ? [value + low, value + high] :
    [value + Math.abs(value) * (low - 1), value + Math.abs(value) * (high - 1)].sort((a, b) => a - b);
  spec[1] = Math.min(Math.max(ends[0], lowest === null ? -Infinity : lowest), value);
  spec[3] = Math.max(Math.min(ends[1], highest === null ? Infinity : highest), value);
  if (isAbove && spec[1] <= lowest) spec[1] = value;
  return spec;
};
const kept = {};
const values = (j, moves, count) => {
  if (j in moves) return column(settled(j, moves), placesOf(j, count));
  const key = `${j} ${count}`;
  return kept[key] = kept[key] || column(DATA.drawn[j], placesOf(j, count));
};
const walked = (x) => {
  const y = new Float64Array(DATA.figures.length);
  model(x, y);
  return y;
};
const based = (moves) => DATA.x.map((value, j) => j in moves ? moves[j] : value);
// The drivers of a stream (water, fat, mineral in mineral and protein) turned into four shares of one whole.
const madeWhole = ({at, typed, whole}, columns, count) => {
  const [water, fat, , part] = at.map((j) => j >= 0 && columns[j].length ? columns[j] : null);
  const made = [0, 1, 2, 3].map(() => new Array(count));
  for (let i = 0; i < count; i++) {
    let w = (water ? water[i] : typed[0]) / whole, f = (fat ? fat[i] : typed[1]) / whole;
    const p = part ? part[i] : typed[3] / (typed[3] + typed[2]);
    const wet = Math.min(1, DATA.wettest / Math.max(w + f, 1e-12));
    w *= wet;
    f *= wet;
    const solid = 1 - w - f;
    [w, f, (1 - p) * solid, p * solid].forEach((share, k) => { made[k][i] = share; });
  }
  at.forEach((j, k) => { if (j >= 0) columns[j] = made[k]; });
};
const columnsOf = (moves, count) => {
  const columns = DATA.keys.map((_, j) => j < DATA.drawn.length ? values(j, moves, count) : []);
  for (const one of DATA.bones) madeWhole(one, columns, count);
  return columns;
};
const sampled = (moves, count) => {
  const columns = columnsOf(moves, count);
  const x = new Float64Array(columns.length), y = new Float64Array(DATA.figures.length);
  const npv = new Float64Array(count), decisive = new Float64Array(count);
  const first = AT('npv'), second = AT(DATA.decisive);
  for (let i = 0; i < count; i++) {
    for (let j = 0; j < x.length; j++) x[j] = columns[j][i];
    model(x, y);
    npv[i] = y[first];
    decisive[i] = y[second];
  }
  return {npv, decisive};
};
const below = (figures) => figures.reduce((count, one) => count + (one < 0 ? 1 : 0), 0) / figures.length;
// A share of the bones moved alone leaves the others in proportion.
const alone = (moves, j, end) => {
  const x = based(moves);
  x[j] = end;
  for (const {at} of DATA.bones) {
    if (!at.includes(j) || end === DATA.x[j]) continue;
    const others = at.filter((k) => k >= 0 && k !== j), left = others.reduce((total, k) => total + DATA.x[k], 0);
    for (const k of others) x[k] = DATA.x[k] * (Math.max(1 - end, 0) / Math.max(left, 1e-12));
  }
  return x;
};
const endsOf = (j, moves) => {
  if (!(j in moves)) return DATA.ends[j];
  const [, low, , high] = settled(j, moves);
  return [low, high];
};
const effects = (moves) => DATA.keys.map((_, j) => {
  const ends = endsOf(j, moves).map((end) => walked(alone(moves, j, end)));
  const [a, b] = ends.map((y) => y[AT('npv')]), [c, d] = ends.map((y) => y[AT(DATA.decisive)]);
  return {label: DATA.labels[j], low: a, high: b, turns: Math.min(c, d) < 0 && Math.max(c, d) >= 0};
}).sort((one, other) => Math.abs(other.high - other.low) - Math.abs(one.high - one.low));
const answer = (moves, count) => {
  const y = walked(based(moves)), found = sampled(moves, count), sorted = found.npv.slice().sort();
  const bars = effects(moves);
  const cash = Array.from(y.slice(AT('cash 0')));
  return {
    y, count, sorted, cash, bars,
    loss: below(found.npv),
    verdict: Object.keys(moves).length ? 'run again' : DATA.verdict,
    p10: percentile(sorted, 10), p90: percentile(sorted, 90),
    irr: rateOfReturn(cash),
  };
};
