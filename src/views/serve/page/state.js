// Everything that the page shows at one moment, and what an item changes about it.
//
// This is the same as `State::apply` of the program in every respect: a test applies a long run of items here and there, and
// compares. It touches neither the document nor the network.
'use strict';

const LAST = 10;
const TRACE_MOST = 240;

// News whose line says nothing that the rest of the state does not.
const TOLD_OTHERWISE = new Set(['in-hand', 'may-be-charged', 'to-discharge', 'to-soak', 'judged', 'soaking', 'restless', 'awaiting-open', 'awaiting-zero',
  'awaiting-apart', 'nothing-left', 'across-capacitor', 'link', 'ended']);
const METER_TOLD_OTHERWISE = new Set(['identified', 'wrong-meter', 'silent', 'wrong-quantity', 'cannot-measure']);

function traceSince(at) {
  return { since_us: at, every: 1, passed: 0, points: [] };
}

function addToTrace(trace, at, value) {
  if (trace.passed > 0) {
    trace.passed = (trace.passed + 1) % Math.max(1, trace.every);
    return;
  }
  if (trace.points.length === TRACE_MOST) {
    trace.points = trace.points.filter((_, place) => place % 2 === 0);
    trace.every *= 2;
  }
  trace.points.push({ t_us: Math.max(0, at - trace.since_us), value });
  trace.passed = 1 % Math.max(1, trace.every);
}

// Something else is in hand: whatever was known of what was before is gone.
function take(state, stage, entry) {
  state.stage = stage;
  state.in_hand = entry;
  state.next = [];
  state.reading = null;
  state.trace = traceSince(state.at_us);
  state.said_on = false;
  state.restless = false;
  state.verdict = null;
  state.across = null;
  state.soak = null;
  const trouble = state.meter.trouble && state.meter.trouble[0];
  if (trouble === 'cannot-measure' || trouble === 'wrong-quantity') state.meter.trouble = null;
}

function read(state, at, { quantity, value, overload, touching }) {
  state.reading = { quantity, value, overload, touching };
  const applied = state.soak !== null && state.soak.applied_us !== null;
  if (value !== null && (touching || applied)) addToTrace(state.trace, at, value);
  if (state.meter.trouble && state.meter.trouble[0] !== 'wrong-meter') state.meter.trouble = null;
}

function touch(state, at) {
  state.trace = traceSince(at);
  state.said_on = false;
  state.said = null;
  if (state.reading && state.reading.value !== null) addToTrace(state.trace, at, state.reading.value);
}

function withoutWhat(news) {
  const { what, ...rest } = news;
  return rest;
}

function judge(state, news) {
  const judged = withoutWhat(news);
  state.said_on = false;
  state.restless = false;
  state.verdict = judged;
  state.last = [judged, ...state.last].slice(0, LAST);
}

function toSoak(state, { entry, next, test, volts, read_after_s }) {
  take(state, 'soak', entry);
  state.next = next;
  state.soak = { test, volts, read_after_s, applied_us: null, report: null, missed: false };
}

function soakBegun(state, at, { volts }) {
  if (state.soak === null) return;
  Object.assign(state.soak, { volts, applied_us: at, report: null, missed: false });
  state.verdict = null;
  state.trace = traceSince(at);
}

function changeLink(state, { way, reason }) {
  state.link = { way, reason: reason === undefined ? null : reason };
  if (way === 'lost') {
    state.reading = null;
    state.said_on = false;
    state.restless = false;
  }
}

function changeMeter(state, { state: word, text }) {
  switch (word) {
    case 'identified':
      state.meter.identity = text;
      state.meter.trouble = null;
      break;
    case 'answering':
      state.meter.trouble = null;
      break;
    case 'silent':
      state.reading = null;
      state.said_on = false;
      state.meter.trouble = [word, text];
      break;
    case 'wrong-meter':
    case 'wrong-quantity':
    case 'cannot-measure':
      state.meter.trouble = [word, text];
      break;
    default: // The others pass; their line says them.
  }
}

// Of a meter beside the first the line says what became of it; only what it showed does not stand any longer.
function changeOfMeter(state, news) {
  if (news.meter === undefined) {
    if (news.what === 'link') changeLink(state, news);
    else changeMeter(state, news);
  } else if (news.way === 'lost' || news.state === 'silent') {
    state.reading = null;
  }
}

function change(state, news, at) {
  switch (news.what) {
    case 'begun':
      state.title = news.title;
      state.began = news.began;
      state.meter.profile = news.profile;
      state.progress.parts = news.parts;
      state.progress.counts.not_reached = news.parts;
      break;
    case 'in-hand':
      take(state, 'part', news.entry);
      state.next = news.next;
      break;
    case 'may-be-charged': state.may_be_charged.push(withoutWhat(news)); break;
    case 'nothing-left': take(state, 'nothing-left', null); break;
    case 'to-discharge': take(state, 'discharge', news.entry); break;
    case 'across-capacitor':
      state.across = { volts: news.volts, discharged: news.discharged };
      state.said_on = false;
      break;
    case 'to-soak': toSoak(state, news); break;
    case 'awaiting-zero': take(state, 'zero', null); break;
    case 'awaiting-apart': take(state, 'apart', null); break;
    case 'soak-begun': soakBegun(state, at, news); break;
    case 'soaking': if (state.soak) state.soak.report = withoutWhat(news); break;
    case 'soak-missed': if (state.soak) state.soak.missed = true; break;
    case 'reading': read(state, at, news); break;
    case 'contact': touch(state, at); break;
    case 'awaiting-open': state.said_on = true; break;
    case 'judged': judge(state, news); break;
    case 'restless': state.restless = true; break;
    case 'lifted':
    case 'unsettled': state.restless = false; break;
    case 'link':
    case 'meter': changeOfMeter(state, news); break;
    case 'progress': state.progress = withoutWhat(news); break;
    case 'ended':
      take(state, 'ended', null);
      state.progress = withoutWhat(news);
      break;
    default: // A view passes over words that it does not know.
  }
}

// Takes in the next item. One that is there already is passed over.
function apply(state, item) {
  if (item.id <= state.last_id) return;
  state.last_id = item.id;
  state.at_us = item.at_us;
  change(state, item.news, item.at_us);
  const { what, state: word, meter } = item.news;
  const toldOtherwise = meter === undefined && (TOLD_OTHERWISE.has(what) || (what === 'meter' && METER_TOLD_OTHERWISE.has(word)));
  if (item.line !== undefined && !toldOtherwise) {
    state.said = { line: item.line, mood: item.mood === undefined ? 'plain' : item.mood, at_us: item.at_us };
  }
}
