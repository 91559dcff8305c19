// The pages of a site while one writes at it: they follow what is saved. Published sites have nothing of this.

import { follow } from "./bench/follow.js";
import { whenReady } from "./page.js";

let isFollowing = false;

whenReady(() => {
  if (isFollowing) location.reload(); // the theme has put another page in the place of this one, without what is said of it
  else follow();
  isFollowing = true;
});
