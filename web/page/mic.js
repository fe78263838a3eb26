// The browser's own microphone, its sound unchanged.
const CHANGES = { echoCancellation: 'echo cancellation', noiseSuppression: 'noise suppression', autoGainControl: 'automatic gain' };

const trouble = (say, hint) => Object.assign(new Error(say), { hint });

const refusals = {
  NotFoundError: ['no microphone was found', 'connect one, or listen by the machine’s'],
  NotAllowedError: ['the browser does not let this page use the microphone', 'allow it for this page in the browser’s settings, and listen again'],
  NotReadableError: ['the microphone cannot be read', 'close other programs that use it'],
  OverconstrainedError: ['the microphone cannot be had unchanged', 'choose another microphone or browser'],
};

// openMic opens it and calls piece(at, samples) with what it hears. It returns its rate,
// what is doubtful about it, and how to close it.
export async function openMic(piece, ended) {
  if (!navigator.mediaDevices || !window.AudioWorkletNode) {
    throw trouble('this browser gives the page no microphone', 'call the page by the address that pluckweigh serve printed, on the same machine, in a recent browser');
  }
  const off = Object.fromEntries(Object.keys(CHANGES).map((k) => [k, false]));
  let stream;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ audio: { ...off, channelCount: 1 } });
  } catch (e) {
    const [say, hint] = refusals[e.name] || ['the microphone could not be opened: ' + e.message, 'choose another in the browser’s settings'];
    throw trouble(say, hint);
  }
  const track = stream.getAudioTracks()[0];
  let context;
  const close = () => {
    track.onended = null;
    track.stop();
    if (context) {
      context.onstatechange = null;
      context.close().catch(() => {});
    }
  };
  try {
    const set = track.getSettings();
    const names = (keys) => keys.map((k) => CHANGES[k]).join(', ');
    const on = Object.keys(CHANGES).filter((k) => set[k] === true);
    if (on.length) throw trouble(`the browser changes the sound by ${names(on)}, and does not leave it off`, 'choose another microphone or browser');
    const unsaid = Object.keys(CHANGES).filter((k) => set[k] !== false);
    const doubts = [];
    if (unsaid.length) doubts.push(`The browser does not say whether it changes the sound by ${names(unsaid)}: compare a reading with another way of listening.`);
    try {
      context = new AudioContext(set.sampleRate ? { sampleRate: set.sampleRate } : {});
    } catch {
      context = new AudioContext();
    }
    if (context.sampleRate !== set.sampleRate) doubts.push('The browser may convert the sample rate: its own clock counts, not the microphone’s.');
    await context.audioWorklet.addModule('/tap.js');
    if (context.state !== 'running') {
      await Promise.race([context.resume(), new Promise((_, no) => setTimeout(() => no(trouble('the browser does not begin to listen', 'press Listen')), 5000))]);
    }
    const tap = new AudioWorkletNode(context, 'tap', { channelCount: 1, channelCountMode: 'explicit' });
    tap.port.onmessage = (m) => piece(m.data.at, m.data.samples);
    context.createMediaStreamSource(stream).connect(tap);
    tap.connect(context.destination); // which hears silence: what leads nowhere need not run
    track.onended = () => ended('the microphone was taken away');
    context.onstatechange = () => context.state === 'running' || ended('the browser stopped listening');
    return { rate: context.sampleRate, doubts, name: track.label, settings: set, close };
  } catch (e) {
    close();
    throw e;
  }
}
