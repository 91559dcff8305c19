"""The site while one writes at it: served on one's own machine, brought up to date solo by solo as files are saved."""
