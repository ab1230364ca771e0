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
const SHAPES = {
  fixed: (low, value) => () => value,
  uniform: (low, value, high) => (share) => low + share * (high - low),
  triangular: (low, value, high) => {
    const span = high - low, below = value - low, above = high - value, turn = below / span;
    return (share) => share < turn ? low + Math.sqrt(share * span * below) :
      high - Math.sqrt((1 - share) * span * above);
  },
  lognormal: (low, value, high) => {
    const middle = plainLog(value), sigma = plainLog(high / low) / 3.2897072539029444;
    return (share) => plainExp(middle + sigma * deviate(share));
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
const settled = (j, moves) => {
  const spec = DATA.drawn[j].slice();
  if (j in moves) spec[2] = moves[j];
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
const sampled = (moves, count) => {
  const columns = DATA.keys.map((_, j) => values(j, moves, count));
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
const effects = (moves) => DATA.keys.map((_, j) => {
  const x = based(moves), [, low, , high] = settled(j, moves);
  const ends = [low, high].map((end) => {
    x[j] = end;
    return walked(x);
  });
  const [a, b] = ends.map((y) => y[AT('npv')]), [c, d] = ends.map((y) => y[AT(DATA.decisive)]);
  return {label: DATA.labels[j], low: a, high: b, turns: Math.min(c, d) < 0 && Math.max(c, d) >= 0};
}).sort((one, other) => Math.abs(other.high - other.low) - Math.abs(one.high - one.low));
const decided = (average, loss, turners) => {
  const [buyAt, refuseAt, least] = DATA.limits, enough = average >= least;
  if (!DATA.keys.length) return enough ? 'measure first' : 'do not buy';
  if (enough && loss <= buyAt) return 'buy';
  return !enough && (loss >= refuseAt || !turners) ? 'do not buy' : 'measure first';
};
const answer = (moves, count) => {
  const y = walked(based(moves)), found = sampled(moves, count), sorted = found.npv.slice().sort();
  const bars = effects(moves);
  const cash = Array.from(y.slice(AT('cash 0')));
  return {
    y, count, sorted, cash, bars,
    loss: below(found.npv),
    verdict: decided(mean(found.decisive), below(found.decisive), bars.filter((one) => one.turns).length),
    p10: percentile(sorted, 10), p90: percentile(sorted, 90),
    irr: rateOfReturn(cash),
  };
};
