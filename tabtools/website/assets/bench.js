// The pages of a site while one writes at it: they follow what is saved. Published sites have nothing of this.

import { follow } from "./bench/follow.js";

follow();
