// The review page: its buttons play a stretch of one version or the other.

import { Player } from "./practice/player.js";
import { readScore } from "./records.js";

const players = new Map();

const playerOf = (name) => {
  if (!players.has(name)) {
    const player = new Player(readScore(JSON.parse(document.getElementById(name).textContent)));
    player.changed = update;
    player.counting = "none";
    players.set(name, player);
  }
  return players.get(name);
};

const buttons = [...document.querySelectorAll("button[data-score]")];
let playing = null;

function update() {
  if (playing && !players.get(playing.dataset.score)?.isPlaying) playing = null;
  for (const button of buttons) button.textContent = button === playing ? "Stop" : "Play";
}

const press = (button) => {
  const isStopped = button === playing;
  for (const player of players.values()) if (player.isPlaying) player.halt(0);
  playing = null;
  if (!isStopped) {
    const player = playerOf(button.dataset.score);
    const [from, to] = [Number(button.dataset.from), Number(button.dataset.to)];
    player.setStretch(from, to, false);
    player.move(from);
    playing = button;
    player.play();
  }
  update();
};

for (const button of buttons) {
  button.hidden = false;
  button.addEventListener("click", () => press(button));
}
