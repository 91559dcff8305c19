"""One explanation of each phrase: what may be said of it, what saying it costs, and the cheapest whole."""
