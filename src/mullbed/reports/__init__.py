"""Facts into words, pages, cards, calendars and tables; computes nothing."""
