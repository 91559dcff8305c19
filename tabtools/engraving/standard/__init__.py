"""The standard staff over the tab: the same bars, columns and events, as heads on five lines."""
