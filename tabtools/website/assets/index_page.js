// The index of all solos.

import { FigureSearch } from "./index/figure_search.js";
import { IndexTable } from "./index/table.js";
import { whenReady } from "./page.js";

whenReady(() => {
  const [filters, figures] = [".tt-filters", ".tt-figure-search"].map((name) => document.querySelector(name));
  if (filters?.hidden) new IndexTable(filters);
  if (figures?.hidden) new FigureSearch(figures);
});
