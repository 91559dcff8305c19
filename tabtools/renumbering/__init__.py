"""Bars put in, taken out and moved, with everything that names bars by their numbers carried along."""
