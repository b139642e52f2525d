// The room: what is shown, and what wakes it.
import { act, brief, call, day, el, hour, isBusy, loadWords, make, notice, state, t } from './api.js';
import { drawPeople, read } from './people.js';
import { bottom, drawTalk, forget, say, send } from './talk.js';
import { drawCourse, forgetCourse, startCourse } from './course.js';
import { fromLink, loadScenes, remember, startScenes, story } from './scenes.js';

let strip = [], stripOf = '';

function view(name) {
  document.body.dataset.view = name;
  for (const b of el('views').querySelectorAll('button')) b.setAttribute('aria-pressed', String(b.dataset.view === name));
  if (name === 'talk') bottom(); else scrollTo(0, 0);
}

function drawClock() {
  const zone = state.chat && state.chat.zone || 'UTC';
  el('when').replaceChildren(make('b', null, day(state.now.now) + ', ' + hour(state.now.now)), ' ' + zone,
    make('span', { className: 'quiet' }, state.now.next ? t('page.clock.next', { when: brief(state.now.next) }) : t('page.clock.nothing')));
}

async function drawStrip() {
  if (stripOf !== state.now.world + state.lang) { strip = []; stripOf = state.now.world + state.lang; }
  const after = strip.length ? strip[strip.length - 1].n : 0;
  strip = strip.concat(await call('strip?lang=' + state.lang + '&after=' + after)).slice(-120);
  const s = story();
  const rows = strip.map(l => make('li', { className: l.kind === 'message' ? '' : 'told' }, make('time', { dateTime: l.at }, brief(l.at)),
    make('span', { dir: 'auto' }, make('b', null, l.who), ': ' + l.text)));
  if (!rows.length) rows.push(make('li', null, make('span', { className: 'quiet' }, t('page.strip.none'))));
  if (s) rows.unshift(make('li', null, make('b', null, s.name), make('span', null, s.story)));
  const ol = el('strip').querySelector('ol');
  ol.replaceChildren(...rows);
  ol.scrollTop = ol.scrollHeight;
}

function pick(c) {
  state.chat = c;
  sessionStorage.setItem('chat:' + state.now.world, c.id);
  forget();
  forgetCourse();
}

async function choose(c) {
  sessionStorage.setItem('begun', '1'); // who has chosen a person needs no introduction, and on a telephone it hides the talk
  pick(c);
  notice('');
  view('talk');
  drawPeople(choose); // at once; the rest follows
  await refresh(true);
}

// refresh draws everything; where nothing has happened the state is what it was.
// Asked for while it draws, it draws once more after that: what is waited for has
// begun after the asking.
let drawing = null, queued = null;
function refresh(same) {
  if (drawing) {
    queued ??= drawing.then(() => { queued = null; return refresh(); });
    return queued;
  }
  drawing = draw(same === true).finally(() => { drawing = null; });
  return drawing;
}

async function draw(same) {
  try {
    const was = state.now && state.now.world;
    if (!same) state.now = await call('state');
    const chats = state.now.chats, kept = Number(sessionStorage.getItem('chat:' + state.now.world)) || state.now.opens;
    if (was !== state.now.world || !state.chat) { forget(); forgetCourse(); state.chat = null; }
    state.chat = chats.find(c => state.chat ? c.id === state.chat.id : c.id === kept) || chats[0];
    el('intro').hidden = Boolean(state.now.scene) || sessionStorage.getItem('begun') !== null;
    drawClock();
    const [news] = await Promise.all([drawTalk(refresh), drawCourse(), drawStrip()]);
    if (news) bottom(); // what stands above it has found its place
    read(state.chat.id, state.chat.heard);
    drawPeople(choose);
    if (was && was !== state.now.world) offerAgain();
  } catch (e) { notice(t('page.lost') + ' ' + e.message, true); }
}

// offerAgain: after a start anew the program has a world that knows nothing of
// what was played here; this browser does.
function offerAgain() {
  const kept = JSON.parse(localStorage.getItem('kept') || 'null');
  if (!kept || kept.world === state.now.world || state.now.scene) return;
  const link = kept.link;
  el('notice').replaceChildren(t('page.restarted') + ' ', make('button', { type: 'button',
    onclick: () => act(() => call('play', { link }), refresh) }, t('page.again')));
}

async function speak(lang) {
  await loadWords(lang);
  el('lang').replaceChildren(...state.languages.map(l => make('option', { value: l, lang: l, selected: l === state.lang },
    new Intl.DisplayNames([l], { type: 'language' }).of(l))));
  await loadScenes(refresh);
  forget();
  forgetCourse();
  await refresh();
}

el('moves').addEventListener('click', e => {
  const b = e.target.closest('button');
  if (!b || !state.now) return;
  const body = b.dataset.by ? { by: b.dataset.by } : { to: b.dataset.to, chat: state.chat.id };
  act(() => call('clock', { ...body, answer: el('answers').checked }), refresh).then(remember).catch(() => {});
});
el('views').addEventListener('click', e => { if (e.target.dataset.view) { view(e.target.dataset.view); refresh(); } });
el('sought').addEventListener('input', () => drawPeople(choose));
el('lang').addEventListener('change', () => { localStorage.setItem('lang', el('lang').value); speak(el('lang').value); });
el('also').addEventListener('click', e => { if (e.target.dataset.kind) send(e.target.dataset.kind, refresh); });
el('compose').addEventListener('submit', e => {
  e.preventDefault();
  const text = el('text').value.trim();
  if (!text || !state.chat || isBusy()) return;
  el('text').value = '';
  say(text, refresh).then(() => el('text').focus({ preventScroll: true }));
});
// Enter sends, Shift+Enter breaks the line. It is read as input, not as a key,
// so that it also holds for the keyboards of phones.
let shift = false;
el('text').addEventListener('keydown', e => { shift = e.shiftKey; });
el('text').addEventListener('beforeinput', e => {
  if (e.inputType === 'insertLineBreak' && !shift) { e.preventDefault(); el('compose').requestSubmit(); }
});

startCourse();
startScenes(refresh);
view('talk');
const stored = localStorage.getItem('lang') || navigator.language.split('-')[0];
await speak(stored);
await fromLink(refresh);
document.body.removeAttribute('aria-busy');
// The program tells when something is new; between two news nothing is asked.
new EventSource('/rehearsal/events').addEventListener('message', () => { if (!isBusy()) refresh(); });
