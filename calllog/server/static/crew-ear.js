"use strict";
// The microphone at the device's rate in, 20 ms frames of 16 bits at 16 kHz out.
// Each output sample is a sum over the input about its place, weighted by a windowed sinc: what
// lies above 7.4 kHz is taken out first, so that nothing folds back.

const RATE = 16000;
const FRAME = 320;
const CROSSINGS = 12; // of the sinc on each side

const gcd = (a, b) => (b ? gcd(b, a % b) : a);

class Ear extends AudioWorkletProcessor {
  constructor() {
    super();
    this.step = sampleRate / RATE;
    this.phases = RATE / gcd(RATE, Math.round(sampleRate));
    const narrow = Math.max(1, this.step) / 0.925;
    this.half = Math.ceil(CROSSINGS * narrow);
    this.filters = Array.from({ length: this.phases }, (_, phase) => {
      const part = (phase * this.step) % 1;
      const taps = new Float32Array(2 * this.half);
      let sum = 0;
      for (let tap = 0; tap < taps.length; tap += 1) {
        const off = tap - this.half + 1 - part;
        const at = off / narrow;
        const sinc = at === 0 ? 1 : Math.sin(Math.PI * at) / (Math.PI * at);
        const window = 0.5 + 0.5 * Math.cos((Math.PI * off) / this.half);
        taps[tap] = Math.abs(off) < this.half ? sinc * window : 0;
        sum += taps[tap];
      }
      return taps.map((each) => each / sum);
    });
    this.held = new Float32Array(8192);
    this.count = 0; // samples held
    this.first = currentFrame; // the input sample that is held first
    this.begun = currentFrame;
    this.made = 0; // output samples
    this.frame = new Int16Array(FRAME);
    this.filled = 0;
    this.startAt = 0;
  }

  process(inputs) {
    const input = inputs[0][0];
    const size = input ? input.length : 128;
    this.held.fill(0, this.count, this.count + size);
    if (input) this.held.set(input, this.count);
    this.count += size;
    for (;;) {
      const place = this.made * this.step;
      const whole = Math.floor(place + 1e-9);
      const from = this.begun + whole - this.half + 1 - this.first;
      if (from + 2 * this.half > this.count) break;
      this.put(from, place);
    }
    const from = this.begun + Math.floor(this.made * this.step) - this.half + 1 - this.first;
    if (from > 2048) {
      this.held.copyWithin(0, from, this.count);
      this.count -= from;
      this.first += from;
    }
    return true;
  }

  put(from, place) {
    const taps = this.filters[this.made % this.phases];
    let sum = 0;
    for (let tap = Math.max(0, -from); tap < taps.length; tap += 1) sum += taps[tap] * this.held[from + tap];
    if (this.filled === 0) this.startAt = (this.begun + place) / sampleRate;
    this.frame[this.filled] = Math.max(-32768, Math.min(32767, Math.round(sum * 32768)));
    this.filled += 1;
    this.made += 1;
    if (this.filled === FRAME) {
      this.port.postMessage({ at: this.startAt, samples: this.frame.slice() });
      this.filled = 0;
    }
  }
}

registerProcessor("ear", Ear);
