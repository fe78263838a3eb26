// What the microphone hears, by pieces, each with the number of its first sample. Where the
// browser skips, so do the numbers.
const PIECE = 2048;
const SETTLE = 0.3; // s from the beginning that are left out: what starts up is garbled

class Tap extends AudioWorkletProcessor {
  constructor() {
    super();
    this.began = -1;
    this.begin(0);
  }

  begin(at) {
    this.at = at;
    this.fill = 0;
    this.piece = new Float32Array(PIECE);
  }

  send() {
    const samples = this.fill === PIECE ? this.piece : this.piece.slice(0, this.fill);
    this.port.postMessage({ at: this.at, samples }, [samples.buffer]);
  }

  process(inputs) {
    const x = inputs[0][0];
    if (!x) return true;
    if (this.began < 0) this.began = currentFrame + Math.ceil(SETTLE * sampleRate / x.length) * x.length;
    const at = currentFrame - this.began;
    if (at < 0) return true;
    if (at !== this.at + this.fill) {
      if (this.fill) this.send();
      this.begin(at);
    }
    for (let i = 0; i < x.length;) {
      const k = Math.min(PIECE - this.fill, x.length - i);
      this.piece.set(x.subarray(i, i + k), this.fill);
      this.fill += k;
      i += k;
      if (this.fill === PIECE) {
        this.send();
        this.begin(at + i);
      }
    }
    return true;
  }
}

registerProcessor('tap', Tap);
