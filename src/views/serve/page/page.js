// The page: draws each state as it comes, and sends commands. What a state is made of is the business of the program.
//
// Data becomes text only, by textContent; nothing from the sitting is ever taken as markup.
'use strict';

// Longer than the program ever leaves the stream without a sign of life.
const SILENT_MS = 12000;
const AGAIN_MS = 2000;
const VERDICTS = new Set(['pass', 'conditional pass', 'conditional fail', 'fail', 'inconclusive']);
const SVG = 'http://www.w3.org/2000/svg';

const at = (id) => document.getElementById(id);

let state = null;
let source = null;
let heardMs = 0;
let lostSince = null;
let why = '';
let told = null;
let drawn = false;

// ---- words

function duration(seconds) {
  const whole = Math.round(seconds);
  if (whole < 90) return `${whole} s`;
  if (whole < 5400) return `${Math.round(whole / 60)} min`;
  return `${(whole / 3600).toFixed(1)} h`;
}

const clock = (date) => date.toTimeString().slice(0, 8);

// ---- the document

// A number stays with its unit and its uncertainty with its sign.
const UNIT = /(\d) (?=(?:[pnµmkMG]?(?:Ω|F|H|V|A|W|Hz)|%|s|min|h)(?![\p{L}\p{N}]))|(±) /gu;

function say(id, text) {
  const node = typeof id === 'string' ? at(id) : id;
  const kept = text.replace(UNIT, '$1$2\u00a0');
  if (node.textContent !== kept) node.textContent = kept;
}

function mark(node, name, value) {
  if (node.dataset[name] !== value) node.dataset[name] = value;
}

// Text that fills its place: the style sheet divides the width by the number of characters.
function large(id, text) {
  say(id, text);
  at(id).style.setProperty('--chars', String(Math.max(3, [...text].length)));
}

function list(id, rows) {
  const node = at(id);
  while (node.children.length > rows.length) node.lastElementChild.remove();
  rows.forEach((cells, place) => {
    let row = node.children[place];
    if (!row) {
      row = document.createElement('li');
      node.append(row);
    }
    while (row.children.length > cells.length) row.lastElementChild.remove();
    cells.forEach((cell, column) => {
      let child = row.children[column];
      const named = cell.shape ? 'svg' : 'span';
      if (child && child.localName !== named) {
        child.remove();
        child = null;
      }
      if (!child) {
        child = cell.shape ? shape(cell.shape) : document.createElement('span');
        row.insertBefore(child, row.children[column] || null);
      }
      if (cell.shape) {
        child.firstElementChild.setAttribute('href', `#shape-${cell.shape}`);
        mark(child, 'verdict', cell.shape);
      } else {
        say(child, cell.text);
        child.className = cell.name;
      }
    });
  });
}

function shape(verdict) {
  const node = document.createElementNS(SVG, 'svg');
  node.setAttribute('class', 'shape');
  node.setAttribute('aria-hidden', 'true');
  const use = document.createElementNS(SVG, 'use');
  use.setAttribute('href', `#shape-${verdict}`);
  node.append(use);
  return node;
}

const shapeOf = (verdict) => (VERDICTS.has(verdict) ? verdict.replace(' ', '-') : 'inconclusive');

// The name of a measurement: of a part by its value the designator alone.
const titleOf = ({ ref, step }) => (step === 'value' || step === 'between' ? ref : `${ref} ${step}`);

// ---- what is in hand

const STAGES = {
  waiting: ['', '–', 'waiting for the sitting to begin'],
  part: ['in hand'],
  discharge: ['see it discharged: voltmeter across'],
  power: ['power comes on now, then live'],
  soak: ['leakage'],
  zero: ['the leads', 'together', 'hold the probes on each other'],
  apart: ['the leads', 'apart', 'hold the probes apart, in the air'],
  'nothing-left': ['', 'all done', 'every part was taken in hand; back and redo still work'],
  ended: ['', 'over', 'the sitting has ended'],
};
const ALL_READ = 'every pair of places was read; lift a lead, or end';

function showHand() {
  const [stage, name = '–', what = ''] = STAGES[state.stage] || STAGES.waiting;
  const entry = state.in_hand;
  mark(document.body, 'stage', state.stage);
  mark(document.body, 'caution', String(Boolean(state.soak && state.soak.caution)));
  say('stage', entry ? `${stage} · ${entry.index} of ${entry.of}` : stage);
  large('designator', entry ? entry.ref : name);
  const allRead = state.stage === 'nothing-left' && state.progress.in_circuit;
  say('what', entry ? entry.what : allRead ? ALL_READ : what);
  large('place', entry ? [entry.from, entry.to].filter(Boolean).join(' – ') || entry.group || '' : '');
  const role = entry ? [entry.role, entry.in_circuit ? 'in circuit' : '', entry.note] : [];
  say('remark', powerWords() || soakWords() || chargeWords() || role.filter(Boolean).join(' · '));
}

// Charge of the capacitor that is to be seen discharged, and the others that may hold one.
function chargeWords() {
  if (state.stage !== 'discharge' || !state.in_hand) return '';
  const mine = state.may_be_charged.find((one) => one.ref === state.in_hand.ref);
  const others = state.may_be_charged.map((one) => one.ref).filter((one) => one !== state.in_hand.ref && !state.seen_discharged.includes(one));
  const words = [mine ? mine.words : '', others.length > 0 ? `may be charged too: ${others.join(', ')}` : ''];
  return words.filter(Boolean).join(' · ');
}

// What is to be done before power comes on.
function powerWords() {
  if (state.stage !== 'power') return '';
  return 'power comes on now: with it still off, clip the common lead on; then one hand only, and a probe that is insulated to its tip; live once it is on';
}

function soakWords() {
  const soak = state.soak;
  if (!soak) return '';
  if (soak.missed) return 'no reading came when the time was up';
  if (soak.applied_us === null && soak.caution) return `${soak.caution} heed agrees to it`;
  if (soak.applied_us === null) return `${soak.test}; say soak once the voltage is on`;
  const report = soak.report;
  const elapsed = report ? report.elapsed_s : (state.at_us - soak.applied_us) / 1e6;
  const words = [`${state.words.volts} for ${duration(elapsed)}, read at ${duration(soak.read_after_s)}`];
  if (report && report.trend) words.push(report.trend);
  if (report && report.expected) words.push(`expected at ${duration(report.expected.after_s)}: ${state.words.expected}`);
  if (report && report.reason) words.push(report.reason);
  return words.join(' · ');
}

function showValue() {
  const reading = state.reading;
  let words = '–';
  if (state.words.value !== null) words = state.words.value;
  else if (reading && reading.touching) words = reading.overload ? 'beyond range' : 'no number';
  else if (reading) words = 'in the air';
  large('value', words);
  const touching = Boolean(reading && reading.touching);
  mark(at('live'), 'touching', String(touching || state.verdict !== null));
  let contact = '';
  if (state.said_on) contact = 'said to be on it: waiting whether it stays open';
  else if (state.restless) contact = 'touching · still moving';
  else if (touching) contact = state.verdict ? 'touching · settled' : 'touching';
  else if (reading && reading.value !== null) contact = 'not touching';
  say('contact', contact);
}

// ---- pictures

// A picture is made of elements that are used again, in order, so that nothing flickers.
function picture(node) {
  let used = 0;
  return {
    add(kind, name, attributes, text) {
      let child = node.children[used];
      if (!child || child.localName !== kind) {
        const fresh = document.createElementNS(SVG, kind);
        if (child) child.replaceWith(fresh); else node.append(fresh);
        child = fresh;
      }
      used += 1;
      for (const { name: old } of [...child.attributes]) if (old !== 'class' && !(old in attributes)) child.removeAttribute(old);
      child.setAttribute('class', name);
      for (const [key, value] of Object.entries(attributes)) child.setAttribute(key, typeof value === 'number' ? value.toFixed(1) : value);
      if (text !== undefined) say(child, text);
    },
    end() {
      while (node.children.length > used) node.lastElementChild.remove();
    },
  };
}

function sizeOf(node) {
  const [width, height] = [Math.max(1, node.clientWidth), Math.max(1, node.clientHeight)];
  node.setAttribute('viewBox', `0 0 ${width} ${height}`);
  return [width, height];
}

const limitsNow = () => {
  if (state.words.verdict) return state.words.verdict.band;
  return state.in_hand ? state.in_hand.band : null;
};

// The ends of a scale around a band: half its width beyond either limit.
function scaleAround(band) {
  const { lower, upper, nominal } = band;
  if (lower !== null && upper !== null) {
    const margin = (upper - lower) / 2 || Math.abs(upper) / 2 || 1;
    return [lower - margin, upper + margin];
  }
  if (upper !== null) return upper > 0 ? [0, 1.5 * upper] : [2 * upper, 0];
  if (lower !== null) {
    const end = Math.max(2 * Math.abs(lower), nominal === null ? 0 : 2 * nominal);
    return lower > 0 ? [0, end] : [2 * lower, end || 1];
  }
  return null;
}

function showBand() {
  const node = at('band');
  const band = limitsNow();
  const scale = band && scaleAround(band);
  mark(node, 'empty', String(!scale));
  say('limits', band ? band.words : '');
  const [width, height] = sizeOf(node);
  const draw = picture(node);
  if (scale) {
    const inset = height * 0.3;
    const x = (value) => inset + ((width - 2 * inset) * (value - scale[0])) / (scale[1] - scale[0]);
    const kept = (value) => Math.min(width - inset, Math.max(inset, x(value)));
    const left = band.lower === null ? inset : x(band.lower);
    const right = band.upper === null ? width - inset : x(band.upper);
    draw.add('rect', 'outside', { x: inset, y: height * 0.42, width: width - 2 * inset, height: height * 0.16 });
    draw.add('rect', 'inside', { x: left, y: height * 0.22, width: Math.max(1, right - left), height: height * 0.56 });
    if (band.nominal !== null) draw.add('path', 'nominal', { d: `M${kept(band.nominal).toFixed(1)} ${(height * 0.22).toFixed(1)}v${(height * 0.56).toFixed(1)}` });
    marker(draw, scale, x, kept, width, height);
  }
  draw.end();
}

// What is compared with the band: the settled value with its uncertainty, or else the reading.
function marker(draw, scale, x, kept, width, height) {
  const judged = state.words.verdict;
  const reading = state.reading;
  let value = null;
  let uncertainty = null;
  if (judged) [value, uncertainty] = [judged.compared, judged.uncertainty];
  else if (reading && reading.touching) value = reading.value;
  if (value === null) return;
  const name = judged ? 'settled' : 'moving';
  const middle = height / 2;
  const reach = height * 0.3;
  if (value < scale[0] || value > scale[1]) {
    // Beyond the scale: an arrow that points there.
    const [tip, way] = value < scale[0] ? [0, 1] : [width, -1];
    draw.add('path', `${name} beyond`, { d: `M${tip.toFixed(1)} ${middle.toFixed(1)}l${(way * reach * 1.6).toFixed(1)} ${(-reach).toFixed(1)}v${(2 * reach).toFixed(1)}z` });
    return;
  }
  if (uncertainty !== null) {
    const [from, to] = [kept(value - uncertainty), kept(value + uncertainty)];
    const tick = `v${reach.toFixed(1)}`;
    draw.add('path', 'uncertainty', { d: `M${from.toFixed(1)} ${middle.toFixed(1)}H${to.toFixed(1)}M${from.toFixed(1)} ${(middle - reach / 2).toFixed(1)}${tick}M${to.toFixed(1)} ${(middle - reach / 2).toFixed(1)}${tick}` });
  }
  draw.add('path', name, { d: `M${x(value).toFixed(1)} 0V${height.toFixed(1)}` });
}

// From the lowest to the highest of what matters: the latter half of the touch, and the band where it is near.
function plotScale(points, band) {
  const settling = points.slice(Math.floor(points.length / 2)).map((point) => point.value);
  let [low, high] = [Math.min(...settling), Math.max(...settling)];
  const around = band && scaleAround(band);
  if (around && high >= around[0] && low <= around[1]) [low, high] = [Math.min(low, around[0]), Math.max(high, around[1])];
  const margin = (high - low) * 0.08 || Math.abs(high) * 0.01 || 1;
  return [low - margin, high + margin];
}

function showTouch() {
  const node = at('plot');
  const [width, height] = sizeOf(node);
  const draw = picture(node);
  const points = state.trace.points;
  const reading = state.reading;
  if (points.length > 1 && reading) {
    const band = limitsNow();
    const [low, high] = plotScale(points, band);
    const end = Math.max(1e6, points[points.length - 1].t_us);
    const x = (t) => (width * t) / end;
    const y = (value) => Math.min(height - 2, Math.max(2, height - (height * (value - low)) / (high - low)));
    if (band && (band.lower !== null || band.upper !== null)) {
      const top = band.upper === null ? 0 : y(band.upper);
      const bottom = band.lower === null ? height : y(band.lower);
      draw.add('rect', 'inside', { x: 0, y: top, width, height: Math.max(1, bottom - top) });
      if (band.nominal !== null && band.nominal > low && band.nominal < high) draw.add('path', 'nominal', { d: `M0 ${y(band.nominal).toFixed(1)}H${width.toFixed(1)}` });
    }
    draw.add('polyline', 'readings', { points: points.map((point) => `${x(point.t_us).toFixed(1)},${y(point.value).toFixed(1)}`).join(' ') });
    const last = points[points.length - 1];
    draw.add('circle', 'latest', { cx: Math.min(width - 5, x(last.t_us)), cy: y(last.value), r: 4.5 });
    say('touch-words', `${duration2(last.t_us)} · ${state.words.touch}`);
  } else {
    say('touch-words', 'drawn while the probes touch');
  }
  draw.end();
}

const duration2 = (micros) => (micros < 9.95e6 ? `${(micros / 1e6).toFixed(1)} s` : duration(micros / 1e6));

// ---- verdicts

// What the large word says: of what, which word, whose shape and colour, whether it is about what is in hand, and the rest.
function outcome() {
  if (state.stage === 'discharge') return dischargeOutcome();
  const report = state.soak && state.soak.report;
  if (state.verdict === null && report && report.verdict) {
    const value = state.words.ampere || '';
    return { of: `so far: ${titleOf(report)}`, word: report.verdict, like: shapeOf(report.verdict), current: false, value, why: report.reason };
  }
  const judged = state.words.verdict || state.words.last[0];
  if (!judged) return { of: '', word: 'no verdict yet', like: 'none', current: false, value: '', why: '' };
  return {
    of: `${state.verdict ? '' : 'before: '}${titleOf(judged)}`,
    word: judged.word,
    like: shapeOf(judged.verdict),
    current: state.verdict !== null,
    value: judged.value,
    why: judged.why,
  };
}

// While a capacitor may be charged, no verdict of before may look as if it were about that.
function dischargeOutcome() {
  const of = state.in_hand ? state.in_hand.ref : '';
  if (state.across === null) return { of, word: 'not seen discharged', like: 'conditional-fail', current: true, value: '', why: 'hold a voltmeter across it' };
  const value = state.words.across;
  if (state.across.discharged) return { of, word: 'discharged', like: 'pass', current: true, value, why: '' };
  return { of, word: 'CHARGED', like: 'fail', current: true, value, why: 'discharge it through a resistor that stays on, then hold the voltmeter across it again' };
}

function showVerdict() {
  const { of, word, like, current, value, why: reason } = outcome();
  const node = at('verdict');
  mark(node, 'current', current ? 'yes' : 'no');
  mark(node, 'verdict', like);
  at('verdict-use').setAttribute('href', `#shape-${like === 'none' ? 'inconclusive' : like}`);
  say('verdict-of', of);
  say('verdict-word', word);
  // Letters as wide as the longest word allows; capitals are wider.
  const longest = Math.max(...word.split(' ').map((one) => one.length)) * (word === word.toUpperCase() ? 1.25 : 1);
  document.body.style.setProperty('--word-chars', String(Math.max(4, longest)));
  mark(document.body, 'judged', current ? 'yes' : 'no');
  mark(document.body, 'charged', state.across !== null && !state.across.discharged ? 'yes' : 'no');
  say('verdict-value', value);
  say('verdict-why', reason);
}

function showLists() {
  list('next', state.next.map((next) => [{ text: titleOf(next), name: 'name' }, { text: next.what, name: 'more' }]));
  list('last', state.words.last.map((judged) => [
    { shape: shapeOf(judged.verdict) },
    { text: titleOf(judged), name: 'name' },
    { text: judged.word, name: 'word' },
    { text: judged.value, name: 'more' },
  ]));
}

// ---- how it goes

const COUNTS = [['pass', 'pass'], ['conditional pass', 'conditional pass'], ['conditional fail', 'conditional fail'], ['fail', 'fail'],
  ['inconclusive', 'inconclusive'], ['unsettled', 'unsettled'], ['skipped', 'skipped']];

// The drawing of the loops is made by the program and fetched anew with each reading that changes it.
function showLoops() {
  const node = at('loops');
  const address = `/loops.svg?${state.loops_id}`;
  at('circuit').hidden = state.loops_id === 0;
  if (state.loops_id === 0 || node.getAttribute('src') === address) return;
  node.setAttribute('src', address);
  at('loops-whole').setAttribute('href', address);
}

function showProgress() {
  const { parts, done, counts, left_s, in_circuit: inCircuit } = state.progress;
  at('progress-bar').max = Math.max(1, parts);
  at('progress-bar').value = done;
  const words = [`${done} of ${parts} ${inCircuit ? 'readings' : 'parts'}`];
  if (left_s !== null && done < parts) words.push(`about ${duration(left_s)} left`);
  say('progress-words', words.join(' · '));
  const there = COUNTS.filter(([key]) => counts[key] > 0);
  list('counts', there.map(([key, word]) => [
    ...(VERDICTS.has(word) ? [{ shape: shapeOf(word) }] : []),
    { text: String(counts[key]), name: 'count' },
    { text: word, name: 'word' },
  ]));
}

function showMeter() {
  const { link, meter } = state;
  let words = meter.identity || meter.profile;
  let mood = 'good';
  if (link && link.way === 'lost') {
    words = `no link to the meter: ${link.reason}`;
    mood = 'bad';
  } else if (meter.trouble) {
    words = meter.trouble.words || 'the meter does not do what is needed';
    mood = 'bad';
  } else if (link === null) {
    words = `${words}: no link yet`;
    mood = 'plain';
  }
  say('meter', words);
  mark(at('meter'), 'mood', mood);
}

function showConnection() {
  const live = source !== null && lostSince === null && state !== null;
  let words = 'live';
  if (lostSince !== null) words = why || `no connection to the sitting since ${clock(lostSince)}`;
  else if (!live) words = 'connecting';
  say('connection', words);
  mark(document.body, 'connection', live ? 'live' : 'lost');
  const usable = live && state.stage !== 'ended';
  for (const button of at('commands').children) button.disabled = !usable || button.dataset.busy === 'yes';
}

function showSaid() {
  const said = told || (state && state.said);
  say('said', said ? said.line : '');
  mark(at('said'), 'mood', said ? said.mood : 'plain');
}

function draw() {
  drawn = false;
  showConnection();
  showSaid();
  if (state === null) return;
  const title = state.in_hand ? `${state.in_hand.ref} · ${state.title}` : state.title;
  if (document.title !== title) document.title = title;
  say('title', state.title);
  showMeter();
  showProgress();
  showHand();
  showValue();
  showBand();
  showVerdict();
  showTouch();
  showLoops();
  showLists();
}

// However many states come, the page is drawn at most once for each picture of the display.
function redraw() {
  if (drawn) return;
  drawn = true;
  requestAnimationFrame(draw);
}

// ---- the stream of events

function heard() {
  heardMs = Date.now();
  if (lostSince !== null) {
    lostSince = null;
    why = '';
    redraw();
  }
}

function lost() {
  if (lostSince === null) lostSince = new Date();
  redraw();
}

function connect() {
  if (source !== null) source.close();
  heardMs = Date.now();
  source = new EventSource('/events');
  source.addEventListener('open', heard);
  source.addEventListener('beat', heard);
  source.addEventListener('state', (event) => {
    heard();
    const now = JSON.parse(event.data);
    if (state === null || now.told_id !== state.told_id || now.began !== state.began) told = null;
    state = now;
    redraw();
  });
  source.addEventListener('error', () => {
    lost();
    // A browser gives up for good when it is refused; then it is asked why, and tried again.
    if (source.readyState === EventSource.CLOSED) inquire();
  });
}

async function inquire() {
  try {
    const answer = await fetch('/state');
    if (answer.status === 401) {
      why = await answer.text();
      redraw();
      askForKey();
      return;
    }
    if (!answer.ok) why = await answer.text();
  } catch {
    why = '';
  }
  redraw();
  setTimeout(connect, AGAIN_MS);
}

// A network that is gone says nothing; a stream that is alive does.
setInterval(() => {
  const silent = Date.now() - heardMs > SILENT_MS;
  if (source !== null && silent && source.readyState !== EventSource.CLOSED) {
    lost();
    connect();
  }
}, 1000);

// ---- commands

function tell(line, mood) {
  told = { line, mood };
  redraw();
}

async function post(path, text) {
  const answer = await fetch(path, { method: 'POST', headers: { 'Content-Type': 'text/plain' }, body: text });
  if (!answer.ok) throw new Error((await answer.text()).trim() || `refused (${answer.status})`);
}

async function command(button, text) {
  button.dataset.busy = 'yes';
  redraw();
  try {
    await post('/command', text);
  } catch (error) {
    tell(error instanceof TypeError ? `\`${text}\` did not get through` : error.message, 'bad');
  }
  button.dataset.busy = 'no';
  redraw();
}

// ---- questions

const ASK = {
  note: { title: 'note', words: 'A remark on what is in hand.', text: true, yes: 'write it down' },
  override: { title: 'override', words: 'Go on without having seen a capacitor discharged. A charged capacitor can kill. Which one, or all, and why is it safe? C5 it was taken out', text: true, yes: 'go on' },
  lead: { title: 'lead', words: 'Of which part is a lead lifted, so that it is measured out of circuit, or joined again? Its name, such as R12.', text: true, choices: true, yes: 'say so' },
  decide: { title: 'decide', words: 'What becomes of the part judged last, and why. Accept needs a reason.', text: true, choices: true, yes: 'decide' },
  end: { title: 'end the sitting?', words: 'Everything measured so far is kept.', text: false, yes: 'end it' },
  key: { title: 'key', words: 'The figures behind #key= in the address that was printed where the sitting began.', text: true, yes: 'show the sitting' },
};

let answered = null;

function ask(which, then) {
  const question = ASK[which];
  // Named, since another part may be judged while the person thinks.
  const about = state && state.words.last.length > 0 ? state.words.last[0].ref : '';
  const judged = which === 'decide';
  say('ask-title', judged ? `${question.title} ${about}` : question.title);
  say('ask-words', question.words);
  say('ask-yes', question.yes);
  say('ask-no', which === 'key' ? 'not now' : 'no');
  at('ask-text').hidden = !question.text;
  at('ask-text').value = '';
  at('ask-choices').hidden = !question.choices;
  for (const one of at('ask-choices').children) one.hidden = one.dataset.of !== which;
  choose(null);
  answered = () => {
    const text = at('ask-text').value.trim();
    const choice = chosen();
    if (question.choices && choice === null) {
      firstChoice().focus();
      return;
    }
    if (question.text && !judged && text === '') {
      at('ask-text').focus();
      return;
    }
    at('ask').close();
    const words = { key: [text], decide: [which, about, choice, text] };
    then((words[which] || [choice || which, text]).filter(Boolean).join(' '));
  };
  if (!at('ask').open) at('ask').showModal();
  if (question.choices) firstChoice().focus();
  else (question.text ? at('ask-text') : at('ask-no')).focus();
}

function choose(button) {
  for (const one of at('ask-choices').children) one.setAttribute('aria-pressed', String(one === button));
}

function firstChoice() {
  return at('ask-choices').querySelector(':not([hidden])');
}

function chosen() {
  const button = at('ask-choices').querySelector('[aria-pressed="true"]');
  return button === null ? null : button.textContent;
}

function askForKey() {
  ask('key', enter);
}

async function enter(key) {
  try {
    await post('/key', key);
    connect();
  } catch (error) {
    why = error instanceof TypeError ? '' : error.message;
    lost();
    askForKey();
  }
}

// ---- begin

at('ask-yes').addEventListener('click', () => answered && answered());
at('ask-choices').addEventListener('click', (event) => {
  const button = event.target.closest('button');
  if (button) choose(button);
});
at('ask-no').addEventListener('click', () => at('ask').close());
at('ask-text').addEventListener('keydown', (event) => {
  if (event.key === 'Enter' && answered) answered();
});
at('commands').addEventListener('click', (event) => {
  const button = event.target.closest('button');
  if (!button || button.disabled) return;
  const { command: text, ask: which } = button.dataset;
  if (text) command(button, text);
  else ask(which, (whole) => command(button, whole));
});
new ResizeObserver(redraw).observe(document.body);

// The key is shown once and then kept in a cookie that no script can read; the address is left without it.
const key = /^#key=([0-9a-f]{32})$/.exec(location.hash);
if (key) {
  history.replaceState(null, '', '/');
  enter(key[1]);
} else {
  connect();
}
