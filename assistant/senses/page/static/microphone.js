// In the thread of the sound: samples of a microphone, at the ear's rate, as blocks of 16 bits.

const BLOCK = 480; // samples: 30 ms at 16 kHz
const FULL_SCALE = 32767;

class Blocks extends AudioWorkletProcessor {
  block = new Int16Array(BLOCK);
  filled = 0;

  process([[samples]]) {
    for (const sample of samples ?? []) {
      this.block[this.filled++] = Math.max(-1, Math.min(1, sample)) * FULL_SCALE;
      if (this.filled < BLOCK) continue;
      this.port.postMessage(this.block.buffer, [this.block.buffer]);
      this.block = new Int16Array(BLOCK);
      this.filled = 0;
    }
    return true;
  }
}

registerProcessor("blocks", Blocks);
