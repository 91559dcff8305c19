// The reader's own recording: opened, heard in place of the tab or with it, remembered, forgotten.

export class OwnRecording {
  /** `memory` keeps the file between visits. */
  constructor(practice, memory) {
    this.practice = practice;
    this.memory = memory;
  }

  async open(file) {
    if (!file) return;
    const { player } = this.practice;
    const { place } = player;
    player.pause();
    const isOpen = await this.load(file, place);
    if (!isOpen) this.practice.say("The browser cannot play this file. Try another format, such as MP3, WAV or FLAC.");
    else if (!(await this.memory.keep(file))) this.practice.say("The recording is ready. This browser does not remember it.");
    else if (player.recording.has(place)) this.practice.say("The recording is ready.");
    else this.practice.say("The recording does not reach this place; check that it is the one named above, or move it.");
    if (isOpen) this.note();
  }

  /** Has a file played instead of the tab, from a place of the score on. Returns whether that can be. */
  async load(file, place) {
    const { player } = this.practice;
    let isOpen = true;
    try {
      await player.recording.load(file);
    } catch {
      isOpen = false;
    }
    this.hear(isOpen);
    player.move(place);
    return isOpen;
  }

  hear(isOpen) {
    const { player } = this.practice;
    player.hear = isOpen ? "recording" : "tab";
    this.practice.field("hear").value = player.hear;
    for (const name of ["hear", "shift", "recording"]) this.practice.field(name).disabled = !isOpen;
    this.practice.button("forget").disabled = !isOpen;
    player.setVolume({});
  }

  /** Opens the recording that was opened here the last time, where it was left. */
  async recall() {
    const { player } = this.practice;
    const known = await this.memory.recall();
    if (!known || player.isPlaying || player.recording.isLoaded || this.practice.signal.aborted) return;
    const { file, shift = 0, place = 0 } = known;
    player.recording.shift = shift;
    this.practice.field("shift").value = shift;
    const chosen = new DataTransfer();
    chosen.items.add(file);
    this.practice.field("file").files = chosen.files;
    if (await this.load(file, player.place || place)) this.practice.say(`${file.name} is ready, as the last time.`);
  }

  /** Notes where the recording is left. */
  note() {
    const { recording, place } = this.practice.player;
    if (recording.isLoaded) this.memory.note({ shift: recording.shift, place });
  }

  async forget() {
    this.practice.player.pause();
    this.practice.player.recording.unload();
    this.hear(false);
    this.practice.field("file").value = "";
    await this.memory.forget();
    this.practice.say("The recording is forgotten.");
  }
}
