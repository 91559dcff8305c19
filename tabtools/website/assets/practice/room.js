// A touch of room: a few early reflections, over before the next note needs the silence.

const REFLECTIONS = [
  // milliseconds after the sound itself, how loud on the left, on the right
  [5, 0.08, 0.03],
  [8, -0.03, 0.08],
  [11, 0.07, -0.05],
  [15, -0.05, 0.06],
  [19, 0.04, 0.04],
  [23, -0.03, -0.03],
];
const LAST = 30; // milliseconds

/** The answer of the room to a single click, for both ears. */
export const roomOf = (context) => {
  const { sampleRate } = context;
  const length = Math.round((LAST / 1000) * sampleRate);
  const answer = new AudioBuffer({ numberOfChannels: 2, length, sampleRate });
  const [left, right] = [answer.getChannelData(0), answer.getChannelData(1)];
  const spread = [0.25, 0.5, 0.25]; // walls are no mirrors
  left[0] = right[0] = 1;
  for (const [ms, one, other] of REFLECTIONS) {
    const at = Math.round((ms / 1000) * sampleRate);
    spread.forEach((share, step) => {
      left[at + step] += share * one;
      right[at + step] += share * other;
    });
  }
  return new ConvolverNode(context, { buffer: answer, disableNormalization: true });
};
