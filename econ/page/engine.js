// The model and its samples: the same numbers, to the last bit, as the program that wrote this page.
const interp = (xs, ys, x) => {
  const n = xs.length;
  if (!(x > xs[0])) return x !== x ? x : ys[0];
  if (x >= xs[n - 1]) return ys[n - 1];
  let j = 0, end = n - 1;
  while (end - j > 1) {
    const middle = (j + end) >> 1;
    if (xs[middle] <= x) j = middle; else end = middle;
  }
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

// The rate at which yearly flows are worth nothing, by halving, as in the cells of the workbook. It is the only one
// where the running sums from the front and from the back change sign once in all; null otherwise.
const signs = (sums) => {
  let last = 0;
  return sums.map((sum) => last = Math.sign(Math.round(sum * 1e6)) || last);
};
const rateOfReturn = (flows) => {
  let total = 0;
  const forward = signs(flows.map((flow) => total += flow));
  total = 0;
  const backward = signs(flows.slice().reverse().map((flow) => total += flow));
  const turns = (list) => list.filter((sign, i) => i && sign * list[i - 1] < 0).length;
  if (turns(forward) + turns(backward) !== 1) return null;
  const end = Math.sign(total), above = forward[0] * forward[flows.length - 1] < 0;
  const rate = (place) => above ? 1 / place - 1 : place - 1;
  const worth = (one) => flows.reduceRight((all, flow) => all / (1 + one) + flow, 0);
  let low = 0, high = 1;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (worth(rate(middle)) * end > 0) high = middle; else low = middle;
  }
  return rate((low + high) / 2);
};


const rounded = (x) => { // halves to even
  const low = Math.floor(x), rest = x - low;
  return rest < 0.5 ? low : rest > 0.5 ? low + 1 : low % 2 ? low + 1 : low;
};
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
// From a share to a value: low is P10 and high is P90, one time in ten beyond either.
const BEYOND = 0.1, NORMAL_P90 = 1.2815515655446004, CELLS = 4096;
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
const ANGLES = {}; // edges of the cells, and logarithms of sine and cosine at their two Gauss points
const angles = (cells) => {
  if (ANGLES[cells]) return ANGLES[cells];
  const quarter = Math.PI / 2, size = quarter / cells;
  const angle = Array.from({length: cells + 1}, (_, i) => i === cells ? quarter : i * size);
  const half = (angle[1] - angle[0]) / 2, gauss = half / Math.sqrt(3);
  const logs = (x) => [plainLog(plainSine(x)), plainLog(plainSine(quarter - x))];
  const points = angle.slice(0, cells).map((edge) => {
    const middle = edge + half;
    return [...logs(middle - gauss), ...logs(middle + gauss)];
  });
  return ANGLES[cells] = [angle, points];
};
const beta = (peak, cells) => { // a Beta distribution over an angle, read backwards
  const left = 4 * peak, right = 4 - 4 * peak, [angle, points] = angles(cells);
  const density = (sine, cosine) => plainExp((2 * left + 1) * sine) * plainExp((2 * right + 1) * cosine);
  const under = [0];
  for (let i = 0, total = 0; i < cells; i++) {
    const [a, b, c, d] = points[i], mass = density(a, b) + density(c, d);
    total = i ? total + mass : mass;
    under.push(total);
  }
  const all = under[cells], places = under.map((one) => one / all);
  return (share) => {
    const sine = plainSine(interp(places, angle, share));
    return sine * sine;
  };
};
const SHAPES = {
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
  pert: (low, value, high) => {
    let least = 0, most = 1;
    for (let i = 0; i < 30; i++) {
      const peak = (least + most) / 2, read = beta(peak, CELLS / 8);
      if ((peak - read(BEYOND)) * (high - value) < (read(1 - BEYOND) - peak) * (value - low)) least = peak;
      else most = peak;
    }
    const standard = beta((least + most) / 2, CELLS), p10 = standard(BEYOND);
    const scale = (high - low) / (standard(1 - BEYOND) - p10);
    return (share) => low + (standard(share) - p10) * scale;
  },
  lognormal: (low, value, high) => {
    const middle = plainLog(value);
    const below = plainLog(value / low) / NORMAL_P90, above = plainLog(high / value) / NORMAL_P90;
    return (share) => {
      const moved = deviate(share);
      return plainExp(middle + (moved < 0 ? below : above) * moved);
    };
  },
};
// One input: its shape, low, value and high, the bounds of its row, whether the lower one is left out, whether
// only whole numbers count.
const column = ({shape, low, value, high, lowest, highest, open, whole}, places) => {
  if (!(low < high) || shape === 'fixed') return places.map(() => value);
  const made = SHAPES[shape](low, value, high);
  const least = lowest === null ? null : open ? lowest + (Math.min(low, value) - lowest) * BEYOND : lowest;
  return places.map((share) => {
    let found = whole ? rounded(made(share)) : made(share);
    if (least !== null) found = Math.max(found, least);
    return highest === null ? found : Math.min(found, highest);
  });
};

// The plant with some inputs moved: `moves` maps the place of an input in x to its value in the model's unit.
const AT = Object.fromEntries(DATA.figures.map((name, i) => [name, i]));
// The sum of a few numbers, rounded once: Shewchuk's, by parts that do not overlap.
const added = (list) => {
  const parts = [];
  for (let x of list) {
    let kept = 0;
    for (let y of parts) {
      if (Math.abs(x) < Math.abs(y)) [x, y] = [y, x];
      const high = x + y, low = y - (high - x);
      if (low) parts[kept++] = low;
      x = high;
    }
    parts.length = kept;
    parts.push(x);
  }
  let n = parts.length, high = n ? parts[--n] : 0, low = 0;
  while (n > 0 && !low) {
    const x = high, y = parts[--n];
    high = x + y;
    low = y - (high - x);
  }
  if (n > 0 && low && (low < 0) === (parts[n - 1] < 0)) { // a half of the last place goes with what lies below it
    const twice = low * 2, x = high + twice;
    if (twice === x - high) high = x;
  }
  return high;
};
const wholeOf = (at) => DATA.wholes.find((shares) => shares.includes(at));
// Ends of an input after it was moved: those that were typed, or those of the table of default ranges.
const ended = (input, value) => {
  const {rule, lowest, highest, open} = input;
  if (!rule) return [input.low, input.high];
  const {times, least, most} = rule;
  const [first, second] = times ?
    [value + Math.abs(value) * (least - 1), value + Math.abs(value) * (most - 1)].sort((a, b) => a - b) :
    [value + least, value + most];
  let low = Math.min(lowest === null ? first : Math.max(first, lowest), value);
  const high = Math.max(highest === null ? second : Math.min(second, highest), value);
  if (open && low <= lowest) low = value;
  return [low, high];
};
// Every ranged input as it stands after the moves: value and ends. Shares of one whole keep their proportion.
const settled = (moves) => {
  const found = DATA.ranged.map((input) => {
    if (!(input.at in moves)) return input;
    const value = moves[input.at], [low, high] = ended(input, value);
    return {...input, value, low, high, own: !input.rule};
  });
  for (const shares of DATA.wholes) {
    const given = shares.filter((at) => at in moves), others = shares.filter((at) => !(at in moves));
    const left = 1 - added(given.map((at) => moves[at])), whole = added(others.map((at) => DATA.x[at]));
    if (!given.length || !(left > 0 && whole > 0)) continue;
    const scale = left / whole;
    found.forEach((one, i) => {
      if (others.includes(one.at)) {
        found[i] = {...one, value: one.value * scale, low: one.low * scale, high: Math.min(one.high * scale, 1)};
      }
    });
  }
  return found;
};
const based = (moves) => {
  const x = DATA.x.slice();
  for (const one of settled(moves)) x[one.at] = one.value;
  return x;
};
// The share of mineral in mineral and protein, which is drawn in place of the ash.
const mineralOf = (ash, inputs, x) => {
  const [water, fat, protein] = wholeOf(ash.at), solid = ash.value + x[protein], part = ash.value / solid;
  const {least, most} = DATA.mineral;
  let low = part + Math.abs(part) * (least - 1), high = part + Math.abs(part) * (most - 1);
  if (ash.own && ash.value > 0) {
    const others = [water, fat].map((at) => inputs.find((one) => one.at === at) || {value: 0, low: 0, high: 0});
    const spread = (arms) => Math.sqrt(arms[0] * arms[0] + arms[1] * arms[1]);
    const rest = (whole, taken) => Math.sqrt(Math.max(whole * whole - taken * taken, 0));
    const less = spread(others.map((one) => (one.high - one.value) / solid));
    const more = spread(others.map((one) => (one.value - one.low) / solid));
    low = part * (1 - rest((ash.value - ash.low) / ash.value, less));
    high = part * (1 + rest((ash.high - ash.value) / ash.value, more));
  }
  return {...ash, value: part, low, high: Math.min(high, 1), lowest: 0, highest: 1};
};
const specs = (moves) => {
  const inputs = settled(moves), x = based(moves);
  return DATA.drawn.map(({ranged, mineral}) => mineral ? mineralOf(inputs[ranged], inputs, x) : inputs[ranged]);
};

// Samples: streams are computed once for each number of runs, columns once for each setting of an input.
const memory = new Map();
const once = (key, make) => {
  if (!memory.has(key)) memory.set(key, make());
  return memory.get(key);
};
const streamOf = (j, count, all) => once(`stream ${DATA.read[j]} ${count} ${all}`,
  () => shares(DATA.streams[DATA.read[j]], count, all));
// Places of an input in its distribution: those of its stream, or, where it goes together with others, moved
// through normal deviates by a row of the triangle of their correlations.
const placesOf = (j, count, all) => {
  const row = DATA.tied.indexOf(j);
  if (row < 1) return streamOf(j, count, all);
  return once(`tied ${j} ${count} ${all}`, () => {
    const others = DATA.tied.slice(0, row + 1).map((one) => streamOf(one, count, all).map(deviate));
    return others[0].map((_, i) => {
      let moved = DATA.triangle[row][0] * others[0][i];
      for (let k = 1; k <= row; k++) moved += DATA.triangle[row][k] * others[k][i];
      return Math.min(Math.max(shareBelow(moved), 2 ** -53), 1 - 2 ** -53);
    });
  });
};
const UNMOVED = specs({});
const drawn = (moves, count, all) => specs(moves).map((spec, j) => {
  const make = () => column(spec, placesOf(j, count, all)), same = UNMOVED[j];
  return spec.low === same.low && spec.value === same.value && spec.high === same.high ?
    once(`column ${j} ${count} ${all}`, make) : make();
});
// Water, fat and the share of mineral as drawn, made into four shares of one whole.
const MOST_WET = 0.95;
const INTO = DATA.drawn.map(({ranged}) => DATA.ranged[ranged].at);
const IS_DRAWN = DATA.x.map((_, at) => INTO.includes(at));
const sumsOf = (typed) => DATA.wholes.map((shares) => added(shares.map((at) => typed[at])));
const madeWhole = (x, typed, sums) => {
  for (let k = 0; k < sums.length; k++) {
    const [w, f, p, a] = DATA.wholes[k], whole = sums[k];
    let water = (IS_DRAWN[w] ? x[w] : typed[w]) / whole, fat = (IS_DRAWN[f] ? x[f] : typed[f]) / whole;
    const part = IS_DRAWN[a] ? x[a] : typed[a] / (typed[a] + typed[p]);
    const wet = Math.min(1, MOST_WET / Math.max(water + fat, 1e-12));
    water *= wet;
    fat *= wet;
    const solid = 1 - water - fat;
    x[w] = water;
    x[f] = fat;
    x[p] = (1 - part) * solid;
    x[a] = part * solid;
  }
};
const walked = (x) => {
  const y = new Float64Array(DATA.figures.length);
  model(x, y);
  return y;
};
// Walks every sample; `held` maps some of the drawn inputs to one value each. Keeps the figures asked for.
const walkAll = (moves, columns, held, names) => {
  const typed = based(moves), sums = sumsOf(typed), count = columns.length ? columns[0].length : 1, x = typed.slice();
  const y = new Float64Array(DATA.figures.length), kept = names.map(() => new Float64Array(count));
  const places = names.map((name) => AT[name]);
  for (let i = 0; i < count; i++) {
    for (let j = 0; j < INTO.length; j++) x[INTO[j]] = j in held ? held[j] : columns[j][i];
    madeWhole(x, typed, sums);
    model(x, y);
    for (let k = 0; k < places.length; k++) kept[k][i] = y[places[k]];
  }
  return kept;
};
const belowOf = (figures, least) => {
  let count = 0;
  for (const one of figures) if (one < least) count++;
  return count / figures.length;
};

// Each input alone at its low and at its high; a share of a whole with the others in proportion.
const effects = (moves) => {
  const base = based(moves);
  return settled(moves).filter((one) => one.low < one.high).map((one) => {
    const [low, high] = [one.low, one.high].map((end) => {
      const x = base.slice(), shares = wholeOf(one.at);
      x[one.at] = end;
      if (shares && end !== base[one.at]) {
        const others = shares.filter((at) => at !== one.at);
        const scale = Math.max(1 - end, 0) / Math.max(others.reduce((total, at) => total + base[at], 0), 1e-12);
        for (const at of others) x[at] = base[at] * scale;
      }
      return walked(x)[AT.npv];
    });
    return {label: one.label, low, high};
  }).sort((one, other) => Math.abs(other.high - other.low) - Math.abs(one.high - one.low));
};

// The rule: what it sees of samples, and what it says.
const ruled = (look) => {
  const [buyAt, least] = DATA.limits;
  if (look.soberMean >= least && look.soberLoss <= buyAt) return 'buy';
  return look.mean < least ? 'do not buy' : 'measure first';
};
// By group of inputs: the answer with it alone at its sampled mean, less the answer as typed, gains only.
const gains = (moves, columns) => {
  const typed = based(moves), sums = sumsOf(typed), means = new Map();
  const count = columns.length ? columns[0].length : 0, x = typed.slice();
  const whole = DATA.wholes.flat(), rows = Object.fromEntries(whole.map((at) => [at, new Float64Array(count)]));
  for (let i = 0; whole.length && i < count; i++) {
    for (let j = 0; j < INTO.length; j++) x[INTO[j]] = columns[j][i];
    madeWhole(x, typed, sums);
    for (const at of whole) rows[at][i] = x[at];
  }
  INTO.forEach((at, j) => means.set(at, mean(at in rows ? rows[at] : columns[j])));
  const first = walked(typed)[AT[DATA.decisive]], found = new Map();
  const alone = (at, moved) => {
    const one = typed.slice();
    for (const place of moved) one[place] = at in rows ? mean(rows[place]) : means.get(place);
    found.set(at, Math.max(walked(one)[AT[DATA.decisive]] - first, 0));
  };
  for (const at of means.keys()) if (!(at in rows)) alone(at, [at]);
  for (const shares of DATA.wholes) alone(shares[3], shares);
  return found;
};
const decided = (moves, count) => {
  if (DATA.blank) return {verdict: 'rough: no decision yet', missing: []};
  const all = Math.min(DATA.samples, DATA.looks), columns = drawn(moves, Math.min(count, all), all);
  const unearned = gains(moves, columns), spec = specs(moves);
  const look = (held) => {
    const [npv] = walkAll(moves, columns, held, [DATA.decisive]);
    const places = new Set(Object.keys(held).map((j) => DATA.ranged[DATA.drawn[j].ranged].at));
    const extra = added([...unearned].filter(([at]) => !places.has(at)).map(([, gain]) => gain));
    const average = mean(npv);
    return {mean: average, soberMean: average - extra, soberLoss: belowOf(npv, extra), loss: belowOf(npv, 0)};
  };
  const hold = (fact, place) => Object.fromEntries(fact.open.map(([j, turned]) =>
    [j, column(spec[j], [turned ? 1 - place : place])[0]]));
  const now = look({}), verdict = ruled(now), best = {}, open = [];
  for (const fact of DATA.facts) {
    const [low, high] = [0.05, 0.95].map((place) => look(hold(fact, place)));
    const turns = ruled(low) !== verdict || ruled(high) !== verdict;
    open.push({label: fact.label, swing: Math.abs(high.mean - low.mean), turns});
    if (turns) Object.assign(best, hold(fact, high.mean > low.mean ? 0.95 : 0.05));
  }
  open.sort((one, other) => other.swing - one.swing);
  const missing = open.filter((one) => one.turns);
  // Where no open fact turns a "do not buy" alone: all of them together, every other input in its middle.
  if (!missing.length && open.length && verdict === 'do not buy') {
    const keys = new Set(DATA.facts.flatMap((fact) => fact.open.map(([j]) => j)));
    const others = spec.map((_, j) => j).filter((j) => !keys.has(j));
    const [npv] = walkAll(moves, columns, Object.fromEntries(others.map((j) => [j, column(spec[j], [0.5])[0]])), [DATA.decisive]);
    const most = percentile(npv.slice().sort(), 95) - mean(npv) + now.mean;
    if (most >= DATA.limits[1]) return {verdict: 'measure first', missing: open.filter((one) => one.swing), look: now};
  }
  if (!missing.length) return {verdict, missing, look: now};
  return {verdict: look(best).mean < DATA.limits[1] ? 'do not buy' : 'measure first', missing, look: now};
};
const answer = (moves, count) => {
  const y = walked(based(moves));
  const [npv] = walkAll(moves, drawn(moves, count, DATA.samples), {}, ['npv']);
  const sorted = npv.slice().sort(), cash = Array.from(y.slice(AT['cash 0']));
  return {
    y, count, sorted, cash, bars: effects(moves), loss: belowOf(npv, 0),
    p10: percentile(sorted, 10), p90: percentile(sorted, 90), irr: rateOfReturn(cash),
    ...decided(moves, count < DATA.samples ? 256 : DATA.looks),
  };
};
