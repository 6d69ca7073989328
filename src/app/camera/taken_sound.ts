import { chosen } from './camera_choices.ts';

/** Hz and seconds of each note. */
const notes = {
  taken: [[880, 0.09]],
  'not-kept': [[330, 0.16]],
  complete: [
    [660, 0.1],
    [880, 0.1],
    [1320, 0.18],
  ],
} as const;

let context: AudioContext | undefined;

/** To be called in a tap: browsers let a page sound only after one. A device without sound stays silent. */
export function readySound(): void {
  if (typeof AudioContext === 'undefined') return;
  context ??= new AudioContext();
  // refused where the tap came too long ago: it stays silent, and everything is said in words as well
  context.resume().catch(() => {});
}

/** A short quiet sound, unless it is switched off. */
export function sound(kind: keyof typeof notes): void {
  if (!chosen.sound || context?.state !== 'running') return;
  let at = context.currentTime;
  for (const [pitch, length] of notes[kind]) {
    const tone = new OscillatorNode(context, { frequency: pitch });
    const loudness = new GainNode(context, { gain: 0 });
    loudness.gain.linearRampToValueAtTime(0.2, at + 0.01);
    loudness.gain.linearRampToValueAtTime(0, at + length);
    tone.connect(loudness).connect(context.destination);
    tone.start(at);
    tone.stop(at + length);
    at += length;
  }
}
