// How a solo is practised, kept for the next time and passed on as a link.

import { keepChoice, keptChoice } from "../study/kept_choice.js";
import { nameOf, stretchNamed } from "./asked.js";
import { barAt } from "./score.js";

const KEPT = "tabtools-practice";

/** The fields for what is heard. */
export const VOLUMES = ["guitar", "clicks", "drone", "recording"];
const RISING = ["by", "every", "goal"];

export const shortNumber = (number) => Number(number.toFixed(1));

export class Kept {
  /** `key` names the page. */
  constructor(practice, key) {
    this.practice = practice;
    this.name = `${KEPT} ${key}`;
  }

  /** The loop and the tempo as the end of an address; the bar where the music is, where nothing is looped. */
  get address() {
    const { player, rate, score } = this.practice;
    const here = `b${score.bars[barAt(score, player.place)].number}`;
    return `#${nameOf(player.stretch, score) || here}&tempo=${shortNumber(rate * score.pace)}`;
  }

  async copyLink() {
    history.replaceState(null, "", this.address);
    try {
      await navigator.clipboard.writeText(location.href);
      this.practice.say("The link to this loop and tempo is copied.");
    } catch {
      this.practice.say("The link to this loop and tempo stands in the address bar.");
    }
  }

  keep() {
    const { player, rate, score } = this.practice;
    const { loops, counting, metronome, drone, volume } = player;
    const rising = RISING.map((name) => this.practice.field(name).value);
    const kept = { loop: nameOf(player.stretch, score), loops, rate, counting, metronome, drone, volume, rising };
    keepChoice(this.name, JSON.stringify(kept));
  }

  get last() {
    try {
      return JSON.parse(keptChoice(this.name));
    } catch {
      return null; // somebody else wrote there
    }
  }

  /** Sets everything as it was the last time. */
  restore() {
    const { practice, last } = this;
    if (!last) return;
    const { player, score } = practice;
    const field = (name) => practice.field(name);
    const stretch = stretchNamed(last.loop ?? "", score);
    if (stretch) {
      field("stretch").value = "bars";
      player.setStretch(stretch.from, stretch.to, last.loops === true);
      practice.mark();
    }
    if (last.rate > 0) practice.setRate(last.rate);
    field("countin").value = last.counting;
    if (field("countin").value) player.counting = last.counting;
    else field("countin").value = player.counting;
    field("metronome").checked = player.metronome = last.metronome === true;
    if (["fifth", "chord"].includes(last.drone)) field("held").value = player.drone = last.drone;
    RISING.forEach((name, at) => {
      if (Number(last.rising?.[at]) > 0) field(name).value = last.rising[at];
    });
    for (const name of VOLUMES) {
      const part = last.volume?.[name];
      if (!(part >= 0 && part <= 1)) continue;
      field(name).value = part * 100;
      player.setVolume({ [name]: part });
    }
  }
}
