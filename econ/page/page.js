// What a person moves, and what the page then says. All words stand in DATA.words or in the page itself.
const FEW = 2000; // simulation runs while a slider moves; all of them when it is let go
const MINUS = '\u2212';
const $ = (id) => document.getElementById(id);
const put = (id, text) => { if ($(id)) $(id).textContent = text; };
const plain = (value) => {
  const size = Math.abs(Number(value.toPrecision(3)));
  if (size === 0) return '0';
  const places = Math.max(0, 2 - Math.floor(Math.log10(size)));
  return (value < 0 ? MINUS : '') + size.toLocaleString('en-US', {
    minimumFractionDigits: places, maximumFractionDigits: places,
  });
};
const money = (value) => `${plain(value)} ${DATA.currency}`;
// Halves go to the even digit, as the program rounds them.
const whole = (x) => (x % 1 === 0.5 ? 2 * Math.round(x / 2) : x).toFixed(0);
const probability = (share, samples) => { // whole per cent, and no certainty that so many runs cannot give
  const least = Math.max(300 / samples, 1);
  if (share < 0.01) return `less than ${whole(share <= 0 ? least : 1)}%`;
  if (share > 0.99) return `more than ${whole(share >= 1 ? 100 - least : 99)}%`;
  return `${whole(share * 100)}%`;
};
const range = (low, high) => `${money(low)} to ${money(high)}`;
const SHOWN = {
  money, plain,
  tonnes: (value) => plain(value / 1000),
  pounds: (value) => plain(value / 0.45359237),
  years: (value) => value.toFixed(1),
  percent: (value) => `${(value * 100).toFixed(1).replace('-', MINUS)}%`,
  ratio: (value) => value.toFixed(2),
  count: (value) => Math.round(value).toLocaleString('en-US'),
};

// Pictures: bars that lie and columns that stand, as the program draws them.
const WIDE = 360, BARS_END = 226, LETTER = 7, ROW = 36, TALL = 150, TOP = 28, ROOM = 84;
const escaped = (text) => String(text).replace(/[&<>"']/g, (c) => `&#${c.charCodeAt(0)};`);
const svg = (inside, height) => `<svg viewBox="0 0 ${WIDE} ${height}" aria-hidden="true">${inside}</svg>`;
const piece = (side, left, right, top) => right > left ?
  `<rect class="${side}" x="${left.toFixed(1)}" y="${top}" width="${(right - left).toFixed(1)}" height="13"/>` : '';
const anchor = (i, count, wide, text) => text.length > 4 && i === 0 ? ['start', 0] :
  text.length > 4 && i === count - 1 ? ['end', WIDE] : ['mid', (i + 0.5) * wide];
const lying = (bars, line) => {
  const ends = [line, ...bars.flatMap((bar) => [bar.start, bar.end])];
  const low = Math.min(...ends), span = Math.max(...ends) - low || 1;
  const wide = Math.min(BARS_END, WIDE - LETTER * Math.max(0, ...bars.map((bar) => bar.text.length))) - 4;
  const x = (value) => 2 + (value - low) / span * wide;
  const parts = bars.map((bar, i) => {
    const top = i * ROW, left = Math.min(bar.start, bar.end), right = Math.max(bar.start, bar.end);
    return `<text x="0" y="${top + 12}">${escaped(bar.label)}</text>` +
      piece('under', x(left), x(Math.min(right, line)), top + 17) +
      piece('over', x(Math.max(left, line)), x(right), top + 17) +
      `<path class="line" d="M${x(line).toFixed(1)} ${top + 15}v17"/>` +
      `<text class="end" x="${WIDE}" y="${top + 28}">${escaped(bar.text)}</text>`;
  });
  return svg(parts.join(''), bars.length * ROW);
};
const standing = (values, texts, marks, under) => {
  const low = Math.min(0, ...values), high = Math.max(0, ...values), span = high - low || 1;
  const wide = WIDE / values.length, y = (value) => TOP + (high - value) / span * TALL;
  let parts = '';
  values.forEach((value, i) => {
    const top = Math.min(y(value), y(0)), bottom = Math.max(y(value), y(0));
    const side = (under ? under[i] : value < 0) ? 'under' : 'over';
    parts += `<rect class="${side}" x="${(i * wide + wide * 0.08).toFixed(1)}" y="${top.toFixed(1)}" ` +
      `width="${(wide * 0.84).toFixed(1)}" height="${(bottom - top).toFixed(1)}"/>`;
    if (i in texts) {
      const [side, at] = anchor(i, values.length, wide, texts[i]);
      parts += `<text class="${side}" x="${at.toFixed(1)}" y="${TOP + TALL + 16}">${escaped(texts[i])}</text>`;
    }
  });
  parts += `<path class="line" d="M0 ${y(0).toFixed(1)}H${WIDE}"/>`;
  marks.forEach(([place, text], row) => {
    const at = Math.min(Math.max(place * wide, 0), WIDE), right = row === 0 || at > WIDE - ROOM;
    parts += `<path class="mark" d="M${at.toFixed(1)} ${2 + 12 * row}V${TOP + TALL}"/>` +
      `<text class="${right ? 'end' : 'start'}" x="${(at + (right ? -4 : 4)).toFixed(1)}" y="${10 + 12 * row}">${escaped(text)}</text>`;
  });
  return svg(parts, TOP + TALL + 20);
};
const roundWidth = (least) => {
  const power = 10 ** Math.floor(Math.log10(least));
  return [1, 2, 2.5, 5, 10, 20].map((step) => step * power).find((width) => width >= least);
};
const spreadOf = (sorted) => { // bars of a round width; the widest half per cent at either end joins the outermost
  const last = sorted.length - 1;
  const low = sorted[Math.round(last * 0.005)], high = sorted[Math.round(last * 0.995)];
  const width = roundWidth((high - low) / 34 || Math.abs(low) / 10 || 1);
  const first = Math.floor(low / width), count = Math.floor(high / width) + 1 - first;
  const bars = new Array(count).fill(0);
  for (const one of sorted) bars[Math.min(Math.max(Math.floor(one / width) - first, 0), count - 1)]++;
  return {first, width, bars: bars.map((one) => one / sorted.length)};
};
const PICTURES = {
  spread: (found) => {
    const {first, width, bars} = spreadOf(found.sorted), texts = {0: money(first * width)};
    texts[bars.length - 1] = money((first + bars.length) * width);
    const marks = [[-first, '0'], [found.y[AT['npv']] / width - first, DATA.words.typed]];
    return standing(bars, texts, marks.filter(([at]) => at >= 0 && at <= bars.length),
      bars.map((_, i) => first + i < 0));
  },
  cash: (found) => standing(found.cash, Object.fromEntries(found.cash.map((_, year) => [year, String(year)])
    .filter(([year]) => year % (found.cash.length > 24 ? 5 : found.cash.length > 12 ? 2 : 1) === 0)), []),
  moves: (found) => lying(found.bars.slice(0, 8).map((bar) => ({
    label: bar.label, start: Math.min(bar.low, bar.high), end: Math.max(bar.low, bar.high),
    text: range(Math.min(bar.low, bar.high), Math.max(bar.low, bar.high)),
  })), found.y[AT['npv']]),
  carbon: (found) => lying(DATA.blocks.map(([label, name, sign]) => {
    const value = sign * found.y[AT[name]] / 1000;
    return isFinite(value) ? {label, start: 0, end: value, text: plain(value)} :
      {label, start: 0, end: 0, text: 'not reported'};
  }), 0),
  options: (found) => lying(DATA.ways.filter(([, name]) => isFinite(found.y[AT[name]])).map(([label, name]) => {
    const value = found.y[AT[name]] * DATA.ton;
    return {label, start: 0, end: value, text: money(value)};
  }), 0),
};

// Sliders: `moved` maps the place of a slider to its value in the unit that was typed.
const moved = {};
const canonical = (slider, value) => (value + slider.offset) * slider.factor;
const moves = () => Object.fromEntries(Object.entries(moved).map(([i, value]) =>
  [DATA.sliders[i].at, canonical(DATA.sliders[i], value)]));
const said = (value) => String(Number(value.toPrecision(10)));
const rows = (found) => {
  const {words} = DATA;
  const cell = {
    verdict: words.verdicts[found.verdict],
    range: range(found.p10, found.p90),
    loss: probability(found.loss, found.count),
    irr: found.irr === null ? (Object.keys(moved).length ? DATA.rows.find(([name]) => name === 'irr')[2] : DATA.run.irr) : SHOWN.percent(found.irr),
  };
  for (const [name, kind, missing] of DATA.rows) {
    if (name in cell) continue;
    const value = found.y[AT[name]];
    cell[name] = isFinite(value) ? SHOWN[kind](value) : missing;
  }
  return cell;
};
const show = (found) => {
  const cell = rows(found), some = Object.keys(moved).length > 0;
  for (const [name, text] of Object.entries(cell)) put(`now-${name}`, text);
  for (const name of Object.keys(PICTURES)) {
    if ($(`picture-${name}`)) $(`picture-${name}`).innerHTML = PICTURES[name](found);
  }
  put('now-missing', found.missing.length ? DATA.words.missing + found.missing.map((one) => one.label).join('; ') : '');
  put('bar-verdict', cell.verdict);
  put('bar-npv', `NPV ${cell.npv}`);
  put('bar-loss', `${cell.loss} ${DATA.words.below}`);
  document.body.classList.toggle('moved', some);
  for (const id of ['as-run', 'others-stale']) $(id).hidden = !some;
  put('title-spread', DATA.words.spread.replace('{loss}', cell.loss).replace('{n}', found.count.toLocaleString('en-US')));
  const ends = [Math.min, Math.max].map((end) => money(end(...found.cash.slice(1))));
  put('said-cash', DATA.words.cash.replace('{first}', money(found.cash[0]))
    .replace('{later}', [...new Set(ends)].join(' to ')));
  const sets = Object.entries(moved).map(([i, value]) => [DATA.sliders[i], said(value)]);
  $('sets').value = sets.map(([one, value]) => `--set ${one.key}="${`${value} ${one.typed}`.trim()}"`).join(' ');
  const fragment = sets.map(([one, value]) => `${one.key}=${value}`).join('&');
  try {
    history.replaceState(null, '', fragment ? `#${fragment}` : location.pathname + location.search);
  } catch { /* a page inside another program has no address of its own */ }
  return cell;
};
let waiting = 0;
const refresh = (count) => {
  cancelAnimationFrame(waiting);
  waiting = requestAnimationFrame(() => {
    const cell = show(answer(moves(), count));
    if (count === DATA.samples) {
      put('spoken', `${cell.verdict}. NPV ${cell.npv}. ${cell.loss} ${DATA.words.below}.`);
    }
  });
};
const nice = (slider, raw) => {
  const step = roundWidth((slider.high - slider.low) / 200);
  const found = Number((Math.round(raw / step) * step).toPrecision(10));
  return Math.min(Math.max(found, slider.low), slider.high);
};
const setSlider = (i, value, fromBox) => {
  const slider = DATA.sliders[i], outside = !(value >= slider.low && value <= slider.high);
  put(`why-${i}`, outside ? DATA.words.outside : '');
  $(`box-${i}`).setAttribute('aria-invalid', String(outside));
  if (outside) return false;
  if (value === slider.value) delete moved[i]; else moved[i] = value;
  $(`slide-${i}`).value = value;
  $(`slide-${i}`).setAttribute('aria-valuetext', `${said(value)} ${slider.unit}`);
  if (!fromBox) $(`box-${i}`).value = said(value);
  $(`back-${i}`).disabled = !(i in moved);
  return true;
};
const start = () => {
  const first = Math.min(FEW, DATA.samples), columns = drawn({}, first, DATA.samples);
  const [npv] = walkAll({}, columns, {}, ['npv']), run = DATA.run;
  if (walked(DATA.x)[AT.npv] !== run.npv || belowOf(npv, 0) !== run.lossOfFirst) {
    put('trouble', DATA.words.differs);
    $('trouble').hidden = false;
    return;
  }
  document.body.classList.add('live');
  for (const one of document.querySelectorAll('.needs-script')) one.hidden = false;
  for (const one of document.querySelectorAll('.no-script')) one.hidden = true;
  DATA.sliders.forEach((slider, i) => {
    $(`slide-${i}`).addEventListener('input', (event) => {
      if (setSlider(i, nice(slider, Number(event.target.value)))) refresh(Math.min(FEW, DATA.samples));
    });
    $(`slide-${i}`).addEventListener('change', () => refresh(DATA.samples));
    $(`box-${i}`).addEventListener('change', (event) => {
      if (setSlider(i, Number(event.target.value), true)) refresh(DATA.samples);
    });
    $(`back-${i}`).addEventListener('click', () => {
      setSlider(i, slider.value);
      refresh(DATA.samples);
      $(`slide-${i}`).focus();
    });
  });
  $('back-all').addEventListener('click', () => {
    DATA.sliders.forEach((slider, i) => setSlider(i, slider.value));
    refresh(DATA.samples);
  });
  $('copy').addEventListener('click', () => {
    $('sets').select();
    if (navigator.clipboard) navigator.clipboard.writeText($('sets').value).catch(() => {});
  });
  let any = false;
  for (const [key, value] of new URLSearchParams(location.hash.slice(1))) {
    const i = DATA.sliders.findIndex((slider) => slider.key === key);
    if (i >= 0) any = setSlider(i, Number(value)) || any;
  }
  if (any) show(answer(moves(), DATA.samples));
  else document.querySelector('.sliders').addEventListener('pointerover', () => prepare(0), {once: true});
};
// Before anything is moved: the samples of one input after the other, so that the first release is quick.
const prepare = (j) => {
  if (j >= DATA.drawn.length) return;
  placesOf(j, DATA.samples, DATA.samples);
  placesOf(j, Math.min(DATA.samples, DATA.looks), Math.min(DATA.samples, DATA.looks));
  setTimeout(() => prepare(j + 1), 5);
};
addEventListener('DOMContentLoaded', () => setTimeout(start, 0));
