// The line to the program that hears. It is taken up again by itself where it breaks.
import { openMic } from '/mic.js';

// The key to a page that is somebody's own comes with the address that was printed, and
// leaves it: it is kept where pages from here alone can read it.
const KEPT = 'pluckweigh key', KEY = new URLSearchParams(location.search).get('key');
if (KEY) {
  try {
    localStorage.setItem(KEPT, KEY);
  } catch { /* this page has it for as long as it is there */ }
}
if (location.search) history.replaceState(null, '', location.pathname + location.hash);
function key() {
  try {
    return localStorage.getItem(KEPT) || KEY || '';
  } catch {
    return KEY || '';
  }
}

// ask asks for what is somebody's own.
export const ask = (path) => fetch(path, { headers: { 'X-Pluckweigh-Key': key() } });

const MOST_WAITING = 4 << 20; // bytes that may wait to be sent; what is beyond is lost, and said to be

export class Ear {
  // on.line(up, why), on.message(m), on.trouble({say, hint}), on.state(ear)
  constructor(on) {
    this.on = on;
    this.wait = 500;
    this.state = 'idle'; // opening, listening, ending
    this.connect();
  }

  connect() {
    let opened = false;
    const ws = new WebSocket(new URL('/ear', location.href).href.replace(/^http/, 'ws'), ['pluckweigh', ...(key() ? ['key.' + key()] : [])]);
    this.ws = ws;
    ws.onopen = () => {
      opened = true;
      this.wait = 500;
      this.on.line(true);
      if (this.asked) this.say({ ask: this.asked });
    };
    ws.onmessage = (m) => this.heard(JSON.parse(m.data));
    ws.onclose = (e) => {
      const was = this.state;
      this.idle();
      this.on.line(false, e.reason);
      if (!opened) this.refused();
      if (was !== 'idle') this.on.trouble({ say: e.reason || 'the program that hears is gone', hint: was === 'ending' ? 'what was not told of by then is lost' : 'the page listens again by itself once it is back' });
      if (was === 'listening' || was === 'opening') this.again = this.from;
      setTimeout(() => this.connect(), this.wait);
      this.wait = Math.min(8000, 2 * this.wait);
    };
  }

  // refused finds out whether it is the key that is wrong, or that too many pages are open.
  async refused() {
    try {
      const r = await ask('/key');
      if (!r.ok && !this.up) this.on.line(false, (await r.text()).trim());
    } catch { /* it is not there at all */ }
  }

  get up() { return this.ws.readyState === WebSocket.OPEN; }

  say(m) {
    if (this.up) this.ws.send(JSON.stringify(m));
  }

  ask(a) {
    this.asked = a;
    this.say({ ask: a });
  }

  heard(m) {
    if ('listening' in m) {
      if (m.listening) {
        this.device = m.device || (this.mic && this.mic.name) || '';
        this.rate = m.sample_rate_hz;
        this.set('listening');
      } else this.idle();
    }
    this.on.message(m);
    if (m.asked && this.again) { // it is answered, so that this page may listen again
      const [from, name] = this.again;
      this.again = null;
      this.start(from, name);
    }
  }

  set(state) {
    this.state = state;
    this.on.state(this);
  }

  idle() {
    if (this.mic) this.mic.close();
    this.mic = null;
    this.set('idle');
  }

  async start(from, name) {
    if (this.state !== 'idle') return;
    this.from = [from, name];
    this.doubts = [];
    this.set('opening');
    if (from === 'machine') {
      this.say({ start: { from, name } });
      return;
    }
    try {
      const mic = await openMic((at, samples) => this.piece(at, samples), (why) => {
        this.on.trouble({ say: why, hint: 'listen again' });
        this.stop();
      });
      if (!this.up) {
        mic.close();
        this.set('idle');
        return;
      }
      this.mic = mic;
      this.doubts = mic.doubts;
      this.say({ start: { from, rate_hz: mic.rate } });
    } catch (e) {
      this.idle();
      this.on.trouble({ say: e.message, hint: e.hint });
    }
  }

  piece(at, samples) {
    if (!this.mic || !this.up || this.state === 'ending' || this.ws.bufferedAmount > MOST_WAITING) return;
    const b = new ArrayBuffer(8 + 4 * samples.length);
    new DataView(b).setBigUint64(0, BigInt(at));
    new Float32Array(b, 8).set(samples);
    this.ws.send(b);
  }

  stop() {
    this.again = null;
    if (this.state !== 'listening' && this.state !== 'opening') return;
    this.set('ending');
    this.say({ stop: {} });
  }
}
